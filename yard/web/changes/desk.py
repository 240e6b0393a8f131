"""What the pages do on which one kind of row is added, changed, put away, brought back and made as it was."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from yard.services.keep_row import (
    Book,
    Kept,
    Refused,
    SomebodyWasQuicker,
    Writer,
    add,
    archive,
    change,
    put_back,
)
from yard.web.access import found
from yard.web.changes.kept_form import KeptForm, differing, history_of
from yard.web.request import YardRequest


@dataclass(frozen=True)
class Desk:
    """One kind of row on its pages. one: what it is called; address: of the page that changes it, by name.

    form: makes the form from a request, its data and the row. around: what else the page of a row shows.
    names: addresses by what they do: add, change, archive, put_back, list.
    """

    book: Book[Any]
    one: str
    template: str
    names: Mapping[str, str]
    form: Callable[[YardRequest, Any, Any], KeptForm]
    around: Callable[[YardRequest, Any], Mapping[str, Any]] = lambda request, row: {}

    def page(self, row: Any) -> str:
        return reverse(self.names["change"], args=[row.pk])


def add_page(request: YardRequest, desk: Desk) -> HttpResponseBase:
    """The empty form, and what was typed into it."""
    form = desk.form(request, request.POST or None, None)
    if form.is_valid():
        match add(desk.book, form.values(), writer=writer_of(request)):
            case Kept(row):
                messages.success(request, f"{row} is on file.")
                return redirect(desk.page(row))
            case Refused() as refused:
                form.refuse(refused)
    return show(request, desk, form)


def change_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    """The form of a row. Where somebody else was quicker both values are shown; a second Save is then a decision."""
    row = found(desk.book.model._default_manager.all(), pk=pk)
    form = desk.form(request, request.POST or None, row)
    if not form.is_valid():
        return show(request, desk, form, row)
    values, seen = form.values(), form.cleaned_data["version"] or 0
    match change(desk.book, pk, values, seen_version=seen, writer=writer_of(request)):
        case Kept(row, changed):
            messages.success(request, f"{row}: {'saved' if changed else 'nothing was changed'}.")
            return redirect(desk.page(row))
        case Refused() as refused:
            form.refuse(refused)
            return show(request, desk, form, row)
        case SomebodyWasQuicker(stored):
            form.show_over(stored)
            return show(request, desk, form, stored, quicker=differing(form, values, stored))


def archive_page(request: YardRequest, desk: Desk, pk: int) -> HttpResponseBase:
    row = found(desk.book.model._default_manager.all(), pk=pk)
    archived = request.POST.get("archived") == "yes"
    outcome = archive(desk.book, pk, archived, seen_version=seen_version(request), writer=writer_of(request))
    say(request, outcome, f"{row} is archived; what hangs on it stays on file." if archived else f"{row} is back.")
    return redirect(desk.page(row))


def put_back_page(request: YardRequest, desk: Desk, pk: int, history_id: int) -> HttpResponseBase:
    row = found(desk.book.model._default_manager.all(), pk=pk)
    try:
        outcome = put_back(desk.book, pk, history_id, seen_version=seen_version(request), writer=writer_of(request))
    except desk.book.model.DoesNotExist as missing:
        raise Http404 from missing
    say(request, outcome, f"{row} is on file again as it was then. This too is in the history.")
    return redirect(desk.page(row))


def show(request: YardRequest, desk: Desk, form: KeptForm, row: Any = None, *, quicker: Any = None) -> HttpResponse:
    """The page; a form that could not be taken says so in its status too."""
    status = 409 if quicker is not None else 422 if form.errors else 200
    context = {
        "form": form,
        "row": row,
        "one": desk.one,
        "quicker": quicker,
        "history": history_of(form, row) if row is not None else (),
        "addresses": desk.names,
    }
    if row is not None:
        context |= desk.around(request, row)
    return render(request, desk.template, context, status=status)


def say(request: YardRequest, outcome: Kept[Any] | Refused | SomebodyWasQuicker[Any], done: str) -> None:
    match outcome:
        case Kept():
            messages.success(request, done)
        case Refused(words):
            messages.error(request, "Nothing was changed. " + " ".join(each for row in words.values() for each in row))
        case SomebodyWasQuicker(stored):
            messages.error(request, f"Nothing was changed: somebody else changed {stored} meanwhile. Look again.")


def seen_version(request: YardRequest) -> int:
    typed = request.POST.get("version", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0


def writer_of(request: YardRequest) -> Writer:
    return Writer(cast(User, request.user), request.yard_now)
