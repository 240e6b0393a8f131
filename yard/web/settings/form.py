"""The form of the yard's settings: heights in its own unit, hours and holidays as a person writes them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, time
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError

from yard.models import ShopHours, Weekday, YardHoliday, YardSettings
from yard.services.weather_limits import EDITED, limits_of
from yard.services.yard_settings import Stretch
from yard.weather.limits import LIMITS
from yard.web.settings.about import ABOUT, GROUPS
from yard.web.units import height, height_unit, metres_of

HEIGHTS = tuple(name for name, about in ABOUT.items() if about.unit == "height")
MOST_HEIGHT_M = 20.0
"""The greatest tides of the world range over 16 m; more is a mistyped unit."""
STRETCH = re.compile(r"(\d{1,2}):(\d{2})\s*(?:to|-|–)\s*(\d{1,2}):(\d{2})")
WINDY = tuple((kind, name) for kind, limits in LIMITS.items() for name in EDITED if getattr(limits, name) is not None)


class SettingsForm(forms.ModelForm):  # type: ignore[type-arg]  # Django does not subscript it at run time
    """Fields of YardSettings in the unit that people read; `shop_0` to `shop_6` and `holidays` as text."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    holidays = forms.CharField(label="Holidays", required=False, widget=forms.Textarea(attrs={"rows": 8}))

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
            rows.setdefault(row.weekday, []).append(f"{row.starts:%H:%M} to {row.ends:%H:%M}")
        for weekday in Weekday:
            self.fields[f"shop_{weekday.value}"] = forms.CharField(
                label=weekday.label, required=False, initial=", ".join(rows.get(weekday.value, []))
            )

    def _add_limits(self) -> None:
        own = limits_of(self.yard)
        for kind, name in WINDY:
            default = getattr(LIMITS[kind], name)
            self.fields[f"limit_{kind}_{name}"] = forms.FloatField(
                label=f"{'Wind' if name == 'wind_kn' else 'Gust'}, kn",
                min_value=1,
                max_value=60,
                initial=f"{getattr(own[kind], name):g}",
                required=False,
                help_text=f"{default:g}",
                error_messages={"max_value": "Over 60 kn nobody works outdoors: was it typed in another unit?"},
            )

    def clean_time_zone(self) -> str:
        name: str = self.cleaned_data["time_zone"].strip()
        if name not in available_timezones():
            raise ValidationError(f"“{name}” is not a known time zone: write it as America/New_York.")
        return name

    def clean_holidays(self) -> dict[date, str]:
        found: dict[date, str] = {}
        for number, line in enumerate(self.cleaned_data["holidays"].splitlines(), start=1):
            if not line.strip():
                continue
            day, _, name = line.strip().partition(" ")
            try:
                found[date.fromisoformat(day)] = name.strip()[:60] or "holiday"
            except ValueError:
                raise ValidationError(f"Line {number}, “{line.strip()}”: write 2027-05-31 Memorial Day.") from None
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
                self.add_error(name, f"{typed:g} {unit} is more water than any tide brings: check the unit.")
            # What is shown is rounded: a height that nobody touched keeps every digit.
            elif name not in self.changed_data:
                metres = getattr(self.yard_as_read(), name)
            cleaned[name] = metres
        for weekday in Weekday:
            self._read_hours(weekday.value, cleaned)
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
        for kind, name in WINDY:
            typed = self.cleaned_data.get(f"limit_{kind}_{name}")
            if typed is not None and typed != getattr(LIMITS[kind], name):
                own.setdefault(str(kind), {})[name] = typed
        return values | {"weather_limits": own}

    def shop(self) -> Mapping[int, list[Stretch]]:
        return {weekday.value: self.cleaned_data[f"shop_{weekday.value}"] for weekday in Weekday}


def stretches_of(text: str) -> list[Stretch]:
    """Opening hours as typed: "07:00 to 12:00, 12:30 to 17:00". Raises ValueError with the remedy."""
    found: list[Stretch] = []
    for part in filter(None, (each.strip() for each in text.split(","))):
        match = STRETCH.fullmatch(part)
        if match is None:
            raise ValueError(f"“{part}”: write 07:00 to 12:00, 12:30 to 17:00, or leave the day empty.")
        try:
            starts, ends = (time(int(match[n]), int(match[n + 1])) for n in (1, 3))
        except ValueError:
            raise ValueError(f"“{part}”: there is no such time of day.") from None
        if starts.minute % 15 or ends.minute % 15:
            raise ValueError(f"“{part}” is not on a quarter of an hour: use :00, :15, :30 or :45.")
        if ends <= starts:
            raise ValueError(f"“{part}” ends before it starts.")
        found.append((starts, ends))
    return found
