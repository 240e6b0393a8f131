"""One lane of the season board: her jobs, the threads between them, her promise, her lateness, her water."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from yard.pictures.board_input import BoardJob, BoardRow, Standing
from yard.pictures.lettering import cut, days_span, height_text, text_width, weekday_day_month
from yard.pictures.shapes import (
    GROUP_PATTERN,
    STATE_WORDS,
    DayAxis,
    Disc,
    JobState,
    Label,
    Rect,
    Stroke,
    TradeGroup,
    line_d,
    number_text,
    state_css,
    tenth,
)
from yard.speech import _

LANE_HEIGHT = 25.0
MARK_TOP, MARK_HEIGHT = 4.0, 14.0
THREAD_Y = MARK_TOP + MARK_HEIGHT / 2
WATER_TOP = 22.0
GAP = 0.5  # between neighbouring marks
MAX_IN_A_DAY = 2
NAME_ROOM, NAME_SIZE = 116.0, 14.0
REASON_SIZE = 11.5
LEAST_REASON_ROOM = 70.0  # "100 d late" still fits


@dataclass(frozen=True, slots=True)
class JobMark:
    """A job's mark. shape: box, hull or buoy; `box` is the room it takes; outline: path of a hull."""

    shape: str
    box: Rect
    outline: str
    buoy: Disc | None
    letter: Label | None
    css: str
    pattern: str
    title: str


@dataclass(frozen=True, slots=True)
class BoardLane:
    """A row of the board: words for its columns and shapes for its lane."""

    key: str
    standing: Standing
    name: str
    name_cut: str
    url: str
    open_url: str
    needs_text: str
    promised_text: str
    on_mooring_text: str
    in_hand_text: str
    is_late: bool
    threads: tuple[Stroke, ...]
    marks: tuple[JobMark, ...]
    pole: Stroke | None
    pennant: Stroke | None
    lateness: Stroke | None
    facts: tuple[Stroke, ...]
    water: tuple[Rect, ...]
    reason: Label | None
    late_text: str
    not_drawn: int
    why: str
    text: str


@dataclass(frozen=True, slots=True)
class _Placed:
    job: BoardJob
    left: float
    right: float


def lay_out_lane(row: BoardRow, axis: DayAxis) -> BoardLane:
    """Words and shapes of one row. Marks never overlap; jobs with no room are counted in `not_drawn`."""
    placed, not_drawn = place_jobs(row.jobs, axis)
    marks = tuple(_mark(place) for place in placed)
    is_late = row.in_hand is not None and row.in_hand < 0
    late_text = _("{days} d late").format(days=-row.in_hand) if row.in_hand is not None and row.in_hand < 0 else ""
    lateness = _lateness(row, axis) if is_late else None
    pole_x = _pole_x(row, axis)
    return BoardLane(
        key=row.key,
        standing=row.standing,
        name=row.name,
        name_cut=cut(row.name, NAME_SIZE, NAME_ROOM - (24 if row.open_url else 0), name=True),
        url=row.url,
        open_url=row.open_url,
        needs_text=_needs_text(row),
        promised_text="" if row.promised is None else weekday_day_month(row.promised),
        on_mooring_text=_on_mooring_text(row),
        in_hand_text=_in_hand_text(row),
        is_late=is_late,
        threads=_threads(placed),
        marks=marks,
        pole=None if pole_x is None else Stroke(f"M{number_text(pole_x)} 0V20", "l-ink"),
        pennant=None if pole_x is None else _pennant(pole_x, axis.width, is_late),
        lateness=lateness,
        facts=tuple(_fact(day, axis) for day in row.facts_needed_by if axis.holds(day)),
        water=_water_runs(row.water_days, axis),
        reason=_reason(row, late_text, not_drawn, placed, pole_x, axis.width),
        late_text=late_text,
        not_drawn=not_drawn,
        why=row.reason,
        text=_text(row, late_text),
    )


def place_jobs(jobs: tuple[BoardJob, ...], axis: DayAxis) -> tuple[list[_Placed], int]:
    """Give each job its stretch of the lane; two jobs share a day's cell, further ones are not drawn.

    Returns the jobs placed, from left to right without overlap, and how many found no room. The launch
    and the mooring are placed first: they are what a reader looks for.
    """
    seen = [job for job in jobs if job.last_day >= axis.first_day and axis.index(job.first_day) < axis.day_count]
    by_rank = sorted(seen, key=lambda job: (_rank(job), job.first_day, job.last_day))
    taken: dict[int, list[BoardJob]] = {}
    drawn: list[BoardJob] = []
    for job in by_rank:
        days = _days_drawn(job, axis)
        inner = [day for day in days if _runs_through(job, day, axis)]
        if (
            all(len(taken.get(day, [])) < MAX_IN_A_DAY for day in days)
            and not any(taken.get(day) for day in inner)
            and not any(_runs_through(other, day, axis) for day in days for other in taken.get(day, []))
        ):
            drawn.append(job)
            for day in days:
                taken.setdefault(day, []).append(job)
    placed = sorted((_place(job, taken, axis) for job in drawn), key=lambda place: place.left)
    return placed, len(seen) - len(placed)


