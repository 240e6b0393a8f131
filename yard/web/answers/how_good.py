"""How good a plan is, in words that claim no more than is proved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from yard.models import Plan, PlanBound
from yard.planning.plan import read_plan_json, score
from yard.planning.problem import CostRates, read_problem_json
from yard.services.asking import goes_on, sentence
from yard.services.how_good import best_bound

BY = {
    "nothing": "",
    "alone": "by planning each boat alone in an empty yard, exactly",
    "prices": "by putting prices on people and places that many boats want",
    "cpsat": "by the constraint solver",
}


@dataclass(frozen=True)
class GoodLine:
    name: str
    about: str
    plan: int
    bound: int | None

    @property
    def gap(self) -> int | None:
        return None if self.bound is None else max(0, self.plan - self.bound)


@dataclass(frozen=True)
class GoodPage:
    """bound: the best proof, None before the first. told: how a proof stands that is asked for. going: ask again."""

    verdict: str
    lines: tuple[GoodLine, ...]
    sentences: tuple[str, ...]
    bound: PlanBound | None
    by: str
    told: str
    going: bool

    @property
    def can_ask(self) -> bool:
        return not self.going and not (self.bound and self.lines[0].gap == 0)


def good_page(plan: Plan, *, now: datetime) -> GoodPage:
    """Two queries. now: the real clock."""
    problem = read_problem_json(plan.problem)
    found = score(problem, read_plan_json(plan.plan))
    best, newest = best_bound(plan), plan.bounds.order_by("-id").first()
    rates = problem.rates
    lines = (
        GoodLine("Cost", f": {_cost_words(rates)}", found.cost, None if best is None else best.cost),
        GoodLine(
            "Working days late",
            ", each counted by who goes first",
            found.weighted_days_late,
            None if best is None else best.weighted_days_late,
        ),
        GoodLine(
            "Days of flow",
            ", from a boat's first job to her last",
            found.days_of_flow,
            None if best is None else best.days_of_flow,
        ),
    )
    told = sentence(newest, now) if newest is not None and newest.state != PlanBound.State.DONE else ""
    going = newest is not None and goes_on(newest, now)
    by = "" if best is None else BY[best.by]
    return GoodPage(_verdict(lines, found.left_out), lines, _sentences(lines), best, by, told, going)


def _cost_words(rates: CostRates) -> str:
    return f"{rates.late_day} for a working day late, {rates.flow_day} for a day of flow"


def _verdict(lines: tuple[GoodLine, ...], left_out: int) -> str:
    cost, late, _flow = lines
    out = f" It leaves {left_out} boat{'' if left_out == 1 else 's'} out." if left_out else ""
    if cost.bound is None:
        return f"It is not proved yet how much better a plan could be.{out}"
    if cost.gap == 0:
        return f"It is proved: no plan of this season costs less.{out}"
    if late.plan == 0:
        return f"No order is late by it. What could be saved is flow, at most {lines[2].gap} days.{out}"
    if late.gap == 0:
        return f"It is proved: no plan has fewer days late.{out}"
    return f"Between 0 and {late.gap} of its {late.plan} days late could be saved: more is not known.{out}"


def _sentences(lines: tuple[GoodLine, ...]) -> tuple[str, ...]:
    found = []
    for line in lines:
        if line.bound is None:
            continue
        name = line.name.lower()
        if line.gap == 0:
            found.append(f"{line.name}: {line.plan}, and no plan has fewer. This is proved.")
        elif line.bound == 0:
            found.append(f"{line.name}: {line.plan}. Nothing is proved: a plan with none is not ruled out.")
        else:
            share = 100 * line.bound / line.plan
            found.append(
                f"{line.name}: {line.plan}. No plan has fewer {name} than {line.bound}, {share:.0f} in 100 of it;"
                f" at most {line.gap} could be saved."
            )
    return tuple(text.replace("fewer cost than", "a lower cost than") for text in found)
