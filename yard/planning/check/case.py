"""A plan on trial: what of it can be read, and the calendar worked out anew from the raw facts."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from yard.planning.check.breach import NEVER_WAIVED_WINDOWS, WAIVABLE, Breach
from yard.planning.plan import Placement, Plan
from yard.planning.problem import Job, Minutes, Problem, Way

MINUTES = 15  # in a quarter


@dataclass(frozen=True, slots=True)
class Entry:
    """One readable placement with its job and way."""

    placement: Placement
    job: Job
    way: Way
    pinned: bool

    @property
    def index(self) -> int:
        return self.placement.job

    @property
    def starts_at(self) -> int:
        return self.placement.starts_at

    @property
    def ends_at(self) -> int:
        return self.placement.ends_at


class Case:
    """The facts that the checks share. Unreadable placements are left to `complete` and `span`."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem = problem
        self.plan = plan
        self.starts = problem.calendar.day_starts
        self.per_day = problem.calendar.quarters_per_day
        self.size = self.per_day * len(self.starts)
        self.pins = {pin.job: pin for pin in problem.pins}
        self.left_out = {row.boat for row in plan.left_out}
        self.entries: dict[int, Entry] = {}
        for placement in plan.placements:
            if self.names_known(placement) and self.on_axis(placement) and placement.job not in self.entries:
                job = problem.jobs[placement.job]
                pinned = placement.job in self.pins
                self.entries[placement.job] = Entry(placement, job, job.ways[placement.way], pinned)
        self._normal: dict[int, bytes] = {}
        self._away: dict[int, bytes] = {}
        self._counted: dict[frozenset[int], bytes] = {}

    # What of a placement can be read

    def names_known(self, placement: Placement) -> bool:
        problem = self.problem
        return (
            0 <= placement.job < len(problem.jobs)
            and 0 <= placement.way < len(problem.jobs[placement.job].ways)
            and all(0 <= person < len(problem.people) for person in placement.people)
            and all(0 <= place < len(problem.places) for place, _unit in placement.places)
        )

    def on_axis(self, placement: Placement) -> bool:
        return 0 <= placement.starts_at < placement.ends_at <= self.size

    def by_person(self) -> dict[int, list[Entry]]:
        rows: dict[int, list[Entry]] = defaultdict(list)
        for entry in self.entries.values():
            for person in sorted(set(entry.placement.people)):
                rows[person].append(entry)
        return rows

    # The clock

    def minute(self, position: int) -> int:
        """When the quarter at this position begins."""
        return self.starts[position // self.per_day] + position % self.per_day * MINUTES

    def bare_end(self, entry: Entry) -> int:
        """The clock minute at which the work itself is over."""
        if entry.job.pausing == "elapsed":
            return self.minute(entry.starts_at) + MINUTES * entry.way.duration_quarters
        return self.minute(entry.ends_at - 1) + MINUTES

    def begins_from(self, minute: int) -> int:
        """The first position whose quarter begins at this minute or later; `size` where there is none."""
        day = bisect_right(self.starts, minute) - 1
        if day < 0:
            return 0
        into_day = (minute - self.starts[day] + MINUTES - 1) // MINUTES
        return day * self.per_day + min(into_day, self.per_day)

    def day_of(self, position: int) -> int:
        return position // self.per_day

    def day_end(self, position: int) -> int:
        """The position at which the day of this quarter is over."""
        return (position // self.per_day + 1) * self.per_day

    # People's hours, one byte for each quarter of the axis

    def normal(self, person: int) -> bytes:
        """1 where the whole quarter lies inside the person's normal hours, leave or not."""
        if person not in self._normal:
            self._normal[person] = self._flags(_joined(self.problem.people[person].hours), whole=True)
        return self._normal[person]

    def away(self, person: int) -> bytes:
        """1 where any part of the quarter is leave."""
        if person not in self._away:
            self._away[person] = self._flags(self.problem.people[person].away, whole=False)
        return self._away[person]

    def counted(self, people: Iterable[int]) -> bytes:
        """1 where a paused job of these people counts the quarter."""
        crew = frozenset(people)
        if crew not in self._counted:
            flags = (1 << 8 * self.size) // 255  # 0x010101...: every quarter
            for person in crew:
                flags &= int.from_bytes(self.normal(person), "little")
            self._counted[crew] = flags.to_bytes(self.size, "little")
        return self._counted[crew]

    def day_hours(self, person: int, day: int) -> Minutes | None:
        """From the first to the last minute of normal hours within the day; None on a day off."""
        opens, closes = self.starts[day], self.starts[day] + self.per_day * MINUTES
        within = [
            (max(starts, opens), min(ends, closes))
            for starts, ends in self.problem.people[person].hours
            if starts < closes and ends > opens
        ]
        return (within[0][0], within[-1][1]) if within else None

    def works_on(self, person: int, day: int) -> bool:
        """Whether anything of the person's normal hours of that day is left after leave."""
        span = slice(day * self.per_day, (day + 1) * self.per_day)
        return any(
            normal and not away for normal, away in zip(self.normal(person)[span], self.away(person)[span], strict=True)
        )

    def touched(self, intervals: Sequence[Minutes]) -> bytes:
        """1 where any part of the quarter lies in one of the intervals."""
        return self._flags(intervals, whole=False)

    def _flags(self, intervals: Sequence[Minutes], *, whole: bool) -> bytes:
        flags = bytearray(self.size)
        length = self.per_day * MINUTES
        for starts, ends in intervals:
            day = max(0, bisect_right(self.starts, starts) - 1)
            while day < len(self.starts) and self.starts[day] < ends:
                begin, end = starts - self.starts[day], min(ends - self.starts[day], length)
                low = max(0, -(-begin // MINUTES) if whole else begin // MINUTES)
                high = end // MINUTES if whole else -(-end // MINUTES)
                if low < high:
                    base = day * self.per_day
                    flags[base + low : base + high] = b"\1" * (high - low)
                day += 1
        return bytes(flags)

    # Words

    def title(self, job: int) -> str:
        row = self.problem.jobs[job]
        return f"{row.name} ({self.problem.boats[row.boat].name})"

    def breach(
        self,
        rule: str,
        job: int,
        message: str,
        numbers: dict[str, int | str] | None = None,
        *,
        pins_alone: bool = False,
    ) -> Breach:
        """A breach of one job."""
        facts = dict(numbers or {})
        waivable = rule in WAIVABLE and facts.get("window") not in NEVER_WAIVED_WINDOWS
        return Breach(
            rule=rule,
            job=job,
            boat=self.problem.jobs[job].boat,
            message=f"{self.title(job)}: {message}",
            numbers=facts,
            waivable=waivable,
            pins_alone=pins_alone,
        )


def _joined(intervals: Sequence[Minutes]) -> list[Minutes]:
    """Intervals that touch made one."""
    joined: list[Minutes] = []
    for starts, ends in intervals:
        if joined and joined[-1][1] >= starts:
            joined[-1] = (joined[-1][0], max(joined[-1][1], ends))
        else:
            joined.append((starts, ends))
    return joined
