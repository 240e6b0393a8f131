"""What the settings page shows: each field beside its default, source and effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from django.forms import BoundField

from yard.models import Place, Weekday, YardSettings
from yard.tides import TideError, open_source
from yard.tides.stations import NearStation, nearest
from yard.weather.limits import LIMITS, Limits
from yard.web.settings.about import ABOUT, GROUPS, About
from yard.web.settings.form import LIMITED, SettingsForm
from yard.web.settings.was import settings_history
from yard.web.units import height_unit

NEAR_STATIONS = 5


@dataclass(frozen=True)
class SettingLine:
    field: BoundField
    about: About
    unit: str


@dataclass(frozen=True)
class LimitLine:
    """A kind of work: its fields (wind, warmth, damp: those it knows), what else it asks, whose the defaults are."""

    name: str
    fields: tuple[BoundField, ...]
    also: str
    source: str


def settings_page(form: SettingsForm) -> dict[str, Any]:
    """What the template is given; two queries beyond the form's own."""
    yard, unit = form.yard, height_unit(form.yard)
    groups = [
        (title, [SettingLine(form[name], ABOUT[name], _unit(ABOUT[name], unit)) for name in names])
        for title, names in GROUPS
    ]
    limits = [
        LimitLine(
            str(kind).replace("_", " "),
            tuple(form[f"limit_{each}_{name}"] for each, name in LIMITED if each == kind),
            _also(LIMITS[kind]),
            LIMITS[kind].source,
        )
        for kind in dict.fromkeys(kind for kind, _ in LIMITED)
    ]
    return {
        "form": form,
        "groups": groups,
        "limits": limits,
        "hours": [form[f"shop_{weekday.value}"] for weekday in Weekday],
        "station": _station_words(yard),
        "near": _near(yard),
        "zones": sorted(zone for zone in available_timezones() if "/" in zone),
        "places": Place.objects.filter(archived=False),
        "changes": settings_history(yard) if yard.name else (),
    }


def _also(limits: Limits) -> str:
    """What a kind of work asks for beside its figures; these are no settings."""
    words = ["a dry hour"] if limits.dry else []
    if limits.min_dew_spread_c is not None:
        firm = f" ({limits.firm_dew_spread_c:g} to be firm)" if limits.firm_dew_spread_c is not None else ""
        words.append(f"air {limits.min_dew_spread_c:g} °C over the dew point{firm}")
    if limits.warm_after_h:
        words.append(f"as warm for {limits.warm_after_h} h after")
    if limits.thunder_after_h is not None:
        before = f" from {limits.thunder_before_h} h before" if limits.thunder_before_h else ""
        words.append(f"no thunder{before} until {limits.thunder_after_h} h after it")
    return ", ".join(words)


def _unit(about: About, unit: str) -> str:
    return unit if about.unit == "height" else about.unit


def _station_words(yard: YardSettings) -> str:
    """The station's own name and datum, or why it cannot be read."""
    if not yard.tide_station:
        return "No station yet: nothing that needs water can be planned."
    try:
        source = open_source(yard.tide_station)
    except (TideError, OSError) as error:
        return f"This station cannot be read: {error}"
    return f"{source.name}; heights above {source.datum}; {source.method}"


def _near(yard: YardSettings) -> list[NearStation]:
    if yard.latitude is None or yard.longitude is None:
        return []
    return nearest(yard.latitude, yard.longitude, NEAR_STATIONS)
