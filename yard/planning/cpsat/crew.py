"""crew: a job has the people it asks for, each with the skill; each person fills one need of it."""

from __future__ import annotations

from itertools import combinations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import JobVars, Mode, Season, as_expr


def post(season: Season) -> None:
    for row in season.unpinned:
        for number, mode in enumerate(row.modes):
            _name_people(season, row, mode, number)
    _enough_skills(season)


def _name_people(season: Season, row: JobVars, mode: Mode, number: int) -> None:
    model = season.model
    by_person: dict[int, list[cp_model.IntVar]] = {}
    for need_index, (need, people) in enumerate(zip(mode.way.crew, mode.candidates, strict=False)):
        fills = []
        for person in people:
            literal = model.new_bool_var(f"job {row.index} mode {number} need {need_index} person {person}")
            mode.chosen[need_index, person] = literal
            by_person.setdefault(person, []).append(literal)
            fills.append(literal)
        model.add(cp_model.LinearExpr.sum(fills) == need.count * as_expr(mode.literal))
    for person, literals in by_person.items():
        if len(literals) == 1:
            mode.booked[person] = literals[0]
            continue
        booked = model.new_bool_var(f"job {row.index} mode {number} person {person}")
        model.add(cp_model.LinearExpr.sum(literals) == booked)
        mode.booked[person] = booked
    for group in mode.hours_groups:
        there = [mode.booked[person] for person in group if person in mode.booked]
        season.when(model.add_bool_or(there), mode.literal)


def _enough_skills(season: Season) -> None:
    """What follows from the rest and helps to prove it: no more people of a skill at work than there are.

    For each skill alone, each two of them and all.
    """
    rows = [(row, mode) for row in season.unpinned for mode in row.modes if mode.way.crew]
    skills = sorted({(need.skill, need.level) for _row, mode in rows for need in mode.way.crew})
    unions = {frozenset(chosen) for count in (1, 2, len(skills)) for chosen in combinations(skills, count)}
    spans: dict[int, cp_model.IntervalVar] = {}
    for union in sorted(unions, key=sorted):
        able = sum(
            any(person.skills.get(skill, 0) >= level for skill, level in union) for person in season.problem.people
        )
        intervals, demands = [], []
        for row, mode in rows:
            wanted = sum(need.count for need in mode.way.crew if (need.skill, need.level) in union)
            if wanted:
                if id(mode) not in spans:
                    spans[id(mode)] = season.interval(row.start, mode.end, f"crew of {row.index}", mode.literal)
                intervals.append(spans[id(mode)])
                demands.append(wanted)
        if intervals and sum(demands) > able:
            season.model.add_cumulative(intervals, demands, able)
