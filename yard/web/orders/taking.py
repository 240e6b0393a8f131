"""From the page of a new order to the order: what the form shows, and one saving of all or nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, Order, Skill
from yard.services.order_package import OrderRefused, default_options, order_package
from yard.services.when_done import EarliestDays, NoDay, earliest_days, earliest_with_others_moved
from yard.web.orders.form import OrderForm, boat_label
from yard.web.orders.preview import Preview, preview
from yard.web.request import YardRequest
from yard.web.units import local


def form_of(request: YardRequest, data: Any = None, boat_pk: int | None = None) -> OrderForm:
    """The form, empty or with what was sent; a boat or package that the address names stands in it."""
    boats = list(Boat.objects.filter(archived=False).order_by("name", "id"))
    asked = str(boat_pk or request.GET.get("boat", ""))
    known = next((boat for boat in boats if str(boat.pk) == asked), None)
    initial = {"boat": boat_label(known) if known else "", "package": request.GET.get("package", "")}
    today = local(request.yard_now).date()
    return OrderForm(data, boats=boats, today=today, initial=initial)


def preview_of(form: OrderForm) -> Preview | None:
    """The jobs of the package on the form; None while none is chosen."""
    package = form.package_chosen()
    if package is None:
        return None
    return preview(package, form.boat_named(), form.options_on(), dict(Skill.objects.values_list("key", "name")))


def page_of(form: OrderForm) -> dict[str, Any]:
    """What the templates of a new order are given."""
    return {
        "form": form,
        "preview": preview_of(form),
        "boats": [boat_label(boat) for boat in form.boats],
        "work_url": reverse("order_work"),
        "more_open": any(name in form.errors for name in ("to_mooring", "fixed_delivery_at", "goes_first")),
        "walk_in_open": bool(form["walk_in_name"].value()) or "walk_in_name" in form.errors,
    }


STRANGER = gettext_lazy("a caller")


@dataclass(frozen=True)
class Answers:
    """When it could be done. others_move: if others may move inside their promised days; None where not asked."""

    nobody_moves: EarliestDays | NoDay
    others_move: EarliestDays | NoDay | None = None


def earliest(form: OrderForm, *, by: User | None, now: datetime, others_move: bool = False) -> Answers | None:
    """When this order could be done, nothing of it saved; None where the form says what is missing."""
    if not form.is_valid():
        return None
    package, boat, options = form.cleaned_data["package"], form.cleaned_data["boat"], form.options_on()
    chosen = default_options(package, boat) if options is None else options

    def make() -> Order:
        terms = replace(form.terms(), form_key=None)
        return order_package(boat, package, options=chosen, dates=form.dates(), by=by, now=now, terms=terms)

    try:
        nobody = earliest_days(make, now=now)
        return Answers(nobody, earliest_with_others_moved(make, now=now) if others_move else None)
    except OrderRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as error:
        form.add_error(None, error.messages)
    return None


def for_a_stranger(data: QueryDict) -> QueryDict:
    """What was sent, with a name where neither a boat nor a person is named: whoever asks when need not say who."""
    named = data.copy()
    if not named.get("boat", "").strip() and not named.get("walk_in_name", "").strip():
        named["walk_in_name"] = str(STRANGER)
    return named


def take(form: OrderForm, *, by: User | None, now: datetime) -> Order | None:
    """Save the order whole, or say on the form what is wrong and save nothing.

    Without script the options of a newly chosen package were never shown: then nothing is saved either, and the
    page shows them.
    """
    if not form.is_valid():
        return None
    package, boat, options = form.cleaned_data["package"], form.cleaned_data["boat"], form.options_on()
    if options is None and package.options.exists():
        said = _("Look at the jobs of {package}, then save: nothing is saved yet.")
        form.add_error(None, said.format(package=package.name.lower()))
        return None
    chosen = default_options(package, boat) if options is None else options
    try:
        return order_package(boat, package, options=chosen, dates=form.dates(), by=by, now=now, terms=form.terms())
    except OrderRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as error:
        form.add_error(None, error.messages)
    return None
