"""Where rows of one kind are kept: the same four doings for each, with what is particular said by its Desk."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from yard.services import keeping
from yard.services.keeping import Keeper, Kept, Refused, SomebodyWasQuicker, Writer
from yard.web.access import found
from yard.web.keeping.form import RowForm, Sayer, history_of
from yard.web.request import YardRequest, who
from yard.web.units import local


def no_more(request: YardRequest, row: Any) -> dict[str, Any]:
    return {}


@dataclass(frozen=True, kw_only=True)
class Desk:
    """one: what a row is called. name: in addresses, as "owner": owner_change, owner_archive and so on. page: where
    somebody goes after saving. about: what the template shows beside form and history."""

    keeper: Keeper[Any]
    form: type[RowForm]
    one: str
    name: str
    template: str
    page: Callable[[Any], str]
    about: Callable[[YardRequest, Any], dict[str, Any]] = no_more
    archives: bool = True


def add_page(
    request: YardRequest, desk: Desk, *, initial: Mapping[str, Any] | None = None, **more: Any
) -> HttpResponseBase:
    """The empty form, or a new row. more: what the page fixes, as the mooring of a part."""
    form = desk.form(request.POST or None, yard=request.yard, today=today_of(request), initial=dict(initial or {}))
    if form.is_valid():
        outcome = keeping.add(desk.keeper, form.values(), writer=writer_of(request), form_key=form.key(), **more)
        match outcome:
            case Kept(row):
                messages.success(request, f"{row}: on file.")
                return redirect(desk.page(row))
            case Refused() as refused:
                form.refuse(refused)
    return show(request, desk, form, more=more)


def change_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    """Its form. Where somebody else was quicker, both values are shown; a second Save is then a decision."""
    row = found(desk.keeper.model._default_manager.all(), pk=pk)
    form = desk.form(request.POST or None, yard=request.yard, today=today_of(request), row=row)
    if not form.is_valid():
        return show(request, desk, form, row)
    values, seen = form.values(row), form.cleaned_data["version"] or 0
    match keeping.change(desk.keeper, pk, values, seen_version=seen, writer=writer_of(request)):
        case Kept(kept, changed):
            messages.success(request, f"{kept}: {'saved' if changed else 'nothing was changed'}.")
            return redirect(desk.page(kept))
        case Refused() as refused:
            form.refuse(refused)
            return show(request, desk, form, row)
        case SomebodyWasQuicker(stored):
            form.show_over(stored)
            return show(request, desk, form, stored, quicker=form.differing(values, stored))


def archive_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    found(desk.keeper.model._default_manager.all(), pk=pk)
    archived = request.POST.get("archived") == "yes"
    outcome = keeping.archive(desk.keeper, pk, archived, seen_version=seen_version(request), writer=writer_of(request))
    say(request, outcome, "Archived: what hangs on it stays on file." if archived else "Back in the lists.")
    return redirect(f"{desk.name}_change", pk=pk)


def put_back_page(
    request: YardRequest, keeper: Keeper[Any], pk: int, history_id: int, back_to: str
) -> HttpResponseBase:
    """The way back to what a row of the history says."""
    model: Any = keeper.model
    try:
        outcome = keeping.put_back(
            keeper, pk, history_id, seen_version=seen_version(request), writer=writer_of(request)
        )
    except model.DoesNotExist as missing:
        raise Http404 from missing
    say(request, outcome, "It is on file again as it was then. This too is in the history.")
    return redirect(back_to)


def say(request: YardRequest, outcome: Kept[Any] | Refused | SomebodyWasQuicker[Any], done: str) -> None:
    match outcome:
        case Kept():
            messages.success(request, done)
        case Refused(words):
            messages.error(request, "Nothing was changed. " + " ".join(each for row in words.values() for each in row))
        case SomebodyWasQuicker(stored):
            messages.error(request, f"Nothing was changed: somebody else changed {stored} meanwhile. Look again.")


def show(
    request: YardRequest,
    desk: Desk,
    form: RowForm,
    row: Any = None,
    *,
    quicker: tuple[Any, ...] | None = None,
    more: Mapping[str, Any] | None = None,
) -> HttpResponse:
    refused = bool(form.errors) or quicker is not None
    history = history_of(row, desk.keeper.fields, Sayer(form.measures, feet=form.feet)) if row is not None else ()
    context: dict[str, Any] = {"form": form, "row": row, "quicker": quicker, "history": history, "one": desk.one}
    context |= {"history_of": desk.name, "archives": desk.archives} | dict(more or {}) | desk.about(request, row)
    if row is not None and desk.archives:
        context["archive_url"] = reverse(f"{desk.name}_archive", args=[row.pk])
    status = 409 if quicker is not None else 422 if refused else 200
    return render(request, desk.template, context, status=status)


def seen_version(request: YardRequest) -> int:
    typed = request.POST.get("version", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0


def writer_of(request: YardRequest) -> Writer:
    return Writer(who(request), request.yard_now, today_of(request))


def today_of(request: YardRequest) -> date:
    return local(request.yard_now).date()
