"""Forms of a package's head, options, facts and places that stay taken: rows that can be added or left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import FactKind, Package, PlaceKind
from yard.services.package_edits import free_key, with_facts, with_options, with_stays
from yard.services.package_files import Fact, Head, Option, PackageFile, Stay
from yard.web.packages.job_form import Known, dress

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

Edit = Callable[[PackageFile], PackageFile]


class HeadForm(forms.Form):
    """What a package is called and what it is for."""

    name = forms.CharField(label=gettext_lazy("Name"), max_length=80)
    summary = forms.CharField(
        label=gettext_lazy("What it is"), required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )
    when = forms.ChoiceField(label=gettext_lazy("When"), choices=Package.When.choices, initial=Package.When.ANY)
    needs_boat = forms.BooleanField(
        label=gettext_lazy("Work on a boat: not for a walk-in without one on file"), required=False, initial=True
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        dress(self)

    def head(self, key: str) -> Head:
        said = self.cleaned_data
        return Head(
            key=key,
            name=said["name"].strip(),
            summary=said["summary"].replace("\r\n", "\n").strip(),
            when=said["when"],
            needs_boat=said["needs_boat"],
        )


class OptionForm(forms.Form):
    """A choice that an order can turn on. Without a name: none."""

    key = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Option"), required=False, max_length=80)
    on_by_default = forms.BooleanField(label=gettext_lazy("on unless told"), required=False)
    on_if_planked = forms.BooleanField(label=gettext_lazy("on for a planked hull"), required=False)

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        dress(self)


class FactForm(forms.Form):
    """A fact that jobs wait on. Without a name: none."""

    key = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Fact"), required=False, max_length=80)
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=FactKind.choices, initial=FactKind.OTHER)
    default_days = forms.IntegerField(
        label=gettext_lazy("Expected, days after ordering"), required=False, min_value=0, max_value=730
    )
    source = forms.CharField(label=gettext_lazy("Source"), required=False, max_length=300)
    option = forms.ChoiceField(label=gettext_lazy("Asked"), required=False)
    of_boat = forms.BooleanField(label=gettext_lazy("one for all open orders of the boat"), required=False)
    jobs = forms.MultipleChoiceField(
        label=gettext_lazy("Jobs that wait"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast(forms.ChoiceField, self.fields["jobs"]).choices = known.jobs
        cast(forms.ChoiceField, self.fields["option"]).choices = _with(known)
        dress(self)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("name") and not cleaned.get("jobs") and not cleaned.get("DELETE"):
            self.add_error("jobs", _("Say which jobs wait for it, or leave it out."))
        return cleaned


class StayForm(forms.Form):
    """A place that stays taken between two jobs. Without a place: none."""

    place_kind = forms.ChoiceField(
        label=gettext_lazy("Place"), required=False, choices=[("", gettext_lazy("none")), *PlaceKind.choices]
    )
    from_job = forms.ChoiceField(label=gettext_lazy("From"), required=False)
    until_job = forms.ChoiceField(label=gettext_lazy("Until"), required=False)
    when = forms.ChoiceField(label=gettext_lazy("Holds"), required=False)
    counted_by_night = forms.BooleanField(label=gettext_lazy("counted by night"), required=False)

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("from_job", "until_job"):
            cast(forms.ChoiceField, self.fields[name]).choices = [("", _("choose a job")), *known.jobs]
        cast(forms.ChoiceField, self.fields["when"]).choices = known.when
        dress(self)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("place_kind") or cleaned.get("DELETE"):
            return cleaned
        for name in ("from_job", "until_job"):
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, _("Choose the job."))
        if cleaned.get("from_job") and cleaned.get("from_job") == cleaned.get("until_job"):
            self.add_error("until_job", _("Choose two different jobs."))
        return cleaned


def _with(known: Known) -> list[tuple[str, str]]:
    return [("", _("always")), *((key, _("with “{option}”").format(option=name)) for key, name in known.options)]


def _option_edit(rows: list[dict[str, Any]]) -> Edit:
    def edit(file: PackageFile) -> PackageFile:
        return with_options(
            file,
            [
                Option(
                    key=key,
                    name=row["name"].strip(),
                    on_by_default=row["on_by_default"],
                    on_if_planked=row["on_if_planked"],
                )
                for key, row in _keyed(rows)
            ],
        )

    return edit


def _fact_edit(rows: list[dict[str, Any]]) -> Edit:
    def edit(file: PackageFile) -> PackageFile:
        return with_facts(
            file,
            [
                Fact(
                    key=key,
                    kind=row["kind"],
                    name=row["name"].strip(),
                    jobs=tuple(row["jobs"]),
                    source=row["source"].strip() or _("common practice"),
                    of_boat=row["of_boat"],
                    default_days=row["default_days"],
                    option=row["option"],
                )
                for key, row in _keyed(rows)
            ],
        )

    return edit


def _stay_edit(rows: list[dict[str, Any]]) -> Edit:
    def edit(file: PackageFile) -> PackageFile:
        return with_stays(
            file,
            [
                Stay(
                    from_job=row["from_job"],
                    until_job=row["until_job"],
                    place_kind=row["place_kind"],
                    counted_by_night=row["counted_by_night"],
                    option=row["when"][1:] if row["when"].startswith("+") else "",
                    unless_option=row["when"][1:] if row["when"].startswith("-") else "",
                )
                for row in rows
            ],
        )

    return edit


def _keyed(rows: list[dict[str, Any]]) -> list[tuple[str, dict[str, Any]]]:
    """A key for each row: its own, or a free one made from its name."""
    taken = [row["key"] for row in rows if row["key"]]
    found = []
    for row in rows:
        key = row["key"] or free_key(taken, slugify(row["name"]).replace("-", "_"))
        taken.append(key)
        found.append((key, row))
    return found


def _initial(value: Option | Fact | Stay) -> dict[str, Any]:
    fields = {name: getattr(value, name) for name in value.__struct_fields__}
    if isinstance(value, Stay):
        when = f"+{value.option}" if value.option else f"-{value.unless_option}" if value.unless_option else ""
        return fields | {"when": when}
    return fields | ({"jobs": list(value.jobs)} if isinstance(value, Fact) else {})


@dataclass(frozen=True)
class PartKind:
    """One family of a package's rows. rows: those that stand; must: the field without which a row says nothing."""

    title: StrOrPromise
    about: StrOrPromise
    form: type[forms.Form]
    rows: Callable[[PackageFile], tuple[Any, ...]]
    edit: Callable[[list[dict[str, Any]]], Edit]
    must: str
    reason: StrOrPromise


