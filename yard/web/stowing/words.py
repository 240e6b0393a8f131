"""What a store plan and the first freeze say in sentences."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import StowPlan
from yard.services.stowing.hauled import HaulsMoved
from yard.weather.first_freeze import About, Chance, FewerThan, MoreThan


def moves(count: int) -> str:
    if count == 0:
        return _("no extra move")
    return ngettext("{n} extra move", "{n} extra moves", count).format(n=count)


def sentences(kind: str, figures: dict[str, Any]) -> list[str]:
    """How many extra moves spring needs, beside first come and the bound; then how sure the order is."""
    extra, least = figures["extra"], figures["at_least"]
    if extra is None:
        first = _("In this order {boat} could not be taken out: the apron is too small for those in her way.").format(
            boat=figures["stuck"]
        )
    else:
        first = _("Spring needs {moves} in this order.").format(moves=moves(extra))
    return [first, *_filled_again(figures), _first_come(figures), _bound(extra, least, figures), *_drawn(kind, figures)]


def _filled_again(figures: dict[str, Any]) -> list[str]:
    """A plan made by the hauls of a posted plan, beside the rows that stood."""
    if "hauled_by" not in figures:
        return []
    plan, before = figures["hauled_by"], figures["before"]
    if before is None:
        return [_("Filled again by the hauls of plan {number}.").format(number=plan)]
    return [
        _(
            "Filled again by the hauls of plan {number}; in the accepted rows, put in as they come, it would be "
            "{moves}."
        ).format(number=plan, moves=moves(before))
    ]


def hauls_words(hauls: HaulsMoved, planned: int | None) -> str:
    """What the posted plan's hauls make of a store plan. planned: its own extra moves, None where it is stuck."""
    count = len(hauls.moved)
    if count:
        began = ngettext(
            "Plan {number} hauls {n} boat on other days than this plan has",
            "Plan {number} hauls {n} boats on other days than this plan has",
            count,
        ).format(number=hauls.number, n=count)
    else:
        began = _("Plan {number} hauls in another turn").format(number=hauls.number)
    if hauls.extra is None:
        return _("{began}: put in as they come, spring could not empty these rows.").format(began=began)
    needed = moves(hauls.extra)
    if hauls.in_turn:
        return _("{began}, along each row in the turn that is drawn: spring still needs {moves}.").format(
            began=began, moves=needed
        )
    if planned is None or planned == hauls.extra:
        return _("{began}: put in as they come, spring would need {moves}.").format(began=began, moves=needed)
    return _("{began}: put in as they come, spring would need {moves} instead of {planned}.").format(
        began=began, moves=needed, planned=planned
    )


def _first_come(figures: dict[str, Any]) -> str:
    if figures["first_come"] is None:
        return _("Filled as they come it would not work: {why}.").format(why=figures["first_come_fails"])
    return _("Filled as they come it would need {moves}.").format(moves=moves(figures["first_come"]))


def _bound(extra: int | None, least: int, figures: dict[str, Any]) -> str:
    if extra == least == 0:
        return _("Fewer than none there cannot be.")
    if extra == least:
        if "hauled_by" in figures:
            return _("No way of filling it by these hauls needs fewer: that is proved.")
        return _("No way of filling it needs fewer: that is proved.")
    if not least:
        known = _("Whether it could do with none is not proved")
    elif "hauled_by" in figures:
        known = _("No way of filling it by these hauls needs fewer than {least}").format(least=least)
    else:
        known = _("No way of filling it needs fewer than {least}").format(least=least)
    return _("{known}; the proof does not add up lengths, so what can be reached may lie between.").format(known=known)


def _drawn(kind: str, figures: dict[str, Any]) -> list[str]:
    """Nobody leaves on the day that was expected."""
    half, most = figures["springs"].get("5"), figures["springs"].get("9")
    found = []
    if half is not None and most is not None:
        said = (
            _(
                "If boats leave in another order than expected: no more than {half} in 5 of 10 springs, no more than "
                "{most} in 9 of 10 ({drawn} drawn, each boat's day about the expected one by a guess)."
            )
            if kind == StowPlan.Kind.BOATS
            else _(
                "If masts leave in another order than expected: no more than {half} in 5 of 10 springs, no more than "
                "{most} in 9 of 10 ({drawn} drawn, each boat's day about the expected one by a guess)."
            )
        )
        found.append(said.format(half=half, most=most, drawn=figures["springs_drawn"]))
    if figures["springs_stuck"]:
        found.append(_("In {n} of the springs drawn the apron was too small.").format(n=figures["springs_stuck"]))
    if figures["not_known"]:
        found.append(
            _("For {n} nothing tells when they leave: they are taken to leave as most do.").format(
                n=figures["not_known"]
            )
        )
    return found


def chance_words(chance: Chance | None) -> str:
    match chance:
        case About(in_100=share):
            return _("{share} in 100").format(share=share)
        case FewerThan(in_100=share):
            return _("fewer than {share} in 100").format(share=share)
        case MoreThan(in_100=share):
            return _("more than {share} in 100").format(share=share)
    return "–"
