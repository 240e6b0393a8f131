"""What a Problem does not say of its jobs, guessed from their windows and names: for seasons without a yard behind.

A yard's own rows say it exactly (services.promise_input); a season from a file is simulated with these guesses.
"""

from __future__ import annotations

from collections.abc import Mapping

from yard.planning.plan import Plan
from yard.planning.problem import Job, Problem
from yard.promise.of_plan import LATE_CHANCE, LATE_DAYS, About, JobAbout
from yard.promise.season import Expected, HalfDays, Milestone
from yard.weather.climate import HalfDayChain, HalfDayClimate, Season, WorkClass, season_of

WET = {WorkClass.COATING}
BOOKED_PER_MEDIAN = 1.1  # what plans book of a job's median hours
NAMES: Mapping[str, WorkClass | None] = {  # words in a job's name; the first that is found holds
    "wash": None,
    "paint": WorkClass.COATING,
    "varnish": WorkClass.COATING,
    "pattern": WorkClass.PATTERN,
    "mast": WorkClass.MAST_GUST_15,
    "aloft": WorkClass.MAST_GUST_15,
}


def half_days(climate: HalfDayClimate) -> tuple[HalfDays, ...]:
    """The climate's classes as plain numbers: those stopped by wind are one group, coating is another."""
    rows = []
    for work_class in WorkClass:
        chains = {season: climate.chain(work_class, season) for season in Season}
        rows.append(
            HalfDays(
                name=work_class.value,
                group=int(work_class in WET),
                lost=tuple(_month(chains[season_of(month)]) for month in range(1, 13)),
            )
        )
    return tuple(rows)


def _month(chain: HalfDayChain) -> tuple[tuple[float, float], tuple[float, float]]:
    return (
        (chain.am_lost_after_pm_ok, chain.am_lost_after_pm_lost),
        (chain.pm_lost_after_am_ok, chain.pm_lost_after_am_lost),
    )


def guessed_about(problem: Problem, plan: Plan, climate: HalfDayClimate, *, booked: float = BOOKED_PER_MEDIAN) -> About:
    """Kind: the job's name.  Median: what is booked, less the factor `booked` for work with people.  Weather: jobs
    that need light or dry days are outdoors; in water, or by name.  Milestones: the last job of each order, and every
    job in water.  A fact still expected is late as often as common practice says."""
    facts: dict[tuple[int, str], Expected] = {}
    numbers: dict[tuple[int, str], int] = {}
    jobs = {}
    for row in problem.jobs:
        way = row.ways[0]
        for text in row.waits_on:
            key = (row.boat, text)
            if key not in facts and row.not_before is not None:
                numbers[key] = len(facts)
                facts[key] = Expected(name=text, minute=row.not_before, late_chance=LATE_CHANCE, late_days=LATE_DAYS)
        jobs[row.key] = JobAbout(
            kind=row.name,
            median_quarters=way.duration_quarters / (booked if way.crew else 1.0),
            weather=_weather(problem, row),
            facts=tuple(numbers[row.boat, text] for text in row.waits_on if (row.boat, text) in numbers),
        )
    return About(
        jobs=jobs, weather=half_days(climate), facts=tuple(facts.values()), milestones=_milestones(problem, plan)
    )


def _weather(problem: Problem, row: Job) -> int:
    rules = {problem.window_sets[each.window_set].rule for way in row.ways for each in way.inside}
    if not rules & {"light", "weather", "water"}:
        return -1
    for word, found in NAMES.items():
        if word in row.name.lower():
            return -1 if found is None else list(WorkClass).index(found)
    return list(WorkClass).index(WorkClass.AFLOAT if "water" in rules else WorkClass.SAILS_AND_COVERS)


def _milestones(problem: Problem, plan: Plan) -> tuple[Milestone, ...]:
    last: dict[int, int] = {}
    placed = plan.by_job()
    for index, placement in placed.items():
        order = problem.jobs[index].order
        if order not in last or placed[last[order]].ends_at < placement.ends_at:
            last[order] = index
    marks = [
        Milestone(
            key=f"{problem.orders[order].key} done",
            name=problem.orders[order].name,
            job=index,
            at_start=False,
            promised_day=problem.orders[order].due_day,
        )
        for order, index in sorted(last.items())
    ]
    for index in sorted(placed):
        row = problem.jobs[index]
        if any(problem.window_sets[each.window_set].rule == "water" for way in row.ways for each in way.inside):
            marks.append(Milestone(key=f"{row.key} {row.name}", name=row.name, job=index, at_start=True))
    return tuple(marks)
