"""The form of one person: who, what they can do, when they work, and until when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.db.models import Q

from yard.models import PersonSkill, Skill, YardSettings
from yard.services.keep_person import PEOPLE, Held
from yard.web.changes.kept_form import DATE, WEEK_HINT, HoursField, KeptForm, WeekField, week_words

LONGEST_DAY_MIN, LEAST_REST_MIN = 600, 660
"""Ten hours and eleven, common practice; what an empty field means."""
LEVELS = [("", "does not"), *PersonSkill.Level.choices]


@dataclass(frozen=True, slots=True)
class SkillLine:
    """One skill on the page: how well, which licence, until when. ran_out: its last day lies before today."""

    skill: Skill
    level: forms.BoundField
    licence: forms.BoundField
    until: forms.BoundField
    ran_out: bool


class PersonForm(KeptForm):
    """with_account: whoever asks may say who signs in."""

    book = PEOPLE
    extra_after = "What this person can do"
    groups = (
        ("Who", ("name", "short_name", "phone", "contractor", "usual_slip_days", "user", "starts_on", "last_day")),
        ("What this person can do", ()),
        ("Hours", ("hours",)),
        (
            "How far a day goes",
            (
                "longest_day_min",
                "least_rest_min",
                "overtime_min_per_week",
                "early_slide_min",
                "late_slide_min",
                "slides_per_week",
            ),
        ),
        ("Notes", ("notes",)),
    )
    hints = {
        "short_name": "As it stands on the board and the day sheet, 12 letters at most.",
        "phone": "Read by the office alone; it stands on no plan.",
        "usual_slip_days": "Of a contractor: days later than agreed, usually.",
        "user": "Whoever signs in with it finds their own work first.",
        "starts_on": "Empty: is here already.",
        "last_day": "Empty: stays. Nothing is planned for this person after it.",
        "hours": WEEK_HINT + " A contractor has agreed dates in place of a week.",
        "longest_day_min": "Default 10 h (common practice); your local rules decide.",
        "least_rest_min": "Between two days. Default 11 h (common practice); your local rules decide.",
        "overtime_min_per_week": "On top of the week's hours. Default none.",
        "early_slide_min": "How much earlier a day may start so that a tide is caught. Default not.",
        "late_slide_min": "How much later it may end. Default not.",
        "slides_per_week": "At most so many days a week. Default none.",
    }

    name = forms.CharField(max_length=80, label="Name")
    short_name = forms.CharField(max_length=12, label="Short name", required=False)
    phone = forms.CharField(max_length=40, required=False, label="Telephone", widget=forms.TextInput({"type": "tel"}))
    contractor = forms.BooleanField(required=False, label="a contractor: comes on agreed dates")
    usual_slip_days = forms.IntegerField(min_value=0, max_value=365, required=False, label="Usual slip, days")
    user = forms.ModelChoiceField(User.objects.none(), required=False, label="Account", empty_label="none")
    starts_on = forms.DateField(label="First day", **DATE)
    last_day = forms.DateField(label="Last day", **DATE)
    hours = WeekField(label="Usual week")
    longest_day_min = HoursField(label="Longest day, h", most_h=24, empty_min=LONGEST_DAY_MIN)
    least_rest_min = HoursField(label="Least rest, h", most_h=24, empty_min=LEAST_REST_MIN)
    overtime_min_per_week = HoursField(label="Overtime a week, h", most_h=40)
    early_slide_min = HoursField(label="Early for a tide, h", most_h=6)
    late_slide_min = HoursField(label="Late for a tide, h", most_h=6)
    slides_per_week = forms.IntegerField(min_value=0, max_value=7, required=False, label="Days that slide, a week")
    notes = forms.CharField(required=False, label="Notes", widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(
        self, data: Any = None, *, yard: YardSettings, row: Any = None, today: date, with_account: bool
    ) -> None:
        self.with_account, self.today = with_account, today
        self.skills = list(Skill.objects.filter(archived=False))
        initial = {} if row is not None else {"longest_day_min": "10", "least_rest_min": "11"}
        super().__init__(data, yard=yard, row=row, initial=initial)

    def build(self) -> None:
        if self.with_account:
            mine = Q(person=None) | Q(person=self.row) if self.row is not None else Q(person=None)
            users = User.objects.filter(mine, is_active=True).order_by("username")
            self.fields["user"].queryset = users  # type: ignore[attr-defined]  # a ModelChoiceField has one
        else:
            del self.fields["user"]
        for skill in self.skills:
            self.fields[f"skill_{skill.pk}"] = forms.ChoiceField(choices=LEVELS, required=False, label=skill.name)
            self.fields[f"licence_{skill.pk}"] = forms.CharField(max_length=60, required=False, label="Licence")
            self.fields[f"until_{skill.pk}"] = forms.DateField(label="until", **DATE)

    def shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        shown = super().shown(values) | {"hours": week_words(values["hours"])}
        shown |= {key: f"{value / 60:g}" for key, value in values.items() if key.endswith(("_min", "_min_per_week"))}
        shown["last_day"] = _day_before(values["leaves_on"])
        for skill, held in values["skills"].items():
            shown |= {f"skill_{skill}": held.level, f"licence_{skill}": held.licence, f"until_{skill}": held.until}
        return shown

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for key in ("usual_slip_days", "slides_per_week"):
            cleaned[key] = cleaned.get(key) or 0
        cleaned["short_name"] = cleaned.get("short_name") or cleaned.get("name", "").split(" ")[0][:12]
        last, first = cleaned.get("last_day"), cleaned.get("starts_on")
        if last and first and last < first:
            self.add_error("last_day", "The last day lies before the first: swap them, or empty one.")
        cleaned["leaves_on"] = last + timedelta(days=1) if last else None
        cleaned["skills"] = self._skills(cleaned)
        return cleaned

    def _skills(self, cleaned: Mapping[str, Any]) -> dict[int, Held]:
        """Those of the page, and those put away that somebody has still."""
        shown = {skill.pk for skill in self.skills}
        kept = {} if self.row is None else {k: v for k, v in PEOPLE.read(self.row)["skills"].items() if k not in shown}
        for skill in self.skills:
            level, licence = cleaned.get(f"skill_{skill.pk}"), cleaned.get(f"licence_{skill.pk}", "")
            until = cleaned.get(f"until_{skill.pk}")
            if level:
                kept[skill.pk] = Held(int(level), licence, until)
            elif licence or until:
                self.add_error(
                    f"skill_{skill.pk}", f"A licence for {skill.name.lower()}, and it is not done: how well?"
                )
            if until and not licence:
                self.add_error(f"licence_{skill.pk}", "Until when is what valid? Name the licence.")
        return kept

    def skill_lines(self) -> list[SkillLine]:
        return [
            SkillLine(
                skill,
                self[f"skill_{skill.pk}"],
                self[f"licence_{skill.pk}"],
                self[f"until_{skill.pk}"],
                bool((until := self[f"until_{skill.pk}"].initial) and until < self.today),
            )
            for skill in self.skills
        ]

    def words_of(self, key: str, value: Any) -> str:
        if key == "leaves_on":
            return f"last day {_day_before(value)}" if value else "–"
        if key in ("early_slide_min", "late_slide_min", "overtime_min_per_week"):
            return f"{value / 60:g} h"
        if key != "skills":
            return super().words_of(key, value)
        names = dict(Skill.objects.values_list("pk", "name"))
        levels = dict(PersonSkill.Level.choices)
        return "; ".join(_held_words(names[skill], levels[held.level], held) for skill, held in value.items()) or "–"


def _held_words(name: str, level: str, held: Held) -> str:
    until = f" until {held.until}" if held.until else ""
    return f"{name.lower()} {level}{f' ({held.licence}{until})' if held.licence else ''}"


def _day_before(day: date | None) -> date | None:
    return day - timedelta(days=1) if day else None