def _rank(job: BoardJob) -> int:
    return 0 if job.group in (TradeGroup.LAUNCH, TradeGroup.MOORING) else 1


def _days_drawn(job: BoardJob, axis: DayAxis) -> list[int]:
    first = max(axis.index(job.first_day), 0)
    last = min(axis.index(job.last_day), axis.day_count - 1)
    return list(range(first, last + 1))


def _runs_through(job: BoardJob, day: int, axis: DayAxis) -> bool:
    """Whether the job fills the day's cell from edge to edge because it goes on before and after it."""
    return axis.index(job.first_day) < day < axis.index(job.last_day)


def _place(job: BoardJob, taken: dict[int, list[BoardJob]], axis: DayAxis) -> _Placed:
    days = _days_drawn(job, axis)
    left = days[0] * axis.day_width
    right = (days[-1] + 1) * axis.day_width
    half = axis.day_width / 2
    if _is_second(job, taken[days[0]]):
        left += half
    if len(taken[days[-1]]) > 1 and not _is_second(job, taken[days[-1]]):
        right -= half
    return _Placed(job, tenth(left + GAP), tenth(right - GAP))


def _is_second(job: BoardJob, sharing: list[BoardJob]) -> bool:
    """Whether another job of the cell comes before this one."""
    if len(sharing) < 2:
        return False
    return sorted(sharing, key=lambda other: (other.first_day, other.last_day, _sequence(other)))[0] is not job


def _sequence(job: BoardJob) -> int:
    """On one day a launch comes before what is done afloat, and the mooring last."""
    return {TradeGroup.LAUNCH: 0, TradeGroup.MOORING: 2}.get(job.group, 1)


def _mark(place: _Placed) -> JobMark:
    job = place.job
    width = tenth(place.right - place.left)
    middle = tenth((place.left + place.right) / 2)
    shape = {TradeGroup.LAUNCH: "hull", TradeGroup.MOORING: "buoy"}.get(job.group, "box")
    box = Rect(place.left, MARK_TOP, width, MARK_HEIGHT)
    is_narrow = width < 12
    letter = job.letter[:1] if is_narrow else job.letter
    return JobMark(
        shape=shape,
        box=box,
        outline=_hull_d(box) if shape == "hull" else "",
        buoy=Disc(middle, THREAD_Y, tenth(min(width, MARK_HEIGHT) / 2), "") if shape == "buoy" else None,
        letter=None if shape == "buoy" else Label(middle, 14.8, letter, "x9 bd mid" if is_narrow else "x10 bd mid"),
        css=state_css(job.group, job.state),
        pattern=GROUP_PATTERN.get(job.group, "") if job.state is JobState.PLANNED and shape == "box" else "",
        title=_job_title(job),
    )


def _job_title(job: BoardJob) -> str:
    days = weekday_day_month(job.first_day)
    if job.last_day != job.first_day:
        days = days_span(job.first_day, job.last_day)
    state = "" if job.state is JobState.PLANNED else f", {_(STATE_WORDS[job.state])}"
    return f"{job.name}, {days}{state}"


def _hull_d(box: Rect) -> str:
    """A hull seen from the bow: flat sheer, keel a little below the boxes beside it."""
    left, right, middle = (number_text(x) for x in (box.x, box.right, box.x + box.width / 2))
    side, keel = number_text(box.y + 8.5), number_text(box.y + MARK_HEIGHT + 2)
    return f"M{left} {number_text(box.y)}H{right}V{side}L{middle} {keel}L{left} {side}Z"


def _threads(placed: list[_Placed]) -> tuple[Stroke, ...]:
    """From each mark to the next, all in one path: a board has hundreds of rows."""
    lines = [
        line_d([(before.right, THREAD_Y), (after.left, THREAD_Y)])
        for before, after in pairwise(placed)
        if after.left - before.right > 2 * GAP
    ]
    return (Stroke("".join(lines), "thread"),) if lines else ()


