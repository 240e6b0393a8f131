"""The form of one job of a package, or of an order's own copy: what it is, ways of doing it, what it follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import BoatAt, JobKind, Light, PlaceKind, ProductKind, Skill, WaterNeed, WeatherClass
from yard.models.checks import is_day_of_year
from yard.services.package_edits import JobSheet, free_key
from yard.services.package_files import CrewLine, Job, Link, Part, Way
from yard.web.packages.hours import MinutesField
from yard.web.packages.parts import parts_shown, parts_typed

CREW_LINES, PLACES = 3, 3
MOST = 12  # ways of one job, and jobs that it follows
MANY: dict[str, Any] = {"can_delete": True, "max_num": MOST, "validate_max": True, "absolute_max": 2 * MOST}
"""absolute_max: so many are drawn again at most, whatever number is sent."""
Choices = list[tuple[str, str]]
CrewFields = tuple[forms.BoundField, forms.BoundField, forms.BoundField]


@dataclass(frozen=True)
class Known:
    """What a job can name. jobs: the others of the package, (key, name); options and facts likewise."""

    jobs: Choices
    options: Choices
    facts: Choices

    @property
    def when(self) -> Choices:
        """When a link holds: always, with an option, or without it."""
        return [
            ("", _("always")),
            *((f"+{key}", _("with “{option}”").format(option=name)) for key, name in self.options),
            *((f"-{key}", _("without “{option}”").format(option=name)) for key, name in self.options),
        ]


class JobForm(forms.Form):
    """All of a job but its ways and what it follows."""

    name = forms.CharField(label=gettext_lazy("Name"), max_length=80)
    kind = forms.ChoiceField(label=gettext_lazy("Kind of work"))
    option = forms.ChoiceField(label=gettext_lazy("Comes"), required=False)
    split_of = forms.ChoiceField(label=gettext_lazy("Later part of"), required=False)
    source = forms.CharField(
        label=gettext_lazy("Where its hours come from"), max_length=300, initial=gettext_lazy("common practice")
    )
    water_need = forms.ChoiceField(label=gettext_lazy("Water"), required=False)
    weather_class = forms.ChoiceField(label=gettext_lazy("Weather"), required=False)
    light = forms.ChoiceField(label=gettext_lazy("Light"), required=False, choices=Light.choices)
    finish_by = forms.CharField(
        label=gettext_lazy("Finished each year by"),
        required=False,
        max_length=12,
        help_text=gettext_lazy("As 11-15, for 15 November."),
    )
    on_fixed_date = forms.BooleanField(label=gettext_lazy("Begins at the order's road or ferry date"), required=False)
    cautions = forms.CharField(
        label=gettext_lazy("Cautions of its own"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    waits_for_open = forms.MultipleChoiceField(
        label=gettext_lazy("Follows such work of her other open orders"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    facts = forms.MultipleChoiceField(
        label=gettext_lazy("Waits on"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(
        self, data: Any = None, *, known: Known, kinds: Sequence[JobKind], sheet: JobSheet | None = None
    ) -> None:
        super().__init__(data, initial=initial_of(sheet) if sheet else None)
        self.known = known
        named = [(kind.key, kind.name) for kind in kinds]
        as_kind = ("", _("as its kind of work"))
        for name, choices in {
            "kind": named,
            "waits_for_open": named,
            "option": [
                ("", _("always")),
                *((key, _("with “{option}”").format(option=label)) for key, label in known.options),
            ],
            "split_of": [("", _("nothing: it stands by itself")), *known.jobs],
            "water_need": [as_kind, *((need.value, str(need.label)) for need in WaterNeed)],
            "weather_class": [as_kind, *((each.value, str(each.label)) for each in WeatherClass)],
            "facts": known.facts,
        }.items():
            cast(forms.ChoiceField, self.fields[name]).choices = choices
        for name in ("option", "facts"):
            if not getattr(known, "options" if name == "option" else name):
                del self.fields[name]
        dress(self)

    def clean_finish_by(self) -> str:
        day = str(self.cleaned_data["finish_by"]).strip()
        if day:
            is_day_of_year(day)
        return day

    def job(self, key: str, ways: tuple[Way, ...]) -> Job:
        said = self.cleaned_data
        return Job(
            key=key,
            kind=said["kind"],
            name=said["name"].strip(),
            source=said["source"].strip(),
            ways=ways,
            option=said.get("option", ""),
            split_of=said["split_of"],
            waits_for_open=tuple(said["waits_for_open"]),
            water_need=said["water_need"],
            weather_class=said["weather_class"],
            light=said["light"],
            on_fixed_date=said["on_fixed_date"],
            finish_by=said["finish_by"],
            cautions=said["cautions"].replace("\r\n", "\n").strip(),
        )


def initial_of(sheet: JobSheet) -> dict[str, Any]:
    job = sheet.job
    fields = {name: getattr(job, name) for name in JobForm.base_fields if name != "facts"}
    return fields | {"waits_for_open": list(job.waits_for_open), "facts": sorted(sheet.facts)}


def dress(form: forms.Form) -> None:
    """The look of each field. Errors are not asked for: a row's form gets its last field after its birth."""
    for field in form.fields.values():
        if not isinstance(field, forms.BooleanField | forms.MultipleChoiceField):
            field.widget.attrs["class"] = "field"


