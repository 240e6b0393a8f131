"""What the settings page shows: each field beside its default, source and effect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from django.forms import BoundField
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from yard.models import Place, Weekday, YardSettings
from yard.tides import TideError, open_source
from yard.tides.stations import NearStation, nearest
from yard.weather.limits import LIMITS, Limits
from yard.web.settings.about import ABOUT, GROUPS, About, unit_said
from yard.web.settings.form import KINDS, LIMITED, SettingsForm
from yard.web.settings.was import settings_history
from yard.web.units import height_unit

NEAR_STATIONS = 5


@dataclass(frozen=True)
class SettingLine:
    field: BoundField
    about: About
    unit: str


@dataclass(frozen=True)
class Group:
    """Settings under one heading. near: the tide stations about the yard, beside those of the tide."""

    title: str
    lines: tuple[SettingLine, ...]
    near: Sequence[NearStation]


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
        Group(
            str(title),
            tuple(SettingLine(form[name], ABOUT[name], unit_said(ABOUT[name], unit)) for name in names),
            _near(yard) if "tide_station" in names else (),
        )
        for title, names in GROUPS
    ]
    limits = [
        LimitLine(
            str(KINDS[kind]),
            tuple(form[f"limit_{each}_{name}"] for each, name in LIMITED if each == kind),
            _also(LIMITS[kind]),
            _(LIMITS[kind].source),
        )
        for kind in dict.fromkeys(kind for kind, _name in LIMITED)
    ]
    return {
        "form": form,
        "groups": groups,
        "limits": limits,
        "hours": [form[f"shop_{weekday.value}"] for weekday in Weekday],
        "station": _station_words(yard),
        "zones": sorted(zone for zone in available_timezones() if "/" in zone),
        "places": Place.objects.filter(archived=False),
        "changes": settings_history(yard) if yard.name else (),
    }


def _also(limits: Limits) -> str:
    """What a kind of work asks for beside its figures; these are no settings."""
    words = [_("a dry hour")] if limits.dry else []
    if limits.min_dew_spread_c is not None:
        dry = _("air {spread} °C over the dew point")
        if limits.firm_dew_spread_c is not None:
            dry = _("air {spread} °C over the dew point ({firm} to be firm)")
        words.append(dry.format(spread=_figure(limits.min_dew_spread_c), firm=_figure(limits.firm_dew_spread_c)))
    if limits.warm_after_h:
        words.append(_("as warm for {hours} h after").format(hours=limits.warm_after_h))
    if limits.thunder_after_h is not None:
        thunder = _("no thunder until {after} h after it")
        if limits.thunder_before_h:
            thunder = _("no thunder from {before} h before until {after} h after it")
        words.append(thunder.format(before=limits.thunder_before_h, after=limits.thunder_after_h))
    return ", ".join(words)


def _figure(value: float | None) -> str:
    return "" if value is None else number_format(f"{value:g}")


def _station_words(yard: YardSettings) -> str:
    """The station's own name and datum, or why it cannot be read."""
    if not yard.tide_station:
        return _("No station yet: nothing that needs water can be planned.")
    try:
        source = open_source(yard.tide_station)
    except (TideError, OSError) as error:
        return _("This station cannot be read: {error}").format(error=error)
    return _("{station}; heights above {datum}; {method}").format(
        station=source.name, datum=source.datum, method=source.method
    )


def _near(yard: YardSettings) -> list[NearStation]:
    if yard.latitude is None or yard.longitude is None:
        return []
    return nearest(yard.latitude, yard.longitude, NEAR_STATIONS)
