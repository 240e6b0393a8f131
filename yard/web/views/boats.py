"""The list of boats, one boat's page, and what people say on it: where she lies, what is known, what was told."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.views.decorators.vary import vary_on_cookie

from yard.models import Boat, Fact, Item, StaleRow, Telling, Whereabouts
from yard.queries.boat_list import boats_on_file, list_rows, standings
from yard.queries.boat_page import orders_to_tell_of, owner_rows
from yard.queries.plans import posted_plan
from yard.services.ask_of_row import ask_of_row
from yard.services.sail_care import say_of_thing
from yard.services.say_fact import FactRefused, say_draft, say_fact
from yard.services.say_hours import Clocks
from yard.services.tellings import TellingRefused, note_telling, take_back
from yard.services.whereabouts import WhereRefused, say_where_boat_lies
from yard.services.whole_change.sale_to_come import waiting
from yard.web.access import found, may, require
from yard.web.boats.forms import SAYINGS, DraftForm, TellForm, fact_ids
from yard.web.boats.page import Sent, boat_page
from yard.web.boats.sheet import as_csv
from yard.web.boats.store import store_page
from yard.web.boats.sure import how_sure
from yard.web.boats.where import boat_lies_in, seen_in, thing_lies_in
from yard.web.context import said_of_plan
from yard.web.filters.boats import BoatFilter
from yard.web.lists.tools import list_tools
from yard.web.records.kept import kept_of_boat
from yard.web.request import YardRequest, who
from yard.web.tables.boats import BoatTable
from yard.web.tables.yard_table import of_request
from yard.web.units import height_unit, local


@require("view_plan")
@vary_on_cookie
def boats(request: YardRequest) -> HttpResponse:
    """Every boat on file, searched, narrowed and sorted; `?as=csv` gives the same rows as a sheet."""
    owners, plan = may(request.user, "see_owners"), posted_plan()
    standing = standings(plan)
    chosen = BoatFilter(request.GET, boats_on_file(), standing=standing, with_owners=owners)
    rows = list_rows(chosen.qs, standing, with_owners=owners)
    table = BoatTable(rows, yard=request.yard, with_owners=owners)
    if request.GET.get("as") == "csv":
        return as_csv(of_request(request, table), "boats.csv")
    of_request(request, table)
    context = {"table": table, "filter": chosen, "found": len(rows), **said_of_plan(plan, request.yard_now)}
    return render(request, "boats/list.html", context | {"tools": list_tools(request, "boats", table)})


@require("view_plan")
@vary_on_cookie
def boat(request: YardRequest, pk: int) -> HttpResponse:
    return _show(request, _boat(pk))


@require("view_plan")
def store(request: YardRequest) -> HttpResponse:
    """Rows and stacks of the store, and who stands in whose way."""
    return render(request, "boats/store.html", {"page": store_page(posted_plan())})


@require(post="report_work")
def boat_lies(request: YardRequest, pk: int) -> HttpResponseBase:
    """She stands here."""
    her = _boat(pk)
    try:
        lies = boat_lies_in(request.POST)
        row = say_where_boat_lies(her, lies, seen=seen_in(request.POST), by=who(request), now=request.yard_now)
        messages.success(
            request,
            _("{what}: {place}. What was said before stays on file.").format(
                what=her, place=row.place or row.mooring or _("away")
            ),
        )
        _ask_of_row(request, row)
    except WhereRefused as refused:
        messages.error(request, _("Nothing was changed. {why}").format(why=refused))
    return redirect("boat", pk=pk)


def _ask_of_row(request: YardRequest, row: Whereabouts) -> None:
    """Whom she stands in front of now, and the proposal that was asked for."""
    told = ask_of_row(row, by=who(request), clocks=Clocks(request.yard_now, timezone.now()))
    if told is None:
        return
    if told.proposal is None:
        words = _("She stands in front of a boat that leaves before her. {why}")
        messages.warning(request, format_html(words, why=told.why))
        return
    words = _('She stands in front of a boat that leaves before her. <a href="{address}">A proposal is being made</a>.')
    messages.warning(request, format_html(words, address=reverse("proposal", args=[told.proposal.pk])))


@require(post="report_work")
def thing_lies(request: YardRequest, pk: int) -> HttpResponseBase:
    """It lies here."""
    item = found(Item.objects.filter(archived=False, boat__isnull=False), pk=pk)
    try:
        lies = thing_lies_in(request.POST)
        seen, now = seen_in(request.POST), request.yard_now
        event = say_of_thing(item, lies, seen=seen, by=who(request), now=now, real_now=timezone.now())
        messages.success(
            request,
            _("{what}: {place}. What was said before stays on file.").format(
                what=item, place=lies.place or lies.kind.label
            ),
        )
        if event is not None:
            messages.info(request, f"{event.says}.")
    except WhereRefused as refused:
        messages.error(request, _("Nothing was changed. {why}").format(why=refused))
    return redirect("boat", pk=item.boat_id or 0)


@require(post="edit_facts")
def fact_said(request: YardRequest, pk: int, saying: str) -> HttpResponseBase:
    """Here, expected or not known."""
    fact = found(Fact.objects.select_related("boat", "order__boat"), pk=pk)
    her = fact.boat or (fact.order.boat if fact.order else None)
    if saying not in SAYINGS or her is None:
        raise Http404("no such form")
    form = SAYINGS[saying](request.POST, auto_id=fact_ids(fact, saying))
    if form.is_valid():
        try:
            version, now = form.cleaned_data["version"], request.yard_now
            today = local(now).date()
            say_fact(fact, form.said(), seen_version=version, today=today, by=who(request), now=now)
            messages.success(
                request,
                _("{fact}: {state}. Plan again to see what it changes.").format(
                    fact=fact.name, state=fact.get_state_display()
                ),
            )
            return redirect("boat", pk=her.pk)
        except FactRefused as refused:
            form.add_error(refused.field if refused.field in form.fields else None, str(refused))
        except StaleRow as stale:
            form.add_error(None, str(stale))
    return _show(request, her, Sent(fact.pk, saying, form))


@require(post="edit_facts")
def boat_draft(request: YardRequest, pk: int) -> HttpResponseBase:
    her = _boat(pk)
    form = DraftForm(request.POST, yard=request.yard, auto_id="her-%s")
    if form.is_valid():
        try:
            version, now = form.cleaned_data["version"], request.yard_now
            today = local(now).date()
            say_draft(her, form.draft_m(), seen_version=version, today=today, by=who(request), now=now)
            messages.success(
                request, _("The draft of {boat} is written. Plan again to give her a day.").format(boat=her)
            )
            return redirect("boat", pk=pk)
        except (FactRefused, StaleRow) as refused:
            form.add_error("draft", str(refused))
    return _show(request, _boat(pk), Sent(form=form))


@require(post="tell_owner")
def boat_told(request: YardRequest, pk: int) -> HttpResponseBase:
    """A telling noted by hand."""
    her, now = _boat(pk), request.yard_now
    form = TellForm(request.POST, orders=orders_to_tell_of(her.orders.all()), owned=owner_rows(her), now=now)
    if form.is_valid():
        try:
            order = form.orders[form.cleaned_data["order"]]
            note_telling(order, form.told(), by=who(request), plan=posted_plan(), now=now)
            messages.success(request, _("It is noted. If it was a mistake, take it back below; it stays on file."))
            return redirect("boat", pk=pk)
        except TellingRefused as refused:
            form.add_error(refused.field, str(refused))
    return _show(request, her, tell_form=form)


@require(post="tell_owner")
def telling_taken_back(request: YardRequest, pk: int) -> HttpResponseBase:
    telling = found(Telling.objects.filter(boat__isnull=False), pk=pk)
    if take_back(telling, by=who(request), now=request.yard_now):
        messages.success(request, _("Taken back: it counts no more, and stays on file."))
    else:
        messages.error(request, _("Nothing was changed: somebody took it back before."))
    return redirect("boat", pk=telling.boat_id or 0)


def _show(
    request: YardRequest, her: Boat, sent: Sent | None = None, *, tell_form: TellForm | None = None
) -> HttpResponse:
    """The page; with a form that could not be taken, it says so in its status too."""
    now, owners = request.yard_now, may(request.user, "see_owners")
    page = boat_page(her, request.yard, now=now, with_owners=owners, sent=sent)
    refused: forms.Form | None = tell_form or (sent.form if sent else None)
    if tell_form is None and may(request.user, "tell_owner") and page.rows.orders:
        every = [*page.rows.orders, *page.rows.past]
        tell_form = TellForm(orders=orders_to_tell_of(every), owned=page.rows.owned.owners, now=now)
    context = {
        "boat": her,
        "page": page,
        "sure": how_sure(her, now=now) if page.lines else None,
        "tell_form": tell_form,
        "kept": kept_of_boat(her, list(page.rows.orders), request.yard, request.user),
        "refused": refused,
        "to_come": waiting(her),
        "today": local(now).date(),
        "unit": height_unit(request.yard),
        **said_of_plan(page.rows.plan, now),
    }
    return render(request, "boats/boat.html", context, status=422 if refused else 200)


def _boat(pk: int) -> Boat:
    return found(Boat.objects.all(), pk=pk)
