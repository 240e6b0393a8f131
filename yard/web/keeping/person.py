"""The form of one person: who, what they can do, when they work, and until when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Person, PersonSkill, Skill
from yard.services.keep_person import PERSON, Held
from yard.web.access import may
from yard.web.keeping.absences import absences
from yard.web.keeping.desk import Desk, today_of
from yard.web.keeping.fields import HoursField, WeekField, hours_shown, week_words
from yard.web.keeping.form import RowForm, Section
from yard.web.keeping.saying import day_words
from yard.web.orders.form import DayField

LONGEST_DAY_MIN, LEAST_REST_MIN = 600, 660
"""Ten hours and eleven, common practice; what an empty field means."""
ONE_DAY = timedelta(days=1)
LEVELS = [("", gettext_lazy("does not")), *PersonSkill.Level.choices]


@dataclass(frozen=True, slots=True)
class SkillLine:
    """One skill on the page: how well, which licence, until when. ran_out: its last day lies before today.

    licensed: there is a licence, or something about it is wrong.
    """

    skill: Skill
    level: forms.BoundField
    licence: forms.BoundField
    until: forms.BoundField
    ran_out: bool
    licensed: bool


def _skills_words(value: Mapping[int, Held]) -> str:
    names, levels = dict(Skill.objects.values_list("pk", "name")), dict(PersonSkill.Level.choices)
    return "; ".join(_held_words(names[skill], str(levels[held.level]), held) for skill, held in value.items())


def _held_words(name: str, level: str, held: Held) -> str:
    said = f"{name.lower()} {level}"
    if not held.licence:
        return said
    until = _("{licence} until {day}").format(licence=held.licence, day=held.until) if held.until else held.licence
    return f"{said} ({until})"


def _last_day_words(leaves_on: date | None) -> str:
    return _("last day {day}").format(day=day_words(leaves_on - ONE_DAY)) if leaves_on else ""


def _hours_words(minutes: int) -> str:
    return f"{hours_shown(minutes)} h"


LENGTHS = ("longest_day_min", "least_rest_min", "overtime_min_per_week", "early_slide_min", "late_slide_min")


class PersonForm(RowForm):
    """with_account: whoever asks may say who signs in."""

    keeper = PERSON
    wide = frozenset({"notes", "hours"})
    sections = (
        Section(gettext_lazy("Who"), ("name", "short_name", "phone", "contractor")),
        Section(gettext_lazy("What this person can do"), also="keeping/_skills_of.html"),
        Section(gettext_lazy("Usual week"), ("hours",)),
        Section(
            gettext_lazy("From when, and who signs in"),
            ("starts_on", "last_day", "usual_slip_days", "user"),
            folded=True,
            within=gettext_lazy("first day, last day, usual slip, account"),
        ),
        Section(
            gettext_lazy("How far a day goes"),
            (
                "longest_day_min",
                "least_rest_min",
                "overtime_min_per_week",
                "early_slide_min",
                "late_slide_min",
                "slides_per_week",
            ),
            folded=True,
            within=gettext_lazy("longest day, rest, overtime, days that slide for a tide"),
        ),
        Section(gettext_lazy("Notes"), ("notes",), folded=True),
    )
    says = {  # a mapping that nobody writes
        **dict.fromkeys(LENGTHS, _hours_words),
        "skills": _skills_words,
        "hours": week_words,
        "leaves_on": _last_day_words,
    }
    hints = {  # as above
        "short_name": gettext_lazy("On the board and the day sheet. Empty: the first name."),
        "phone": gettext_lazy("Read by the office alone; it stands on no plan."),
        "usual_slip_days": gettext_lazy("Of a contractor: days later than agreed, usually."),
        "user": gettext_lazy("Whoever signs in with it finds their own work first."),
        "starts_on": gettext_lazy("Empty: is here already."),
        "last_day": gettext_lazy("Empty: stays. Nothing is planned for this person after it."),
        "hours": gettext_lazy(
            "As Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00, on the quarter of an hour. A contractor has agreed"
            " dates in place of a week."
        ),
        "longest_day_min": gettext_lazy("Default 10 h (common practice); your local rules decide."),
        "least_rest_min": gettext_lazy("Between two days. Default 11 h (common practice); your local rules decide."),
        "overtime_min_per_week": gettext_lazy("On top of the week's hours. Default none."),
        "early_slide_min": gettext_lazy("How much earlier a day may start so that a tide is caught. Default not."),
        "late_slide_min": gettext_lazy("How much later it may end. Default not."),
        "slides_per_week": gettext_lazy("At most so many days a week. Default none."),
    }

    class Meta:
        model = Person
        fields = ()

    name = forms.CharField(max_length=80, label=gettext_lazy("Name"))
    short_name = forms.CharField(max_length=12, label=gettext_lazy("Short name"), required=False)
    phone = forms.CharField(
        max_length=40, required=False, label=gettext_lazy("Telephone"), widget=forms.TextInput({"type": "tel"})
    )
    contractor = forms.BooleanField(required=False, label=gettext_lazy("a contractor: comes on agreed dates"))
    usual_slip_days = forms.IntegerField(
        min_value=0, max_value=365, required=False, label=gettext_lazy("Usual slip, days")
    )
    user = forms.ModelChoiceField(
        User.objects.none(), required=False, label=gettext_lazy("Account"), empty_label=gettext_lazy("none")
    )
    starts_on = DayField(gettext_lazy("First day"))
    last_day = DayField(gettext_lazy("Last day"))
    hours = WeekField(label=gettext_lazy("Usual week"))
    longest_day_min = HoursField(label=gettext_lazy("Longest day, h"), most_h=24, empty_min=LONGEST_DAY_MIN)
    least_rest_min = HoursField(label=gettext_lazy("Least rest, h"), most_h=24, empty_min=LEAST_REST_MIN)
    overtime_min_per_week = HoursField(label=gettext_lazy("Overtime a week, h"), most_h=40)
    early_slide_min = HoursField(label=gettext_lazy("Early for a tide, h"), most_h=6)
    late_slide_min = HoursField(label=gettext_lazy("Late for a tide, h"), most_h=6)
    slides_per_week = forms.IntegerField(
        min_value=0, max_value=7, required=False, label=gettext_lazy("Days that slide, a week")
    )
    notes = forms.CharField(required=False, label=gettext_lazy("Notes"), widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, with_account: bool, **kwargs: Any) -> None:
        self.with_account = with_account
        self.skills = list(Skill.objects.filter(archived=False))
        super().__init__(*args, **kwargs)

    def build(self) -> None:
        self.fields["longest_day_min"].initial = hours_shown(LONGEST_DAY_MIN)
        self.fields["least_rest_min"].initial = hours_shown(LEAST_REST_MIN)
        if self.with_account:
            mine = Q(person=None) | Q(person=self.row) if self.row is not None else Q(person=None)
            choice: Any = self.fields["user"]
            choice.queryset = User.objects.filter(mine, is_active=True).order_by("username")
        else:
            del self.fields["user"]
        for skill in self.skills:
            self.fields[f"skill_{skill.pk}"] = forms.ChoiceField(choices=LEVELS, required=False, label=skill.name)
            self.fields[f"licence_{skill.pk}"] = forms.CharField(max_length=60, required=False, label=_("Licence"))
            self.fields[f"until_{skill.pk}"] = DayField(_("until"))

    def shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        shown = super().shown(values) | {"hours": week_words(values["hours"])}
        shown |= {key: hours_shown(values[key]) for key in LENGTHS}
        shown["last_day"] = values["leaves_on"] - ONE_DAY if values["leaves_on"] else None
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
            self.add_error("last_day", _("The last day lies before the first: swap them, or empty one."))
        cleaned["leaves_on"] = last + ONE_DAY if last else None
        cleaned["skills"] = self._skills(cleaned)
        return cleaned

    def _skills(self, cleaned: Mapping[str, Any]) -> dict[int, Held]:
        """Those of the page, and those put away that somebody has still."""
        shown = {skill.pk for skill in self.skills}
        kept = {} if self.row is None else {k: v for k, v in PERSON.read(self.row)["skills"].items() if k not in shown}
        for skill in self.skills:
            level, licence = cleaned.get(f"skill_{skill.pk}"), cleaned.get(f"licence_{skill.pk}", "")
            until = cleaned.get(f"until_{skill.pk}")
            if level:
                kept[skill.pk] = Held(int(level), licence, until)
            elif licence or until:
                self.add_error(
                    f"skill_{skill.pk}",
                    _("A licence for {skill}, and it is not done: how well?").format(skill=skill.name.lower()),
                )
            if until and not licence:
                self.add_error(f"licence_{skill.pk}", _("Until when is what valid? Name the licence."))
        return kept

    def skill_lines(self) -> list[SkillLine]:
        return [self._skill_line(skill) for skill in self.skills]

    def _skill_line(self, skill: Skill) -> SkillLine:
        level, licence, until = (self[f"{name}_{skill.pk}"] for name in ("skill", "licence", "until"))
        ends = until.initial
        return SkillLine(
            skill,
            level,
            licence,
            until,
            ran_out=bool(ends and ends < self.today),
            licensed=bool(licence.value() or until.value() or licence.errors or until.errors),
        )


PERSON_DESK = Desk(
    form=PersonForm,
    one="person",
    name="person",
    template="keeping/person.html",
    asks=lambda request: {"with_account": may(request.user, "manage_people")},
    about=lambda request, row: absences(row, today_of(request)) if row is not None else {},
    put_back="person_put_back",
)
