"""People as rows of free words: normal hours, the day that slides, work that pauses."""

from __future__ import annotations

from dataclasses import dataclass, field

from yard.planning import engine as e
from yard.planning.axis import Axis
from yard.planning.problem import Person, Problem
from yard.planning.tables import Tables


@dataclass(slots=True)
class PersonRows:
    """Rows of one person; -1 where there is none. `tracked`: free words are worked out, not turned bit by bit."""

    free: int
    slide: int = -1
    pause: int = -1
    taken: int = -1
    worked: int = -1
    tracked: bool = False


@dataclass(slots=True)
class Roster:
    """By person: rows, words of normal hours, words of the quarters not away. slid_counters: one a person and week."""

    people: list[PersonRows] = field(default_factory=list)
    normal: list[list[int]] = field(default_factory=list)
    present: list[list[int]] = field(default_factory=list)
    slid_counters: int = 0
    weeks: int = 0


def enrol(problem: Problem, axis: Axis, tables: Tables) -> Roster:
    """Give every person rows, and write the table of people."""
    g = tables.g
    roster = Roster()
    roster.normal = [axis.words(person.hours) for person in problem.people]
    away = [axis.touched(person.away) for person in problem.people]
    roster.present = [[axis.full & ~word for word in words] for words in away]
    weeks = problem.calendar.weeks or (0,) * axis.days
    numbers = {week: number for number, week in enumerate(dict.fromkeys(weeks))}
    g[e.WEEK] = tables.add(numbers[week] for week in weeks)
    lists = [[day for day, week in enumerate(weeks) if numbers[week] == number] for number in numbers.values()]
    offsets = [(tables.add(days), len(days)) for days in lists]
    g[e.WEEK_DAYS] = tables.space(2 * len(lists))
    for number, (offset, count) in enumerate(offsets):
        g[g[e.WEEK_DAYS] + 2 * number : g[e.WEEK_DAYS] + 2 * number + 2] = [offset, count]
    pausing = any(job.pausing == "paused" and way.crew for job in problem.jobs for way in job.ways)
    sliding = any(way.slides for job in problem.jobs for way in job.ways)
    roster.weeks = len(lists)
    g[e.PERSON] = tables.space(len(problem.people) * e.PERSON_STRIDE)
    for number, person in enumerate(problem.people):
        _enrol_one(roster, tables, axis, number, person, pausing=pausing, sliding=sliding and person.slide is not None)
    return roster


def _enrol_one(
    roster: Roster, tables: Tables, axis: Axis, number: int, person: Person, *, pausing: bool, sliding: bool
) -> None:
    g = tables.g
    rows = PersonRows(tables.new_row())
    roster.people.append(rows)
    normal, present = roster.normal[number], roster.present[number]
    if person.slide is not None or (pausing and any(word != axis.full for word in normal)):
        rows.tracked = True
        rows.pause, rows.taken, rows.worked = tables.new_row(), tables.new_row(), tables.new_row()
        if sliding:
            rows.slide = tables.new_row()
    else:
        rows.pause = rows.free
    at = g[e.PERSON] + number * e.PERSON_STRIDE
    spans = [word.bit_length() - (word & -word).bit_length() + 1 if word else 0 for word in normal]
    slide = person.slide
    g[at + e.P_SPAN] = -1
    if slide is not None:
        wide = [
            axis.words([*_slid_hours(axis.calendar.day_starts[day], word, slide.early_min, slide.late_min)])[day]
            if word & free
            else word
            for day, (word, free) in enumerate(zip(normal, present, strict=True))
        ]
        g[at + e.P_WIDE] = tables.add(wide)
        g[at + e.P_SPAN] = tables.add(span or slide.span_min // 15 for span in spans)
        g[at + e.P_PER_WEEK] = slide.days_per_week
        g[at + e.P_SLID] = roster.slid_counters
        roster.slid_counters += roster.weeks
    g[at + e.P_ROW], g[at + e.P_SLIDE_ROW], g[at + e.P_PAUSE_ROW] = rows.free, rows.slide, rows.pause
    g[at + e.P_TRACKED], g[at + e.P_TAKEN], g[at + e.P_WORKED] = int(rows.tracked), rows.taken, rows.worked
    g[at + e.P_NORMAL], g[at + e.P_PRESENT] = tables.add(normal), tables.add(present)
    g[at + e.P_SKILLS] = len(person.skills)


def _slid_hours(day_start: int, normal: int, early_min: int, late_min: int) -> list[tuple[int, int]]:
    """Normal hours of a day as clock intervals, with the slide before the first and after the last."""
    first, last = (normal & -normal).bit_length() - 1, normal.bit_length()
    inside = [
        (day_start + 15 * quarter, day_start + 15 * (quarter + 1))
        for quarter in range(first, last)
        if normal >> quarter & 1
    ]
    opens, closes = day_start + 15 * first, day_start + 15 * last
    return [(opens - early_min, opens), *inside, (closes, closes + late_min)]
