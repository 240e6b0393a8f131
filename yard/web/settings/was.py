"""What the settings were: each change with its figures, and the way back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import ngettext

from yard import speech
from yard.models import YardSettings
from yard.services.read_problem.weather import cells_from_json
from yard.services.yard_settings import YARD
from yard.weather.limits import WorkKind
from yard.web.keeping.fields import week_words
from yard.web.keeping.saying import Sayer, Was, history_of
from yard.web.settings.about import ABOUT, HEIGHT, unit_said
from yard.web.settings.form import KINDS, LABELS
from yard.web.units import height, height_unit


def settings_history(yard: YardSettings) -> tuple[Was, ...]:
    """The last twenty changes, the newest first, with opening hours and holidays. Three queries."""
    feet = yard.units == YardSettings.Units.FEET
    labels = {key: str(about.label) for key, about in ABOUT.items()}
    say = Sayer(YARD, feet=feet, says=_says(yard), labels=labels)
    return history_of(yard, say, lambda history_id: reverse("yard_settings_back", args=[history_id]))


def _says(yard: YardSettings) -> dict[str, Callable[[Any], str]]:
    plain = Sayer(YARD, feet=False)
    figures: dict[str, Callable[[Any], str]] = {}
    for key, about in ABOUT.items():
        figures[key] = (
            _height(yard) if about.unit == HEIGHT else _figure(plain, key, unit_said(about, height_unit(yard)))
        )
    tables = {"weather_limits": _limits_words, "weather_allowance": _allowance_words}
    return figures | tables | {"shop": week_words, "holidays": _holidays_words}


def _height(yard: YardSettings) -> Callable[[Any], str]:
    unit = height_unit(yard)
    return lambda value: "" if value is None else f"{speech.number(height(value, yard), 2)} {unit}"


def _figure(plain: Sayer, key: str, unit: str) -> Callable[[Any], str]:
    return lambda value: "" if value in (None, "") else f"{plain.value(key, value)} {unit}".strip()


def _limits_words(own: Mapping[str, Mapping[str, float]]) -> str:
    """ "mast: gust 13; coating: from 15" in knots, degrees Celsius and per cent, those that the yard set itself."""
    return "; ".join(f"{KINDS[WorkKind(kind)]}: {', '.join(_each(figures))}" for kind, figures in own.items())


def _each(figures: Mapping[str, float]) -> Iterator[str]:
    for name, value in figures.items():
        yield f"{LABELS[name]} {number_format(f'{value:g}')}"


def _allowance_words(own: Any) -> str:
    count = len(cells_from_json(own))
    words = ngettext("{n} figure of the yard's own", "{n} figures of the yard's own", count)
    return words.format(n=count) if count else ""


def _holidays_words(holidays: Mapping[date, str]) -> str:
    return ", ".join(f"{day} {name}" for day, name in holidays.items())
