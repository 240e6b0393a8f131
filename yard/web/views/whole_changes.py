"""Two that are one merged, a boat sold, both taken back; pairs that look alike; the history of any fact."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from yard.models import Boat, Owner, SaleToCome, StaleRow, WholeChange, YardSettings
from yard.queries.duplicates import boats_twice, owners_twice
from yard.services import keeping
from yard.services.keeping import Refused
from yard.services.whole_change.apart import tell_apart
from yard.services.whole_change.merge import ChangedMeanwhile, Merged, keeper_of, merge
from yard.services.whole_change.sale import Sold, sell
from yard.services.whole_change.sale_to_come import Agreed, NotToChange, agree, call_off, carry_out_anyway, waiting
from yard.services.whole_change.take_back import NotTakenBack, take_back, why_not
from yard.web.access import found, may, require
from yard.web.keeping.desk import say, seen_version, today_of, writer_of
from yard.web.keeping.histories import KINDS, Kind
from yard.web.keeping.merging import candidates, merge_page, ticked_in, wish_of
from yard.web.keeping.saying import history_of
from yard.web.keeping.selling import SaleForm, agreed_by_form, done_by_form
from yard.web.keeping.wholes import whole_page
from yard.web.request import YardRequest, who


@require("edit_facts", post="edit_facts")
def boat_merge(request: YardRequest, pk: int) -> HttpResponseBase:
    return _merge(request, found(Boat.objects.all(), pk=pk))


@require("edit_facts", post="edit_facts")
def owner_merge(request: YardRequest, pk: int) -> HttpResponseBase:
    return _merge(request, found(Owner.objects.all(), pk=pk))


def _merge(request: YardRequest, kept: Boat | Owner) -> HttpResponseBase:
    """The two side by side; without another one named, whom it may be the same as."""
    name = str(kept._meta.model_name)
    named = request.POST.get("with") or request.GET.get("with", "")
    if not named:
        return render(request, "keeping/merge_with.html", {"kept": kept, "of": name, "rows": candidates(kept)})
    gone: Any = found(type(kept)._default_manager.all(), pk=named)
    wrong = _merged(request, kept, gone) if request.method == "POST" else ()
    if isinstance(wrong, WholeChange):
        messages.success(
            request, _("{wrong}. It can be taken back as a whole on the page of this change.").format(wrong=wrong)
        )
        return redirect(name, pk=kept.pk)
    page = merge_page(kept, gone, request.yard, ticked_in(request.POST, tuple(keeper_of(kept).fields)))
    context = {"page": page, "of": name, "wrong": wrong}
    return render(request, "keeping/merge.html", context, status=422 if wrong else 200)


def _merged(request: YardRequest, kept: Boat | Owner, gone: Boat | Owner) -> WholeChange | tuple[str, ...]:
    """Done; or what is wrong, and nothing was."""
    match merge(kept, gone, wish_of(request.POST, kept), writer=writer_of(request)):
        case Merged(change):
            return change
        case Refused(words):
            return tuple(each for row in words.values() for each in row)
        case ChangedMeanwhile(changed):
            return (_("{changed} was changed meanwhile: look at both again, then merge.").format(changed=changed),)


@require("edit_facts", post="edit_facts")
def boat_sell(request: YardRequest, pk: int) -> HttpResponseBase:
    boat = found(Boat.objects.all(), pk=pk)
    key = request.POST.get("form_key", "")
    if sold := done_by_form(key):  # pressed twice
        return redirect("whole_change", pk=sold.pk)
    if agreed_by_form(key):
        return redirect("boat", pk=pk)
    form = SaleForm(request.POST or None, boat=boat, today=today_of(request))
    if form.is_valid() and (there := _sold(request, boat, form)):
        return there
    context = {"form": form, "boat": boat, "to_come": waiting(boat)}
    return render(request, "keeping/sell.html", context, status=422 if form.errors else 200)


def _sold(request: YardRequest, boat: Boat, form: SaleForm) -> HttpResponseBase | None:
    """Where to go on; None where nothing was done, and the form says why."""
    sale, seen, writer = form.sale(), form.cleaned_data["version"] or 0, writer_of(request)
    verb = agree if sale.sold_on > writer.today else sell
    try:
        match verb(boat, sale, seen_version=seen, writer=writer):
            case Sold(change, _):
                messages.success(
                    request,
                    _("{change}. Permit and insurance are asked anew: see what she waits on.").format(change=change),
                )
                return redirect("whole_change", pk=change.pk)
            case Agreed(row):
                messages.success(
                    request, _("{row}: until then nothing changes. It can be called off on her page.").format(row=row)
                )
                return redirect("boat", pk=boat.pk)
            case Refused() as refused:
                form.refuse(refused)
    except StaleRow:
        form.add_error(None, _("Somebody changed her meanwhile: open this page anew, and look again."))
    return None


@require(post="edit_facts")
def sale_to_come(request: YardRequest, pk: int) -> HttpResponseBase:
    """A sale that waits is called off, or carried out once more after what stood in its way was put right."""
    row = found(SaleToCome.objects.select_related("boat"), pk=pk)
    if request.POST.get("act") == "again":
        if why_not := carry_out_anyway(row, writer=writer_of(request)):
            messages.error(request, _("She is not sold yet: {why_not}").format(why_not=why_not))
        return redirect("boat", pk=row.boat_id)
    try:
        call_off(row, writer=writer_of(request))
        messages.success(request, _("Called off: {boat} stays whose she is.").format(boat=row.boat))
    except NotToChange as refused:
        messages.error(request, str(refused))
    return redirect("boat", pk=row.boat_id)


@require("see_owners")
def whole_change(request: YardRequest, pk: int) -> HttpResponse:
    """What was done as a whole, and whether it can be taken back as a whole."""
    row = found(WholeChange.objects.select_related("boat", "owner", "made_by", "taken_back_by"), pk=pk)
    stands = row.taken_back_at is None
    context = {"change": row, "page": whole_page(row), "why_not": why_not(row) if stands else ()}
    return render(request, "keeping/whole_change.html", context)


@require(post="edit_facts")
def whole_change_back(request: YardRequest, pk: int) -> HttpResponseBase:
    row = found(WholeChange.objects.all(), pk=pk)
    try:
        take_back(row, writer=writer_of(request))
        messages.success(request, _("Taken back as a whole: everything is on file as it was before."))
    except NotTakenBack as refused:
        messages.error(request, _("Nothing was changed. {why}").format(why=refused))
    return redirect("whole_change", pk=pk)


@require("see_owners")
def duplicates(request: YardRequest) -> HttpResponse:
    """Boats and owners that seem to be on file twice."""
    return render(request, "keeping/duplicates.html", {"boats": boats_twice(), "owners": owners_twice()})


@require(post="edit_facts")
def told_apart(request: YardRequest, of: str, one: int, other: int) -> HttpResponseBase:
    model: Any = {"boat": Boat, "owner": Owner}.get(of)
    if model is None or one == other:
        raise Http404("no such pair")
    first, second = found(model.objects.all(), pk=one), found(model.objects.all(), pk=other)
    tell_apart(first, second, by=who(request), now=request.yard_now)
    messages.success(
        request, _("{first} and {second} are two: it is not asked again.").format(first=first, second=second)
    )
    return redirect("duplicates")


@require("view_plan")
def fact_history(request: YardRequest, of: str, pk: int) -> HttpResponse:
    """What was on file of one row, who changed it, when and why, and the way back."""
    kind, row = _row(request, of, pk)
    rows = history_of(
        row,
        kind.sayer(request.yard.units == YardSettings.Units.FEET),
        lambda history_id: reverse("fact_put_back", args=[of, pk, history_id]),
    )
    return render(request, "keeping/history.html", {"row": row, "history": rows, "page": kind.page(row)})


@require(post="edit_facts")
def fact_put_back(request: YardRequest, of: str, pk: int, history_id: int, to: str = "") -> HttpResponseBase:
    """The way back to what a row of the history says. to: the page on which it ends; its history where none is said."""
    kind, row = _row(request, of, pk)
    leaves = [key for key, verb in kind.minds.items() if not may(request.user, verb)]
    keeper, seen = kind.sayer(False).keeper, seen_version(request)
    try:
        outcome = keeping.put_back(keeper, pk, history_id, seen_version=seen, writer=writer_of(request), leaves=leaves)
    except type(row).DoesNotExist as missing:
        raise Http404 from missing
    say(request, outcome, _("It is on file again as it was then. This too is in the history."))
    return redirect(to, pk) if to else redirect("fact_history", of, pk)


def _row(request: YardRequest, of: str, pk: int) -> tuple[Kind, Any]:
    """The row of that kind, or 404, also where it tells of owners to somebody who may not see them."""
    kind = KINDS.get(of)
    if kind is None or not may(request.user, kind.verb):
        raise Http404("no such history")
    return kind, found(kind.sayer(False).keeper.model._default_manager.all(), pk=pk)
