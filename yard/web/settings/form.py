"""The form of the yard's settings: heights in its own unit, hours and holidays as a person writes them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, time
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import ShopHours, Weekday, YardHoliday, YardSettings
from yard.services.weather_limits import EDITED, limits_of
from yard.services.yard_settings import Stretch
from yard.weather.limits import LIMITS, WorkKind, fahrenheit
from yard.web.number_fields import NumberField
from yard.web.settings.about import ABOUT, GROUPS, HEIGHT
from yard.web.units import height, height_unit, metres_of

HEIGHTS = tuple(name for name, about in ABOUT.items() if about.unit == HEIGHT)
MOST_HEIGHT_M = 20.0
"""The greatest tides of the world range over 16 m; more is a mistyped unit."""
TO = pgettext_lazy("between two times of day, as people type them", "to")
STRETCH = r"(\d{{1,2}}):(\d{{2}})\s*(?:to|{to}|-|–)\s*(\d{{1,2}}):(\d{{2}})"
LIMITED = tuple((kind, name) for kind, limits in LIMITS.items() for name in EDITED if getattr(limits, name) is not None)
WARMEST_C, COLDEST_C = 60.0, -30.0
"""Outdoor work is done between these; beyond them a temperature was typed in another unit (common practice)."""
KINDS = {
    WorkKind.SAILS_AND_COVERS: gettext_lazy("sails and covers"),
    WorkKind.PATTERN: gettext_lazy("pattern"),
    WorkKind.MAST: gettext_lazy("mast"),
    WorkKind.AFLOAT: gettext_lazy("afloat"),
    WorkKind.COATING: gettext_lazy("coating"),
    WorkKind.WASH: gettext_lazy("wash"),
}
LABELS = {
    "wind_kn": gettext_lazy("wind"),
    "gust_kn": gettext_lazy("gust"),
    "above_temp_c": gettext_lazy("warmer than"),
    "min_temp_c": gettext_lazy("from"),
    "max_temp_c": gettext_lazy("to"),
    "below_rh": gettext_lazy("humidity under"),
}


MOST = {"wind_kn": 60, "gust_kn": 60, "below_rh": 100}
TOO_MUCH = dict.fromkeys(
    LABELS, gettext_lazy("Nobody works outdoors in that warmth: was it typed in another unit?")
) | {
    "wind_kn": gettext_lazy("Over 60 kn nobody works outdoors: was it typed in another unit?"),
    "gust_kn": gettext_lazy("Over 60 kn nobody works outdoors: was it typed in another unit?"),
    "below_rh": gettext_lazy("Humidity goes up to 100 %."),
}


class SettingsForm(forms.ModelForm):  # type: ignore[type-arg]  # Django does not subscript it at run time
    """Fields of YardSettings in the unit that people read; `shop_0` to `shop_6` and `holidays` as text."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    holidays = forms.CharField(label=gettext_lazy("Holidays"), required=False, widget=forms.Textarea(attrs={"rows": 8}))

    class Meta:
        model = YardSettings
        fields = [name for _, names in GROUPS for name in names]
        widgets = {
            "final_call_time": forms.TimeInput(attrs={"type": "time", "step": "900"}, format="%H:%M"),
            "time_zone": forms.TextInput(attrs={"list": "zones"}),
            "address": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, data: Any = None, *, yard: YardSettings) -> None:
        self.yard = yard
        stored = {name: getattr(yard, name) for name in HEIGHTS}
        shown = {name: None if value is None else round(height(value, yard), 3) for name, value in stored.items()}
        holidays = "\n".join(f"{row.day} {row.name}" for row in YardHoliday.objects.all())
        super().__init__(data, instance=yard, initial=shown | {"version": yard.version, "holidays": holidays})
        self._add_hours()
        self._add_limits()
        for name, field in self.fields.items():
            if name in ABOUT:
                field.label = ABOUT[name].label
                field.help_text = ""
            if not isinstance(field.widget, forms.CheckboxInput | forms.HiddenInput):
                field.widget.attrs["class"] = "field"
        for name in HEIGHTS:
            self.fields[name].widget.attrs["step"] = "any"

    def _add_hours(self) -> None:
        rows: dict[int, list[str]] = {}
        for row in ShopHours.objects.all():
            rows.setdefault(row.weekday, []).append(f"{row.starts:%H:%M} {TO} {row.ends:%H:%M}")
        for weekday in Weekday:
            self.fields[f"shop_{weekday.value}"] = forms.CharField(
                label=weekday.label, required=False, initial=", ".join(rows.get(weekday.value, []))
            )

    def _add_limits(self) -> None:
        own = limits_of(self.yard)
        for kind, name in LIMITED:
            shown, default = (self._shown(name, getattr(each[kind], name)) for each in (own, LIMITS))
            self.fields[f"limit_{kind}_{name}"] = NumberField(
                label=f"{capfirst(LABELS[name])}, {self.unit_of_limit(name)}",
                min_value=self._shown(name, COLDEST_C) if name.endswith("_temp_c") else 1,
                max_value=self._shown(name, WARMEST_C) if name.endswith("_temp_c") else MOST[name],
                initial=f"{shown:g}",
                required=False,
                help_text=number_format(f"{default:g}"),
                error_messages={"max_value": TOO_MUCH[name]},
            )

    def unit_of_limit(self, name: str) -> str:
        """Knots, per cent, or degrees as the yard reads them: Fahrenheit with feet, Celsius with metres."""
        if name.endswith("_temp_c"):
            return "°F" if self._in_feet else "°C"
        return "%" if name == "below_rh" else "kn"

    @property
    def _in_feet(self) -> bool:
        return bool(self.yard.units == YardSettings.Units.FEET)

    def _shown(self, name: str, value: float) -> float:
        """A limit in the unit that the yard reads, to a tenth."""
        return round(value * 1.8 + 32, 1) if name.endswith("_temp_c") and self._in_feet else round(value, 1)

    def _limit(self, kind: WorkKind, name: str) -> float | None:
        """What was typed, inside units; None for the default. A figure left as it was shown keeps what is on file."""
        key = f"limit_{kind}_{name}"
        typed = self.cleaned_data.get(key)
        default = getattr(LIMITS[kind], name)
        if typed is None or typed == self._shown(name, default):
            return None
        if key not in self.changed_data:
            return float(getattr(limits_of(self.yard)[kind], name))
        return round(fahrenheit(typed), 4) if name.endswith("_temp_c") and self._in_feet else float(typed)

    def clean_time_zone(self) -> str:
        name: str = self.cleaned_data["time_zone"].strip()
        if name not in available_timezones():
            raise ValidationError(
                _("“{name}” is not a known time zone: write it as America/New_York.").format(name=name)
            )
        return name

    def clean_holidays(self) -> dict[date, str]:
        found: dict[date, str] = {}
        for number, line in enumerate(self.cleaned_data["holidays"].splitlines(), start=1):
            if not line.strip():
                continue
            day, _space, name = line.strip().partition(" ")
            try:
                found[date.fromisoformat(day)] = name.strip()[:60] or _("holiday")
            except ValueError:
                raise ValidationError(
                    _("Line {number}, “{line}”: write 2027-05-31 Memorial Day.").format(
                        number=number, line=line.strip()
                    )
                ) from None
        return found

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        unit = height_unit(self.yard)
        for name in HEIGHTS:
            typed = cleaned.get(name)
            if typed is None:
                if name not in self.errors and not YardSettings._meta.get_field(name).null:
                    cleaned[name] = 0.0
                continue
            metres = metres_of(typed, self.yard)
            if abs(metres) > MOST_HEIGHT_M:
                self.add_error(
                    name,
                    _("{height} {unit} is more water than any tide brings: check the unit.").format(
                        height=number_format(f"{typed:g}"), unit=unit
                    ),
                )
            # What is shown is rounded: a height that nobody touched keeps every digit.
            elif name not in self.changed_data:
                metres = getattr(self.yard_as_read(), name)
            cleaned[name] = metres
        for weekday in Weekday:
            self._read_hours(weekday.value, cleaned)
        for kind in dict.fromkeys(kind for kind, _name in LIMITED):
            least, most = (cleaned.get(f"limit_{kind}_{name}") for name in ("min_temp_c", "max_temp_c"))
            if least is not None and most is not None and least >= most:
                self.add_error(f"limit_{kind}_min_temp_c", _("No warmth lies between these two: were they swapped?"))
        return cleaned

    def yard_as_read(self) -> YardSettings:
        return YardSettings.objects.filter(pk=1).first() or YardSettings()

    def _read_hours(self, weekday: int, cleaned: dict[str, Any]) -> None:
        name = f"shop_{weekday}"
        try:
            cleaned[name] = stretches_of(cleaned.get(name, ""))
        except ValueError as error:
            self.add_error(name, str(error))

    def _post_clean(self) -> None:
        """The service checks the row: the form's own values are not its units."""

    def values(self) -> dict[str, Any]:
        """Fields of the yard's row, in metres."""
        values = {name: self.cleaned_data[name] for name in self.Meta.fields}
        own: dict[str, dict[str, float]] = {}
        for kind, name in LIMITED:
            if (limit := self._limit(kind, name)) is not None:
                own.setdefault(str(kind), {})[name] = limit
        return values | {"weather_limits": own}

    def shop(self) -> Mapping[int, list[Stretch]]:
        return {weekday.value: self.cleaned_data[f"shop_{weekday.value}"] for weekday in Weekday}


def stretches_of(text: str) -> list[Stretch]:
    """Opening hours as typed: "07:00 to 12:00, 12:30 to 17:00". Raises ValueError with the remedy."""
    found: list[Stretch] = []
    written = re.compile(STRETCH.format(to=re.escape(str(TO))))
    for part in filter(None, (each.strip() for each in text.split(","))):
        match = written.fullmatch(part)
        if match is None:
            raise ValueError(
                _("“{part}”: write 07:00 to 12:00, 12:30 to 17:00, or leave the day empty.").format(part=part)
            )
        try:
            starts, ends = (time(int(match[n]), int(match[n + 1])) for n in (1, 3))
        except ValueError:
            raise ValueError(_("“{part}”: there is no such time of day.").format(part=part)) from None
        if starts.minute % 15 or ends.minute % 15:
            raise ValueError(_("“{part}” is not on a quarter of an hour: use :00, :15, :30 or :45.").format(part=part))
        if ends <= starts:
            raise ValueError(_("“{part}” ends before it starts.").format(part=part))
        found.append((starts, ends))
    return found