def _pole_x(row: BoardRow, axis: DayAxis) -> float | None:
    """The pole stands at the end of the promised day; None without a promise or off the board."""
    if row.promised is None or not axis.holds(row.promised):
        return None
    return min(tenth(axis.left(row.promised) + axis.day_width), axis.width - 1)


def _pennant(pole_x: float, width: float, is_late: bool) -> Stroke:
    """Flies to the right of its pole, to the left at the right edge of the board."""
    reach = 9 if pole_x + 9 <= width else -9
    tip = number_text(pole_x + reach)
    pole = number_text(pole_x)
    return Stroke(f"M{pole} 1L{tip} 4.5L{pole} 8Z", "f-late" if is_late else "f-sheet l-ink")


def _lateness(row: BoardRow, axis: DayAxis) -> Stroke | None:
    """Heavy line from the pole to the day she comes, the first mark of lateness; the words are the second."""
    if row.promised is None or row.on_mooring is None:
        return None
    left = min(max((axis.index(row.promised) + 1) * axis.day_width, 0), axis.width)
    right = min(max((axis.index(row.on_mooring) + 1) * axis.day_width, 0), axis.width)
    if right <= left:
        return None
    return Stroke(f"M{number_text(left)} 20.5H{number_text(right)}", "l-late")


def _fact(day: date, axis: DayAxis) -> Stroke:
    x = axis.middle(day)
    left, right = number_text(x - 3.5), number_text(x + 3.5)
    return Stroke(
        f"M{number_text(x)} 14.5L{right} 18L{number_text(x)} 21.5L{left} 18Z",
        "by",
        _("needed by {day}").format(day=weekday_day_month(day)),
    )


def _water_runs(days: frozenset[date], axis: DayAxis) -> tuple[Rect, ...]:
    """Days with water, neighbours joined into one line."""
    runs: list[tuple[date, int]] = []
    for day in sorted(day for day in days if axis.holds(day)):
        if runs and runs[-1][0] + timedelta(days=runs[-1][1]) == day:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((day, 1))
    return tuple(
        Rect(axis.left(first), WATER_TOP, tenth(count * axis.day_width), 3.0, "floats") for first, count in runs
    )


def _reason(
    row: BoardRow, late_text: str, not_drawn: int, placed: list[_Placed], pole_x: float | None, width: float
) -> Label | None:
    """The reason beside the marks: to their right, else to their left, cut if neither side has the room."""
    more = _("and {n} more in the table").format(n=not_drawn) if not_drawn else ""
    words = ", ".join(part for part in (row.reason, more) if part)
    full = " ".join(part for part in (late_text, words) if part)
    if not full:
        return None
    edges = [place.right for place in placed] + ([] if pole_x is None else [pole_x + 10])
    starts = [place.left for place in placed] + ([] if pole_x is None else [pole_x - 10])
    right_from = max(edges, default=0.0) + 8
    left_to = min(starts, default=0.0) - 8
    needed = text_width(full, REASON_SIZE)
    right_room, left_room = width - right_from - 4, left_to - 4
    if right_room >= needed or right_room >= left_room:
        x, room, anchor = right_from, right_room, ""
    else:
        x, room, anchor = left_to, left_room, " end"
    if room < LEAST_REASON_ROOM:
        return None
    kept = cut(full, REASON_SIZE, room)
    shown = kept.removeprefix(late_text).lstrip() if kept.startswith(late_text) else kept
    return Label(tenth(x), 15.0, shown, f"x11{anchor}", "" if kept == full else full)


def _is_boat(row: BoardRow) -> bool:
    """Places and people have lanes too, but no draft, no mooring and no promise."""
    return row.standing not in (Standing.PLACE, Standing.PERSON)


def _needs_text(row: BoardRow) -> str:
    if row.needs is None:
        return "?" if _is_boat(row) else ""
    return height_text(row.needs)


def _on_mooring_text(row: BoardRow) -> str:
    if row.on_mooring is None:
        return _("not planned") if _is_boat(row) else ""
    return weekday_day_month(row.on_mooring)


def _in_hand_text(row: BoardRow) -> str:
    if not _is_boat(row):
        return ""
    if row.in_hand is None:
        return "–"
    return _("{days} late").format(days=-row.in_hand) if row.in_hand < 0 else str(row.in_hand)


def _text(row: BoardRow, late_text: str) -> str:
    """The row in words, for those who hear the page."""
    jobs = "; ".join(_job_title(job) for job in row.jobs) or _("no jobs planned")
    return ". ".join(part for part in (row.name, late_text, row.reason, jobs) if part)
