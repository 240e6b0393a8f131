"""What a person writes when a job took longer, stopped, is done, or failed; when an owner asks for another day."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Job, JobKind, Mooring, Order, Place, PlannedJob
from yard.queries.phone import LIE_AT
from yard.services.happenings import Done, Failed, Happening, LiesTonight, NewDate, NewJob, Stopped, Took, Urgent
from yard.web.number_fields import NumberField

MOST_HOURS = 200


class JobChoice(forms.ModelChoiceField[Job]):
    """A job by its boat and its planned day, soonest first."""

    def __init__(self, **more: Any) -> None:
        super().__init__(queryset=_jobs(), **more)
        self.widget.attrs["size"] = "1"

    def label_from_instance(self, obj: Any) -> str:
        boat = obj.order.boat.name if obj.order.boat is not None else obj.order.walk_in_name
        return f"{boat}, {obj.name}"


def _jobs() -> Any:
    """Open work of open orders that the plan on the wall has, by boat."""
    planned = PlannedJob.objects.filter(plan__state="posted").values("job")
    rows = Job.objects.filter(pk__in=planned, order__state=Order.State.OPEN).exclude(
        state__in=(Job.State.DONE, Job.State.CANCELLED)
    )
    return rows.select_related("order__boat").order_by("order__boat__name", "sequence", "id")


class LongerForm(forms.Form):
    job = JobChoice(label=gettext_lazy("Which job"))
    left_h = NumberField(label=gettext_lazy("hours left"), min_value=0.25, max_value=MOST_HOURS)
    reason = forms.CharField(label=gettext_lazy("because"), max_length=200)

    def happening(self) -> Happening:
        given = self.cleaned_data
        return Took(given["job"], round(given["left_h"] * 60), given["reason"])


class _Lies(forms.Form):
    """Where does she lie tonight?"""

    lies_place = forms.ModelChoiceField(
        label=gettext_lazy("where does she lie tonight?"),
        queryset=Place.objects.filter(kind__in=LIE_AT, archived=False),
        required=False,
        empty_label=gettext_lazy("as planned"),
    )
    lies_mooring = forms.ModelChoiceField(
        label=gettext_lazy("or on a mooring"),
        queryset=Mooring.objects.filter(archived=False),
        required=False,
        empty_label=gettext_lazy("none"),
    )

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or {}
        if given.get("lies_place") and given.get("lies_mooring"):
            self.add_error("lies_mooring", _("Say one: a place, or a mooring."))
        return given

    def lies(self) -> LiesTonight | None:
        given, boat = self.cleaned_data, self.cleaned_data["job"].order.boat
        if boat is None or not (given["lies_place"] or given["lies_mooring"]):
            return None
        return LiesTonight(boat, given["lies_place"], given["lies_mooring"])


class StoppedForm(_Lies):
    job = JobChoice(label=gettext_lazy("Which job"))
    left_h = NumberField(
        label=gettext_lazy("hours left"),
        min_value=0.25,
        max_value=MOST_HOURS,
        required=False,
        help_text=gettext_lazy("empty: all of it"),
    )
    reason = forms.CharField(label=gettext_lazy("because"), max_length=180)
    field_order = ["job", "left_h", "reason", "lies_place", "lies_mooring"]

    def happening(self) -> Happening:
        given = self.cleaned_data
        left = round(given["left_h"] * 60) if given["left_h"] else None
        return Stopped(given["job"], given["reason"], left, self.lies())


class DoneForm(forms.Form):
    job = JobChoice(label=gettext_lazy("Which job"))
    day = forms.DateField(label=gettext_lazy("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    ended = forms.TimeField(
        label=gettext_lazy("done at"), widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )

    def happening(self) -> Happening:
        given = self.cleaned_data
        return Done(given["job"], timezone.make_aware(datetime.combine(given["day"], given["ended"])))


class FailedForm(_Lies):
    """A fault: up to two new jobs come before the job that failed, the first with a part that is awaited."""

    job = JobChoice(label=gettext_lazy("Which job"))
    reason = forms.CharField(label=gettext_lazy("because"), max_length=180)
    first_name = forms.CharField(
        label=gettext_lazy("new job"), max_length=80, required=False, help_text=gettext_lazy("as “replace the shroud”")
    )
    first_kind = forms.ModelChoiceField(
        label=gettext_lazy("its kind"),
        queryset=JobKind.objects.filter(archived=False),
        required=False,
        empty_label=gettext_lazy("as this job"),
    )
    first_h = NumberField(label=gettext_lazy("hours"), min_value=0.25, max_value=MOST_HOURS, required=False)
    part = forms.CharField(label=gettext_lazy("waits on a part"), max_length=80, required=False)
    part_date = forms.DateField(
        label=gettext_lazy("expected on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=gettext_lazy("empty: not known"),
    )
    second_name = forms.CharField(label=gettext_lazy("another new job"), max_length=80, required=False)
    second_h = NumberField(label=gettext_lazy("hours"), min_value=0.25, max_value=MOST_HOURS, required=False)
    field_order = [
        "job",
        "reason",
        "first_name",
        "first_kind",
        "first_h",
        "part",
        "part_date",
        "second_name",
        "second_h",
        "lies_place",
        "lies_mooring",
    ]

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        for name in ("first", "second"):
            if given.get(f"{name}_name") and not given.get(f"{name}_h"):
                self.add_error(f"{name}_h", _("How many hours does the new job take?"))
        if given.get("part") and not given.get("first_name"):
            self.add_error("first_name", _("Name the new job that waits on the part."))
        return given

    def happening(self) -> Happening:
        given = self.cleaned_data
        kind = given["first_kind"] or given["job"].kind
        new = []
        if given["first_name"]:
            minutes = round(given["first_h"] * 60)
            new.append(NewJob(given["first_name"], kind, minutes, given["part"], given["part_date"]))
        if given["second_name"]:
            new.append(NewJob(given["second_name"], kind, round(given["second_h"] * 60)))
        return Failed(given["job"], given["reason"], tuple(new), self.lies())


def _orders() -> Any:
    return Order.objects.filter(state=Order.State.OPEN).select_related("boat").order_by("boat__name", "ref")


class OrderChoice(forms.ModelChoiceField[Order]):
    """An order by its boat."""

    def __init__(self, **more: Any) -> None:
        super().__init__(queryset=_orders(), **more)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.boat.name if obj.boat is not None else obj.walk_in_name}, {obj.name} ({obj.ref})"


class NewDateForm(forms.Form):
    order = OrderChoice(label=gettext_lazy("Which order"))
    wanted_date = forms.DateField(label=gettext_lazy("wanted by"), widget=forms.DateInput(attrs={"type": "date"}))

    def happening(self) -> Happening:
        return NewDate(**self.cleaned_data)


class UrgentForm(forms.Form):
    order = OrderChoice(
        label=gettext_lazy("Which order"), help_text=gettext_lazy("a new one is taken first, with its boat and package")
    )
    reason = forms.CharField(label=gettext_lazy("because"), max_length=200)

    def happening(self) -> Happening:
        return Urgent(**self.cleaned_data)
