"""hours: people work inside their own hours, away from breaks, leave and holidays."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from yard.planning.cpsat.axis import Axis, at_least
from yard.planning.cpsat.season import Mode, Season
from yard.planning.problem import QUARTER_MIN, Person


@dataclass
class PersonHours:
    """One person's quarters as masks."""

    axis: Axis
    person: Person

    @cached_property
    def normal(self) -> int:
        return self.axis.inside(self.person.hours)

    @cached_property
    def away(self) -> int:
        return self.axis.touching(self.person.away)

    def day_minutes(self, day: int) -> tuple[int, int] | None:
        """From the first to the last minute of normal hours within the day."""
        opens = self.axis.day_starts[day]
        closes = opens + QUARTER_MIN * self.axis.per_day
        within = [
            (max(starts, opens), min(ends, closes))
            for starts, ends in self.person.hours
            if starts < closes and ends > opens
        ]
        return (within[0][0], within[-1][1]) if within else None

    @cached_property
    def with_slides(self) -> int:
        """Normal hours, and before and after them as far as the day may slide; leave not taken out."""
        mask = self.normal
        slide = self.person.slide
        if slide is None:
            return mask
        for day in range(self.axis.days):
            whole_day = self.axis.day(day)
            span = self.day_minutes(day)
            if span is None or not self.normal & whole_day & ~self.away:
                continue
            reach = self.axis.inside(((span[0] - slide.early_min, span[1] + slide.late_min),))
            breaks = self.axis.inside((span,))
            mask |= whole_day & reach & ~breaks
        return mask


def _starts(season: Season, hours: PersonHours, mode: Mode) -> int:
    """The starts of this mode that suit this person."""
    if season.problem.jobs[mode.job].pausing == "paused":
        return season.clear_of(mode, hours.away & mode.counted)
    open_hours = hours.with_slides if mode.way.slides else hours.normal
    return season.clear_of(mode, season.axis.full & ~(open_hours & ~hours.away))


def all_hours(season: Season) -> list[PersonHours]:
    return [PersonHours(season.axis, person) for person in season.problem.people]


def narrow(season: Season) -> None:
    """Leave the starts at which each need has enough people, and the people who suit one of them."""
    hours = all_hours(season)
    for row in season.unpinned:
        for mode in row.modes:
            suits = {
                person: _starts(season, hours[person], mode) for person in {p for need in mode.candidates for p in need}
            }
            for need, people in zip(mode.way.crew, mode.candidates, strict=False):
                mode.starts &= at_least(need.count, (suits[person] for person in people), season.axis.full)
            mode.candidates = [[p for p in people if suits[p] & mode.starts] for people in mode.candidates]


def post(season: Season) -> None:
    """Who is booked must be there then."""
    hours = all_hours(season)
    for row in season.unpinned:
        for mode in row.modes:
            for person, booked in mode.booked.items():
                starts = _starts(season, hours[person], mode)
                if starts != mode.starts:
                    season.within(row.start, starts, booked)