class WayForm(forms.Form):
    """One way: hours, who, where. Empty: no way."""

    hours = MinutesField(label=gettext_lazy("Hours"), required=False)
    boat_at = forms.ChoiceField(label=gettext_lazy("She lies"), required=False, choices=BoatAt.choices)
    parts = forms.CharField(
        label=gettext_lazy("In parts"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("One a line, as “float off, 30 min, water”. Empty: as the kind of work."),
    )

    def __init__(self, *args: Any, skills: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in range(1, CREW_LINES + 1):
            self.fields[f"count_{number}"] = forms.IntegerField(
                label=_("How many"), required=False, min_value=1, max_value=9
            )
            self.fields[f"skill_{number}"] = forms.ChoiceField(
                label=_("Who"), required=False, choices=[("", _("nobody")), *skills]
            )
            self.fields[f"level_{number}"] = forms.TypedChoiceField(
                label=_("At least"),
                required=False,
                coerce=int,
                empty_value="",
                choices=[("1", _("level 1")), ("2", _("level 2")), ("3", _("level 3"))],
            )
        for number in range(1, PLACES + 1):
            self.fields[f"place_{number}"] = forms.ChoiceField(
                label=_("Place {n}").format(n=number), required=False, choices=[("", _("none")), *PlaceKind.choices]
            )
        dress(self)

    def crew_used(self) -> list[CrewFields]:
        """The lines that say something, and always the first."""
        return self._crew()[: self._used("skill", CREW_LINES)]

    def crew_left(self) -> list[CrewFields]:
        return self._crew()[self._used("skill", CREW_LINES) :]

    def places_used(self) -> list[forms.BoundField]:
        """The places that are named, and always the first."""
        return self._places()[: self._used("place", PLACES)]

    def places_left(self) -> list[forms.BoundField]:
        return self._places()[self._used("place", PLACES) :]

    def _crew(self) -> list[CrewFields]:
        return [(self[f"count_{n}"], self[f"skill_{n}"], self[f"level_{n}"]) for n in range(1, CREW_LINES + 1)]

    def _places(self) -> list[forms.BoundField]:
        return [self[f"place_{n}"] for n in range(1, PLACES + 1)]

    def _used(self, name: str, most: int) -> int:
        """How many lines stand open: all where something is wrong, so that no error is folded away."""
        if self.errors:
            return most
        return max([1, *(n for n in range(1, most + 1) if self[f"{name}_{n}"].value())])

    def clean_parts(self) -> tuple[Part, ...]:
        return parts_typed(str(self.cleaned_data["parts"]))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        said = any(value for name, value in cleaned.items() if not name.startswith(("level", "hours", "DELETE")))
        if said and not cleaned.get("hours") and "hours" not in self.errors and not cleaned.get("DELETE"):
            self.add_error("hours", _("Say how long it takes so, or leave this way out."))
        return cleaned

    def way(self) -> Way:
        said = self.cleaned_data
        crew = tuple(
            CrewLine(skill=said[f"skill_{n}"], count=said[f"count_{n}"] or 1, level=said[f"level_{n}"] or 1)
            for n in range(1, CREW_LINES + 1)
            if said[f"skill_{n}"]
        )
        places = tuple(said[f"place_{n}"] for n in range(1, PLACES + 1) if said[f"place_{n}"])
        return Way(minutes=said["hours"], crew=crew, places=places, boat_at=said["boat_at"], parts=said["parts"])


def _way_initial(way: Way) -> dict[str, Any]:
    values: dict[str, Any] = {"hours": way.minutes, "boat_at": way.boat_at}
    values["parts"] = parts_shown(way.parts)
    for number, line in enumerate(way.crew, 1):
        values |= {f"count_{number}": line.count, f"skill_{number}": line.skill, f"level_{number}": line.level}
    return values | {f"place_{number}": kind for number, kind in enumerate(way.places, 1)}


class LinkForm(forms.Form):
    """One job that it follows. Empty: none."""

    before = forms.ChoiceField(label=gettext_lazy("Follows"), required=False)
    least = MinutesField(label=gettext_lazy("At least after"), required=False)
    longest = MinutesField(label=gettext_lazy("At most after"), required=False)
    when = forms.ChoiceField(label=gettext_lazy("Holds"), required=False)
    product_kind = forms.ChoiceField(
        label=gettext_lazy("Read off the data sheet of"),
        required=False,
        choices=[("", gettext_lazy("no product")), *ProductKind.choices],
    )
    only_if_covers_gate = forms.BooleanField(label=gettext_lazy("only where covers gate the delivery"), required=False)
    reason = forms.CharField(label=gettext_lazy("Why"), required=False, max_length=200)
    source = forms.CharField(label=gettext_lazy("Source"), required=False, max_length=300)

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(forms.ChoiceField, self.fields["before"]).choices = [("", _("nothing")), *known.jobs]
        cast(forms.ChoiceField, self.fields["when"]).choices = known.when
        dress(self)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        least, longest = cleaned.get("least") or 0, cleaned.get("longest")
        if longest is not None and longest < least:
            self.add_error("longest", _("The longest wait is shorter than the least."))
        if (least or longest is not None) and not (cleaned.get("before") or cleaned.get("DELETE")):
            self.add_error("before", _("Say which job it follows, or leave this line out."))
        if (least or longest is not None) and cleaned.get("before") and not cleaned.get("source"):
            cleaned["source"] = _("common practice")
        return cleaned

    def link(self, key: str) -> Link:
        said = self.cleaned_data
        when = said["when"]
        return Link(
            before=said["before"],
            after=key,
            min_wait_min=said["least"] or 0,
            max_wait_min=said["longest"],
            reason=said["reason"].strip(),
            source=said["source"].strip(),
            product_kind=said["product_kind"],
            option=when[1:] if when.startswith("+") else "",
            unless_option=when[1:] if when.startswith("-") else "",
            only_if_covers_gate=said["only_if_covers_gate"],
        )


def _link_initial(link: Link) -> dict[str, Any]:
    when = f"+{link.option}" if link.option else f"-{link.unless_option}" if link.unless_option else ""
    return {
        "before": link.before,
        "least": link.min_wait_min or None,
        "longest": link.max_wait_min,
        "when": when,
        "product_kind": link.product_kind,
        "only_if_covers_gate": link.only_if_covers_gate,
        "reason": link.reason,
        "source": link.source,
    }


class Sheet:
    """The three forms of one job together. key: "" for a new one."""

    def __init__(self, data: Any, *, known: Known, sheet: JobSheet | None = None) -> None:
        kinds = list(JobKind.objects.filter(archived=False).order_by("trade", "name", "id"))
        skills = list(Skill.objects.order_by("name").values_list("key", "name"))
        self.key = sheet.job.key if sheet else ""
        self.taken = [key for key, _name in known.jobs]
        self.form = JobForm(data, known=known, kinds=kinds, sheet=sheet)
        ways = [_way_initial(way) for way in sheet.job.ways] if sheet else []
        links = [_link_initial(link) for link in sheet.follows] if sheet else []
        self.ways = forms.formset_factory(WayForm, extra=1, **MANY)(
            data, initial=ways, prefix="ways", form_kwargs={"skills": skills}
        )
        self.links = forms.formset_factory(LinkForm, extra=2, **MANY)(
            data, initial=links, prefix="links", form_kwargs={"known": known}
        )

    def is_valid(self) -> bool:
        return all([self.form.is_valid(), self.ways.is_valid(), self.links.is_valid()])

    @property
    def bad(self) -> bool:
        return bool(self.form.is_bound and not self.is_valid())

    def said(self) -> JobSheet:
        """What was typed. Call it when the forms are valid."""
        key = self.key or free_key(self.taken, _stem(self.form.cleaned_data["name"]))
        ways = tuple(form.way() for form in self.ways.forms if _stands(form, "hours"))
        links = {form.cleaned_data["before"]: form.link(key) for form in self.links.forms if _stands(form, "before")}
        return JobSheet(
            self.form.job(key, ways), tuple(links.values()), frozenset(self.form.cleaned_data.get("facts", ()))
        )


def _stands(form: forms.Form, field: str) -> bool:
    return bool(form.cleaned_data.get(field)) and not form.cleaned_data.get("DELETE")


def _stem(name: str) -> str:
    return slugify(name).replace("-", "_")
