"""Where rows of one kind are kept: the same four doings for each, with what is particular said by its Desk."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from yard.services import keeping
from yard.services.keeping import Keeper, Kept, Refused, SomebodyWasQuicker, Writer
from yard.web.access import found
from yard.web.keeping.form import RowForm
from yard.web.keeping.saying import history_of
from yard.web.keeping.wordings import WORDINGS
from yard.web.request import YardRequest, number_in, who
from yard.web.units import local


def no_more(request: YardRequest, row: Any) -> dict[str, Any]:
    return {}


def nothing_else(request: YardRequest) -> dict[str, Any]:
    return {}


@dataclass(frozen=True, kw_only=True)
class Desk:
    """One kind of row on its pages.

    one: what a row is called, as a key of WORDINGS and on no page. name: in addresses, as "owner": owner_change,
    owner_archive and so on; it is the name of its histories too. page: where somebody goes after saving; its own form
    where nothing is said. asks: what else the form is made with. about: what the template shows beside form and
    history. archives: whether it is put away. put_back: the name of the address of its way back, if that ends on its
    form.
    """

    form: type[RowForm]
    one: str
    name: str
    template: str
    page: Callable[[Any], str] | None = None
    asks: Callable[[YardRequest], dict[str, Any]] = nothing_else
    about: Callable[[YardRequest, Any], dict[str, Any]] = no_more
    archives: bool = True
    put_back: str = ""

    @property
    def keeper(self) -> Keeper[Any]:
        return self.form.keeper

    def page_of(self, row: Any) -> str:
        return self.page(row) if self.page is not None else reverse(f"{self.name}_change", args=[row.pk])

    def way_back(self, row: Any) -> Callable[[int], str]:
        """The address that makes it what it was in a row of its history."""
        if self.put_back:
            return lambda history_id: reverse(self.put_back, args=[row.pk, history_id])
        return lambda history_id: reverse("fact_put_back", args=[self.name, row.pk, history_id])

    def filled(self, request: YardRequest, row: Any = None, initial: Mapping[str, Any] | None = None) -> RowForm:
        """The form with what was sent, or as it is shown at first."""
        asked = self.asks(request)
        sent = request.POST or None
        return self.form(sent, yard=request.yard, today=today_of(request), row=row, initial=initial, **asked)


def add_page(
    request: YardRequest, desk: Desk, *, initial: Mapping[str, Any] | None = None, **more: Any
) -> HttpResponseBase:
    """The empty form, or a new row. more: what the page fixes, as the mooring of a part."""
    form = desk.filled(request, initial=initial)
    if form.is_valid():
        outcome = keeping.add(desk.keeper, form.values(), writer=writer_of(request), form_key=form.key(), **more)
        match outcome:
            case Kept(row):
                messages.success(request, _("{row} is on file.").format(row=row))
                return redirect(desk.page_of(row))
            case Refused() as refused:
                form.refuse(refused)
    return show(request, desk, form, more=more)


def change_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    """Its form. Where somebody else was quicker, both values are shown; a second Save is then a decision."""
    row = found(desk.keeper.model._default_manager.all(), pk=pk)
    form = desk.filled(request, row)
    if not form.is_valid():
        return show(request, desk, form, row)
    values, seen = form.values(), form.cleaned_data["version"] or 0
    match keeping.change(desk.keeper, pk, values, seen_version=seen, writer=writer_of(request)):
        case Kept(kept, changed):
            done = _("{row}: saved.") if changed else _("{row}: nothing was changed.")
            messages.success(request, done.format(row=kept))
            return redirect(desk.page_of(kept))
        case Refused() as refused:
            form.refuse(refused)
            return show(request, desk, form, row)
        case SomebodyWasQuicker(stored):
            form.show_over(stored)
            return show(request, desk, form, stored, quicker=form.differing(values, stored))


def archive_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    row = found(desk.keeper.model._default_manager.all(), pk=pk)
    archived = request.POST.get("archived") == "yes"
    outcome = keeping.archive(desk.keeper, pk, archived, seen_version=seen_version(request), writer=writer_of(request))
    away, back = _("{row} is archived: what hangs there stays on file."), _("{row} is back in the lists.")
    say(request, outcome, (away if archived else back).format(row=row))
    return redirect(f"{desk.name}_change", pk=pk)


def say(request: YardRequest, outcome: Kept[Any] | Refused | SomebodyWasQuicker[Any], done: str) -> None:
    match outcome:
        case Kept():
            messages.success(request, done)
        case Refused(words):
            told = (each for row in words.values() for each in row)
            messages.error(request, " ".join((_("Nothing was changed."), *told)))
        case SomebodyWasQuicker(stored):
            messages.error(
                request,
                _("Nothing was changed: somebody else changed {stored} meanwhile. Look again.").format(stored=stored),
            )


def show(
    request: YardRequest,
    desk: Desk,
    form: RowForm,
    row: Any = None,
    *,
    quicker: tuple[Any, ...] | None = None,
    more: Mapping[str, Any] | None = None,
) -> HttpResponse:
    """The page; a form that could not be taken says so in its status too."""
    context: dict[str, Any] = {"form": form, "row": row, "quicker": quicker, "wording": WORDINGS[desk.one]}
    context |= dict(more or {}) | desk.about(request, row)
    if row is not None:
        context["history"] = history_of(row, form.say, desk.way_back(row))
        context["archive_url"] = reverse(f"{desk.name}_archive", args=[row.pk]) if desk.archives else ""
    status = 409 if quicker is not None else 422 if form.errors else 200
    return render(request, desk.template, context, status=status)


def seen_version(request: YardRequest) -> int:
    return number_in(request.POST.get("version", ""))


def writer_of(request: YardRequest) -> Writer:
    return Writer(who(request), request.yard_now, today_of(request))


def today_of(request: YardRequest) -> date:
    return local(request.yard_now).date()
