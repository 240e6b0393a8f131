"""The ways: each kind of change made wide, then only as far as her new plan uses it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from yard.planning.check import faults
from yard.planning.listed import listed
from yard.planning.problem import QUARTER_MIN, Minutes, Problem
from yard.planning.ways_back.saturday import Extra, extra_days
from yard.planning.ways_back.standing import Skill
from yard.planning.ways_back.trier import Tried, Trier
from yard.planning.ways_back.way import WayBack, later_words, longer_words
from yard.speech import _, ngettext

LONGER_MIN = 120
FEWER_TRIED = 5
OTHERS = 6  # boats whose date could move that are tried, those in her way the most first
DAYS_TRIED = 4
MOST_ASKED = 6  # people and days: more is no single change
Evening = tuple[int, int]
"""A person and a day."""
DAYS_BEFORE = 5  # days of the week before her first job, or her day, are looked at too

Found = tuple[WayBack, Tried]


class Search(Trier):
    """Every kind of change, tried for one boat."""

    # the ways --------------------------------------------------------------------------------------------------------
    def found(self) -> Iterator[Found]:
        """The ways whose plan holds by the independent check.  Raises TimeOver."""
        for way, tried in self._ways():
            if way.gains_days > 0 and not faults(tried.problem, tried.plan):
                yield way, tried

    def _ways(self) -> Iterator[Found]:
        again = self.changed()
        if self.gain(again) > 0 and again is not None:
            text = _("planned once more she comes sooner; nobody else moves")
            yield WayBack("again", text, self.gain(again), self.on_time(again)), again
            self.before = {order: again.last[order] for order in self.orders}
            if self.on_time(again):
                return
        yield from self._dates()
        yield from self._hands()
        yield from self._hours()
        yield from self._other_boats()
        yield from self._extra_days()

    # something here sooner
    def _dates(self) -> Iterator[Found]:
        dated = [n for n in self.open if self.problem.jobs[n].not_before is not None]
        groups: dict[int, list[int]] = {}
        for number in dated:
            groups.setdefault(self.problem.jobs[number].not_before or 0, []).append(number)
        for minute, numbers in sorted(groups.items()):
            if minute <= self.minute(self.problem.now):
                continue
            best = self.changed(dates=dict.fromkeys(numbers))
            if best is None or self.gain(best) <= 0:
                continue
            yield self._sooner(numbers, minute, best)

    def _sooner(self, numbers: list[int], minute: int, best: Tried) -> Found:
        """As few days sooner as gain as much: halved."""
        day = self.day(minute)
        low, high, kept = 1, max(1, day - self.problem.now // self.per_day), best
        while low < high:
            middle = (low + high) // 2
            tried = self.changed(dates=dict.fromkeys(numbers, self.problem.calendar.day_starts[max(0, day - middle)]))
            if tried is not None and self.gain(tried) >= self.gain(best):
                high, kept = middle, tried
            else:
                low = middle + 1
        needed = max(0, day - low)
        names = ", ".join(self.problem.jobs[number].name for number in numbers[:2])
        waits = self.problem.jobs[numbers[0]].waits_on
        what = waits[0] if waits else _("what {names} waits for").format(names=names)
        text = ngettext(
            "{what} here by {day}, {n} working day sooner",
            "{what} here by {day}, {n} working days sooner",
            day - needed,
        ).format(what=what, day=self.named(needed), n=day - needed)
        way = WayBack(
            "date",
            text,
            self.gain(kept),
            self.on_time(kept),
            days=(needed,),
            sooner_days=day - needed,
            job=numbers[0],
        )
        return way, kept

    # one more pair of hands
    def _hands(self) -> Iterator[Found]:
        skills = {
            (need.skill, need.level)
            for number in self.open
            for way in self.problem.jobs[number].ways
            for need in way.crew
        }
        whole = range(self.problem.calendar.days)
        for skill in sorted(skills):
            wide = self.changed(hands=(skill, whole))
            if wide is None or self.gain(wide) <= 0:
                continue
            yield from self._hands_in(skill, self._days_of(wide, len(self.problem.people)))

    def _hands_in(self, skill: Skill, used: tuple[int, ...]) -> Iterator[Found]:
        """One week of them where one is enough, else all the days; without the days on which somebody else would do."""
        weeks = self.problem.calendar.weeks or tuple(day // 5 for day in range(self.problem.calendar.days))
        by_week = [tuple(day for day in used if weeks[day] == week) for week in sorted({weeks[day] for day in used})]
        for days in (*by_week, used) if len(by_week) > 1 else (used,):
            tried = self.changed(hands=(skill, days))
            if tried is None or self.gain(tried) <= 0:
                continue
            for day in days[:FEWER_TRIED]:
                fewer = tuple(one for one in days if one != day)
                if fewer and (less := self.changed(hands=(skill, fewer))) and self.gain(less) >= self.gain(tried):
                    days, tried = fewer, less
            needed = self._days_of(tried, len(self.problem.people))
            if needed and needed != days and (just := self.changed(hands=(skill, needed))) is not None:
                days, tried = (needed, just) if self.gain(just) >= self.gain(tried) else (days, tried)
            text = _("one more pair of hands for {skill} on {days}").format(skill=skill[0], days=self.listed(days))
            yield WayBack("hands", text, self.gain(tried), self.on_time(tried), days=days, skill=skill[0]), tried
            return

    def _days_of(self, tried: Tried, person: int) -> tuple[int, ...]:
        rows = [row for row in tried.rows if person in row.people]
        days = {
            day for row in rows for day in range(row.starts_at // self.per_day, (row.ends_at - 1) // self.per_day + 1)
        }
        return tuple(sorted(days))

    # before or after hours
    def _hours(self) -> Iterator[Found]:
        for early, late in ((0, LONGER_MIN), (LONGER_MIN, 0)):
            wide = self.attempt(self._longer(early, late, None))
            if wide is None or self.gain(wide) <= 0:
                continue
            used = self._outside(wide)
            for only in self._fewer(used):
                tried = self.attempt(self._longer(0, 0, only))
                if tried is not None and self.gain(tried) > 0 and (asked := self._outside(tried)):
                    yield self._stays_longer(tried, asked)
                    break

    def _fewer(self, used: dict[Evening, Minutes]) -> Iterator[dict[Evening, Minutes]]:
        """One day alone, the last first, then all of them where they are few enough to be one thing to ask for."""
        days = sorted({day for _person, day in used}, reverse=True)
        for day in days[:DAYS_TRIED] if len(days) > 1 else []:
            yield {key: span for key, span in used.items() if key[1] == day}
        if 0 < len(used) <= MOST_ASKED:
            yield used

    def _outside(self, tried: Tried) -> dict[Evening, Minutes]:
        """By (person, day): the first and last minute that her jobs take of somebody outside their hours."""
        found: dict[Evening, Minutes] = {}
        for row in tried.rows:
            if self.problem.jobs[row.job].pausing != "fitted":
                continue
            starts, ends = (
                self.minute(row.starts_at),
                self.minute(row.starts_at) + QUARTER_MIN * (row.ends_at - row.starts_at),
            )
            for person in row.people:
                if not any(a <= starts and ends <= b for a, b in _joined(self.problem.people[person].hours)):
                    key = (person, row.starts_at // self.per_day)
                    was = found.get(key, (starts, ends))
                    found[key] = (min(was[0], starts), max(was[1], ends))
        return found

    def _longer(self, early: int, late: int, only: dict[Evening, Minutes] | None) -> Problem:
        """Everybody's days made longer at one end; or (`only`) these people's on these days, as far as they are needed.

        Work that pauses keeps its hours, so this is only for people; where it stretches, the plan is refused.
        """
        people = []
        for number, person in enumerate(self.problem.people):
            hours = []
            by_day: dict[int, list[Minutes]] = {}
            for span in person.hours:
                by_day.setdefault(self.day(span[0]), []).append(span)
            for day, spans in by_day.items():
                first, last = spans[0], spans[-1]
                if only is None:
                    spans[0] = (first[0] - early, spans[0][1])
                    spans[-1] = (spans[-1][0], last[1] + late)
                elif (number, day) in only:
                    starts, ends = only[number, day]
                    spans[0] = (min(first[0], starts), spans[0][1])
                    spans[-1] = (spans[-1][0], max(last[1], ends))
                hours += spans
            people.append(replace(person, hours=_disjoint(hours)))
        return replace(self.problem, people=tuple(people))

    def _stays_longer(self, tried: Tried, used: dict[Evening, Minutes]) -> Found:
        people = tuple(sorted({person for person, _day in used}))
        days = tuple(sorted({day for _person, day in used}))
        minutes, words = 0, []
        for (person, day), (starts, ends) in sorted(used.items(), key=lambda item: item[0][1]):
            own = [span for span in self.problem.people[person].hours if self.day(span[0]) == day]
            over = max(0, ends - own[-1][1]) if own else ends - starts
            before = max(0, own[0][0] - starts) if own else 0
            minutes += over + before
            name = self.problem.people[person].name
            words.append(longer_words(name, over, before, self.named(day)))
        text = "; ".join(words[:3])
        if len(words) > 3:
            text = _("{told} and {n} more").format(told=text, n=len(words) - 3)
        way = WayBack("hours", text, self.gain(tried), self.on_time(tried), days=days, minutes=minutes, people=people)
        return way, tried

    # another boat later
    def _other_boats(self) -> Iterator[Found]:
        for other in self._in_her_way()[:OTHERS]:
            tried = self.changed(also=other)
            if tried is None or self.gain(tried) <= 0:
                continue
            was = self.last
            orders = {job.order for job in self.problem.jobs if job.boat == other} - set(self.orders)
            later = max((tried.last[o] - was[o] for o in orders if o in was), default=0)
            kept = later <= 0 or all(
                tried.last[o] <= max(self.problem.orders[o].due_day, was.get(o, 0)) for o in orders
            )
            if not kept and later > self.gain(tried):
                continue  # a bad bargain
            name = self.problem.boats[other].name
            text = later_words(name, later, kept=kept)
            yield (
                WayBack("boat", text, self.gain(tried), self.on_time(tried), boats=((other, max(0, later), kept),)),
                tried,
            )

    def _in_her_way(self) -> list[int]:
        """Boats with the most work of the people and at the places that she could use, until she is ready now."""
        people = {
            number
            for number, person in enumerate(self.problem.people)
            for job in self.open
            for way in self.problem.jobs[job].ways
            if any(person.skills.get(need.skill, 0) >= need.level for need in way.crew)
        }
        places = {
            p for job in self.open for way in self.problem.jobs[job].ways for need in way.places for p in need.any_of
        }
        last = max(self.before.values())
        due = min(self.problem.orders[order].due_day for order in self.orders)
        weight: dict[int, int] = {}
        for row in self.plan.placements:
            boat, day = self.problem.jobs[row.job].boat, row.starts_at // self.per_day
            shares = len(people & set(row.people)) + len({place for place, _unit in row.places} & places)
            if boat != self.boat and shares and due - 5 <= day <= last:
                weight[boat] = weight.get(boat, 0) + shares * (row.ends_at - row.starts_at)
        return sorted(weight, key=lambda boat: (-weight[boat], boat))

    # a day on which nobody works now
    def _extra_days(self) -> Iterator[Found]:
        placed = self.plan.by_job()
        starts = [placed[number].starts_at // self.per_day for number in self.open if number in placed]
        due = min(self.problem.orders[order].due_day for order in self.orders)
        first = min([*starts, due]) - DAYS_BEFORE
        days = [extra for extra in extra_days(self.problem) if first <= extra.after <= max(self.before.values())]
        near = sorted(days, key=lambda extra: abs(extra.after - due))[:DAYS_TRIED]
        for extra in near:
            yield from self._on(extra)

    def _on(self, extra: Extra) -> Iterator[Found]:
        problem, plan = extra.insert(self.plan)
        tried = self.attempt(problem, plan)
        if tried is None:
            return
        late = sum(max(0, tried.last[o] - problem.orders[o].due_day) for o in self.orders)
        day, gain = extra.after + 1, self.days_late(self.before) - late
        who = tuple(sorted({p for row in tried.rows if row.starts_at // self.per_day == day for p in row.people}))
        if gain > 0 and who:
            names = listed(problem.people[person].name for person in who[:3])
            text = _("{names} at work on {day}").format(names=names, day=extra.name)
            yield WayBack("day", text, gain, late == 0, days=(extra.after,), people=who), tried


def _disjoint(spans: list[Minutes]) -> tuple[Minutes, ...]:
    """Sorted, with nothing twice: a day made longer may reach the next where nights are short."""
    kept: list[Minutes] = []
    for starts, ends in sorted(spans):
        begins = max(starts, kept[-1][1]) if kept else starts
        if begins < ends:
            kept.append((begins, ends))
    return tuple(kept)


def _joined(spans: tuple[Minutes, ...]) -> list[Minutes]:
    joined: list[Minutes] = []
    for starts, ends in spans:
        if joined and joined[-1][1] == starts:
            joined[-1] = (joined[-1][0], ends)
        else:
            joined.append((starts, ends))
    return joined
