"""Hours, waits, crews and places in the yard's words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from yard.models import PlaceKind, WaterNeed, WeatherClass

DAY_MIN = 24 * 60


def hours_words(minutes: int) -> str:
    """1 h 30 min; 45 min."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def wait_words(minutes: int) -> str:
    """Clock time: 16 h; 2 days."""
    days, rest = divmod(minutes, DAY_MIN)
    if days >= 2 and not rest:
        return f"{days} days"
    return hours_words(minutes)


def between_words(least_min: int, longest_min: int | None) -> str:
    """What must, and at most may, lie between two jobs; empty where nothing is asked."""
    if least_min and longest_min is not None:
        return f"{wait_words(least_min)} to {wait_words(longest_min)}"
    if longest_min is not None:
        return f"at most {wait_words(longest_min)}"
    return f"at least {wait_words(least_min)}" if least_min else ""


def crew_words(crew: Iterable[Mapping[str, Any]], skills: Mapping[str, str]) -> str:
    """2 × yard hand, 1 × rigger (level 2). skills: their names by key."""
    lines = [
        f"{line['count']} × {_lower(skills.get(line['skill'], line['skill']))}"
        + (f" (level {line['level']})" if line["level"] > 1 else "")
        for line in crew
    ]
    return ", ".join(lines) or "nobody"


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:]


def place_words(kinds: Iterable[str]) -> str:
    return ", ".join(str(PlaceKind(kind).label) for kind in kinds)


def need_words(*, water: str, weather: str, light: bool) -> str:
    """What a job needs of water, light and weather; empty where it needs none."""
    needs = []
    if water and water != WaterNeed.NONE:
        needs.append(f"water {WaterNeed(water).label}")
    if light:
        needs.append("daylight")
    if weather and weather != WeatherClass.NONE:
        needs.append(f"weather for {WeatherClass(weather).label}")
    return ", ".join(needs)
