"""Hours, waits, crews and places in the yard's words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import reduce
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

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
        return days_words(days)
    return hours_words(minutes)


def days_words(days: int) -> str:
    """2 days; read again by `packages/hours.py`, which asks here for the word."""
    return ngettext("{n} day", "{n} days", days).format(n=days)


def between_words(least_min: int, longest_min: int | None) -> str:
    """What must, and at most may, lie between two jobs; empty where nothing is asked."""
    if least_min and longest_min is not None:
        return _("{least} to {longest}").format(least=wait_words(least_min), longest=wait_words(longest_min))
    if longest_min is not None:
        return _("at most {wait}").format(wait=wait_words(longest_min))
    return _("at least {wait}").format(wait=wait_words(least_min)) if least_min else ""


def crew_words(crew: Iterable[Mapping[str, Any]], skills: Mapping[str, str]) -> str:
    """2 × yard hand, 1 × rigger (level 2). skills: their names by key."""
    lines = [
        f"{line['count']} × {_lower(skills.get(line['skill'], line['skill']))}"
        + (f" ({_('level {n}').format(n=line['level'])})" if line["level"] > 1 else "")
        for line in crew
    ]
    return ", ".join(lines) or _("nobody")


def or_words(names: Sequence[str]) -> str:
    """sloop or yawl or ketch; empty for none."""
    return reduce(lambda first, last: _("{first} or {last}").format(first=first, last=last), names) if names else ""


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:]


def place_words(kinds: Iterable[str]) -> str:
    return ", ".join(str(PlaceKind(kind).label) for kind in kinds)


def need_words(*, water: str, weather: str, light: bool) -> str:
    """What a job needs of water, light and weather; empty where it needs none."""
    needs = []
    if water and water != WaterNeed.NONE:
        needs.append(_("water {need}").format(need=WaterNeed(water).label))
    if light:
        needs.append(_("daylight"))
    if weather and weather != WeatherClass.NONE:
        needs.append(_("weather for {work}").format(work=WeatherClass(weather).label))
    return ", ".join(needs)
