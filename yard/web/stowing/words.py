"""What a store plan and the first freeze say in sentences."""

from __future__ import annotations

from typing import Any

from yard.models import StowPlan
from yard.services.stowing.hauled import HaulsMoved
from yard.weather.first_freeze import About, Chance, FewerThan, MoreThan


def moves(count: int) -> str:
    return "no extra move" if count == 0 else f"{count} extra move{'' if count == 1 else 's'}"


def sentences(kind: str, figures: dict[str, Any]) -> list[str]:
    """How many extra moves spring needs, beside first come and the bound; then how sure the order is."""
    who = "boats" if kind == StowPlan.Kind.BOATS else "masts"
    extra, least = figures["extra"], figures["at_least"]
    if extra is None:
        first = f"In this order {figures['stuck']} could not be taken out: the apron is too small for those in her way."
    else:
        first = f"Spring needs {moves(extra)} in this order."
    return [first, *_filled_again(figures), _first_come(figures), _bound(extra, least, figures), *_drawn(who, figures)]


def _filled_again(figures: dict[str, Any]) -> list[str]:
    """A plan made by the hauls of a posted plan, beside the rows that stood."""
    if "hauled_by" not in figures:
        return []
    by = f"Filled again by the hauls of plan {figures['hauled_by']}"
    if figures["before"] is None:
        return [f"{by}."]
    return [f"{by}; in the accepted rows, put in as they come, it would be {moves(figures['before'])}."]


def hauls_words(hauls: HaulsMoved, planned: int | None) -> str:
    """What the posted plan's hauls make of a store plan. planned: its own extra moves, None where it is stuck."""
    count = len(hauls.moved)
    who = f"{count} boat{'' if count == 1 else 's'} on other days than this plan has"
    began = f"Plan {hauls.number} hauls {who}" if count else f"Plan {hauls.number} hauls in another turn"
    if hauls.extra is None:
        return f"{began}: put in as they come, spring could not empty these rows."
    if hauls.in_turn:
        return f"{began}, along each row in the turn that is drawn: spring still needs {moves(hauls.extra)}."
    instead = f" instead of {planned}" if planned is not None and planned != hauls.extra else ""
    return f"{began}: put in as they come, spring would need {moves(hauls.extra)}{instead}."


def _first_come(figures: dict[str, Any]) -> str:
    if figures["first_come"] is None:
        return f"Filled as they come it would not work: {figures['first_come_fails']}."
    return f"Filled as they come it would need {moves(figures['first_come'])}."


def _bound(extra: int | None, least: int, figures: dict[str, Any]) -> str:
    filling = "No way of filling it by these hauls" if "hauled_by" in figures else "No way of filling it"
    if extra == least:
        return f"{filling} needs fewer: that is proved." if least else "Fewer than none there cannot be."
    known = f"{filling} needs fewer than {least}" if least else "Whether it could do with none is not proved"
    return f"{known}; the proof does not add up lengths, so what can be reached may lie between."


def _drawn(who: str, figures: dict[str, Any]) -> list[str]:
    """Nobody leaves on the day that was expected."""
    half, most = figures["springs"].get("5"), figures["springs"].get("9")
    found = []
    if half is not None and most is not None:
        found.append(
            f"If {who} leave in another order than expected: no more than {half} in 5 of 10 springs, no more than"
            f" {most} in 9 of 10 ({figures['springs_drawn']} drawn, each boat's day about the expected one by a guess)."
        )
    if figures["springs_stuck"]:
        found.append(f"In {figures['springs_stuck']} of the springs drawn the apron was too small.")
    if figures["not_known"]:
        found.append(f"For {figures['not_known']} nothing tells when they leave: they are taken to leave as most do.")
    return found


def chance_words(chance: Chance | None) -> str:
    match chance:
        case About(in_100=share):
            return f"{share} in 100"
        case FewerThan(in_100=share):
            return f"fewer than {share} in 100"
        case MoreThan(in_100=share):
            return f"more than {share} in 100"
    return "–"
