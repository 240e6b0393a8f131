"""How good a plan is, in words that claim no more than is proved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Plan, PlanBound
from yard.planning.plan import read_plan_json, score
from yard.planning.problem import CostRates, read_problem_json
from yard.services.asking import goes_on, sentence
from yard.services.how_good import best_bound

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

BY: dict[str, StrOrPromise] = {
    "nothing": "",
    "alone": gettext_lazy("by planning each boat alone in an empty yard, exactly"),
    "prices": gettext_lazy("by putting prices on people and places that many boats want"),
    "cpsat": gettext_lazy("by the constraint solver"),
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
    def is_met(self) -> bool:
        """No plan costs less, and that is proved."""
        return self.bound is not None and self.lines[0].gap == 0

    @property
    def can_ask(self) -> bool:
        return not self.going and not self.is_met


def good_page(plan: Plan, *, now: datetime) -> GoodPage:
    """Two queries. now: the real clock."""
    problem = read_problem_json(plan.problem)
    found = score(problem, read_plan_json(plan.plan))
    best, newest = best_bound(plan), plan.bounds.order_by("-id").first()
    rates = problem.rates
    lines = (
        GoodLine(_("Cost"), _cost_words(rates), found.cost, None if best is None else best.cost),
        GoodLine(
            _("Working days late"),
            _(", each counted by who goes first"),
            found.weighted_days_late,
            None if best is None else best.weighted_days_late,
        ),
        GoodLine(
            _("Days of flow"),
            _(", from a boat's first job to her last"),
            found.days_of_flow,
            None if best is None else best.days_of_flow,
        ),
    )
    told = sentence(newest, now) if newest is not None and newest.state != PlanBound.State.DONE else ""
    going = newest is not None and goes_on(newest, now)
    by = "" if best is None else str(BY[best.by])
    return GoodPage(_verdict(lines, found.left_out), lines, _sentences(lines), best, by, told, going)


def _cost_words(rates: CostRates) -> str:
    return _(": {late_day} for a working day late, {flow_day} for a day of flow").format(
        late_day=rates.late_day, flow_day=rates.flow_day
    )


def _verdict(lines: tuple[GoodLine, ...], left_out: int) -> str:
    words = [_of_the_plan(lines)]
    if left_out:
        words.append(ngettext("It leaves {n} boat out.", "It leaves {n} boats out.", left_out).format(n=left_out))
    return " ".join(words)


def _of_the_plan(lines: tuple[GoodLine, ...]) -> str:
    cost, late, flow = lines
    if cost.bound is None:
        return _("It is not proved yet how much better a plan could be.")
    if cost.gap == 0:
        return _("It is proved: no plan of this season costs less.")
    if late.plan == 0:
        return _("No order is late by it. What could be saved is flow, at most {days} days.").format(days=flow.gap)
    if late.gap == 0:
        return _("It is proved: no plan has fewer days late.")
    return _("Between 0 and {gap} of its {days} days late could be saved: more is not known.").format(
        gap=late.gap, days=late.plan
    )


def _sentences(lines: tuple[GoodLine, ...]) -> tuple[str, ...]:
    bounded = (
        _("{name}: {plan}. No plan has a lower cost than {bound}, {share} in 100 of it; at most {gap} could be saved."),
        _(
            "{name}: {plan}. No plan has fewer working days late than {bound}, {share} in 100 of it;"
            " at most {gap} could be saved."
        ),
        _(
            "{name}: {plan}. No plan has fewer days of flow than {bound}, {share} in 100 of it;"
            " at most {gap} could be saved."
        ),
    )
    found = []
    for line, words in zip(lines, bounded, strict=True):
        if line.bound is None:
            continue
        if line.gap == 0:
            found.append(
                _("{name}: {plan}, and no plan has fewer. This is proved.").format(name=line.name, plan=line.plan)
            )
        elif line.bound == 0:
            found.append(
                _("{name}: {plan}. Nothing is proved: a plan with none is not ruled out.").format(
                    name=line.name, plan=line.plan
                )
            )
        else:
            share = f"{100 * line.bound / line.plan:.0f}"
            found.append(words.format(name=line.name, plan=line.plan, bound=line.bound, share=share, gap=line.gap))
    return tuple(found)