PARTS = {
    "options": PartKind(
        gettext_lazy("Options"),
        gettext_lazy("A choice that an order can turn on or off: it brings the jobs, waits and facts that name it."),
        OptionForm,
        lambda file: file.option,
        _option_edit,
        "name",
        gettext_lazy("options changed"),
    ),
    "facts": PartKind(
        gettext_lazy("Facts that it waits on"),
        gettext_lazy(
            "What must be known or in hand before a job can be firm. Without days it is unknown until somebody says."
        ),
        FactForm,
        lambda file: file.fact,
        _fact_edit,
        "name",
        gettext_lazy("facts changed"),
    ),
    "places": PartKind(
        gettext_lazy("Places that stay taken"),
        gettext_lazy("A place that stays taken between two jobs, as a berth from the launch until she is delivered."),
        StayForm,
        lambda file: file.stay,
        _stay_edit,
        "place_kind",
        gettext_lazy("places that stay taken changed"),
    ),
}


class PartRows:
    """The rows of one family as a form."""

    def __init__(self, data: Any, kind: PartKind, file: PackageFile, known: Known) -> None:
        self.kind = kind
        many: dict[str, Any] = {"can_delete": True, "max_num": 30, "absolute_max": 60, "validate_max": True, "extra": 2}
        initial = [_initial(row) for row in kind.rows(file)]
        self.rows = forms.formset_factory(kind.form, **many)(
            data, initial=initial, prefix="rows", form_kwargs={"known": known}
        )

    def is_valid(self) -> bool:
        valid: bool = self.rows.is_valid()
        return valid

    def edit(self) -> Edit:
        said = [
            form.cleaned_data
            for form in self.rows.forms
            if form.cleaned_data.get(self.kind.must) and not form.cleaned_data.get("DELETE")
        ]
        return self.kind.edit(said)
