"""Forms of an options sheet, of an option, of what is chosen for a boat, and of a trip; with their desks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, ClassVar, cast

from django import forms
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.models import Boat, OptionSheet, Package, Person, Place, PlaceKind, SheetOption, Trip
from yard.services.keep_sheet import OPTION, SHEET
from yard.services.new_boat import TripAsked
from yard.services.order_package import OrderDates
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.new_boat.lines import HoursField, LinesField, MaterialsField, hours_shown, materials_shown, names_shown

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

SHOWN: Mapping[str, Callable[[Any], str]] = {
    "one_of": names_shown,
    "base_materials": materials_shown,
    "brings": names_shown,
    "excludes": names_shown,
    "needs": names_shown,
    "hours": hours_shown,
    "materials": materials_shown,
}


class ListsForm(RowForm):
    """lists: fields in which a list is typed, a line for each."""

    lists: ClassVar[dict[str, type[LinesField]]] = {}
    says = SHOWN

    def _typed_fields(self) -> None:
        super()._typed_fields()
        for key, field in self.lists.items():
            self.fields[key] = field(label=self._label(key))

    def _typed(self, key: str, value: Any) -> Any:
        return SHOWN[key](value) if key in self.lists else super()._typed(key, value)


class SheetForm(ListsForm):
    keeper = SHEET
    lists: ClassVar = {"base_materials": MaterialsField, "one_of": LinesField}
    sections = (
        Section(_("The boat"), ("name", "package", "base_price", "source")),
        Section(_("What every boat takes"), ("base_materials", "one_of")),
        Section(_("For the customer"), ("notes",)),
    )
    hints = {  # a mapping that nobody writes
        "package": _("Whose jobs make the base; options turn its own options on."),
        "base_materials": _("A line each: Cover cloth: 7.5 m, or Cleat: 4."),
        "one_of": _("Groups of which exactly one option is chosen, a line each."),
        "notes": _("Printed under the prices."),
        "source": _("Where these figures come from."),
    }
    wide = frozenset({"notes", "base_materials", "one_of"})

    class Meta:
        model = OptionSheet
        fields = ("name", "package", "base_price", "notes", "source")

    def build(self) -> None:
        field = cast("forms.ModelChoiceField[Any]", self.fields["package"])
        field.queryset = Package.objects.filter(archived=False).order_by("name", "id")


class OptionForm(ListsForm):
    keeper = OPTION
    lists: ClassVar = {
        "brings": LinesField,
        "hours": HoursField,
        "materials": MaterialsField,
        "excludes": LinesField,
        "needs": LinesField,
    }
    sections = (
        Section(_("The option"), ("name", "key", "group", "price", "on_by_default", "sequence", "source")),
        Section(_("What it makes"), ("brings", "hours", "materials")),
        Section(_("With others"), ("needs", "excludes")),
    )
    hints = {  # as above
        "key": _("By which others name it; letters, digits and lines."),
        "group": _("As Rig, Canvas, Hull colour."),
        "brings": _("Options of the package by key, a line each: they bring jobs."),
        "hours": _("A job's key and hours more, a line each: finish: 8."),
        "materials": _("A line each: Cover cloth: 7.5 m, or Headsail furler: 1."),
        "needs": _("Keys of options that it cannot be without."),
        "excludes": _("Keys of options that it cannot be with."),
        "source": _("Where these figures come from."),
    }
    wide = frozenset({"hours", "materials"})

    class Meta:
        model = SheetOption
        fields = ("key", "name", "group", "price", "on_by_default", "sequence", "source")


SHEET_DESK = Desk(
    form=SheetForm,
    one="sheet",
    name="option_sheet",
    template="new_boat/sheet_form.html",
    page=lambda row: reverse("option_sheet", args=[row.pk]),
)
OPTION_DESK = Desk(
    form=OptionForm,
    one="option",
    name="sheet_option",
    template="new_boat/option_form.html",
    page=lambda row: reverse("option_sheet", args=[row.sheet_id]),
)


class ChooseForm(forms.Form):
    """For which boat, and by when; the options are ticks of their own."""

    boat = forms.ModelChoiceField(
        label=_("Boat"),
        queryset=Boat.objects.none(),
        empty_label=_("choose her"),
        error_messages={"required": _("Choose the boat it is for.")},
    )
    earliest = forms.DateField(label=_("Not before"), required=False)
    wanted = forms.DateField(label=_("Wanted"), required=False)
    latest = forms.DateField(label=_("At the latest"), required=False)
    form_key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, sums_alone: bool = False, **more: Any) -> None:
        """sums_alone: what the options come to is asked of no boat."""
        super().__init__(data, **more)
        self.fields["boat"].required = not sums_alone
        boats = cast("forms.ModelChoiceField[Any]", self.fields["boat"])
        boats.queryset = Boat.objects.filter(archived=False).order_by("name", "id")
        for name, field in self.fields.items():
            if name != "form_key":
                field.widget.attrs["class"] = "field"
        for name in ("earliest", "wanted", "latest"):
            self.fields[name].widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "field"})

    def dates(self) -> OrderDates:
        said = self.cleaned_data
        return OrderDates(earliest=said["earliest"], wanted=said["wanted"], latest=said["latest"])


def _moment(label: StrOrPromise, *, required: bool = True) -> forms.DateTimeField:
    widget = forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local", "class": "field"})
    formats = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
    return forms.DateTimeField(label=label, required=required, widget=widget, input_formats=formats)


class WithSkills(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]  # Django does not subscript it
    """People with what they can do: a trip wants a driver."""

    def label_from_instance(self, person: Any) -> str:
        skills = ", ".join(sorted(row.skill.name for row in person.skills.all()))
        return f"{person.short_name} ({skills})" if skills else person.short_name


class TripForm(forms.Form):
    """Typed on the yard's clock."""

    leaves_at = _moment(_("They leave the yard"))
    drive_min = forms.IntegerField(label=_("Minutes on the road to there"), min_value=0, max_value=3000)
    check_in_by = _moment(_("Check-in closes"), required=False)
    returns_at = _moment(_("Truck and people are back"))
    people = WithSkills(label=_("Who goes"), queryset=Person.objects.none(), widget=forms.CheckboxSelectMultiple)
    places = forms.ModelMultipleChoiceField(
        label=_("With what"), queryset=Place.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    permit = forms.CharField(label=_("Road permit"), required=False, max_length=60)
    escort = forms.CharField(label=_("Escort"), required=False, max_length=120)
    note = forms.CharField(label=_("Note"), required=False, max_length=200)
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        people = cast("forms.ModelMultipleChoiceField[Any]", self.fields["people"])
        people.queryset = Person.objects.filter(archived=False).prefetch_related("skills__skill").order_by("short_name")
        places = cast("forms.ModelMultipleChoiceField[Any]", self.fields["places"])
        places.queryset = Place.objects.filter(archived=False, kind__in=[PlaceKind.TRUCK, PlaceKind.TRAILER]).order_by(
            "sequence", "id"
        )
        for name in ("drive_min", "permit", "escort", "note"):
            self.fields[name].widget.attrs["class"] = "field"

    def asked(self) -> TripAsked:
        said = self.cleaned_data
        return TripAsked(
            leaves_at=said["leaves_at"],
            drive_min=said["drive_min"],
            check_in_by=said["check_in_by"],
            returns_at=said["returns_at"],
            people=tuple(said["people"]),
            places=tuple(said["places"]),
            permit=said["permit"],
            escort=said["escort"],
            note=said["note"],
        )


def trip_initial(trip: Trip | None, fixed_at: datetime | None) -> dict[str, Any]:
    if trip is None:
        return {"leaves_at": fixed_at}
    names = ("leaves_at", "drive_min", "check_in_by", "returns_at", "permit", "escort", "note", "version")
    rows = {"people": [row.pk for row in trip.people.all()], "places": [row.pk for row in trip.places.all()]}
    return {name: getattr(trip, name) for name in names} | rows
