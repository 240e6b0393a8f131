"""What the settings page shows: each field beside its default, source and effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from django.forms import BoundField

from yard.models import Place, Weekday, YardSettings
from yard.tides import TideError, open_source
from yard.tides.stations import NearStation, nearest
from yard.weather.limits import LIMITS
from yard.web.history import changes_of
from yard.web.settings.about import ABOUT, GROUPS, About
from yard.web.settings.form import WINDY, SettingsForm
from yard.web.units import height_unit

NEAR_STATIONS = 5


@dataclass(frozen=True)
class SettingLine:
    field: BoundField
    about: About
    unit: str


@dataclass(frozen=True)
class LimitLine:
    """A kind of work: its fields (wind, gust, those it knows) and whose the defaults are."""

    name: str
    fields: tuple[BoundField, ...]
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
            tuple(form[f"limit_{each}_{name}"] for each, name in WINDY if each == kind),
            LIMITS[kind].source,
        )
        for kind in dict.fromkeys(kind for kind, _ in WINDY)
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
        "changes": changes_of(yard) if yard.name else (),
    }


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
