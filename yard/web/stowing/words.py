"""What a store plan and the first freeze say in sentences."""

from __future__ import annotations

from typing import Any

from yard.models import StowPlan
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
    return [first, _first_come(figures), _bound(extra, least), *_drawn(who, figures)]


def _first_come(figures: dict[str, Any]) -> str:
    if figures["first_come"] is None:
        return f"Filled as they come it would not work: {figures['first_come_fails']}."
    return f"Filled as they come it would need {moves(figures['first_come'])}."


def _bound(extra: int | None, least: int) -> str:
    if extra == least:
        return "No way of filling it needs fewer: that is proved." if least else "Fewer than none there cannot be."
    known = f"No way of filling it needs fewer than {least}" if least else "Whether it could do with none is not proved"
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
