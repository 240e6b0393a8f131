"""The views of a Desk that say nothing of their own: a form to add, a form to change, a button that puts away.

    owner_new = adds(OWNER_DESK)
    owner_change = changes(OWNER_DESK)
    owner_archive = puts_away(OWNER_DESK)
    tackle_new = adds_to(Mooring.objects.all(), "mooring", TACKLE_DESK)

verb: whoever may open the form and send it.
"""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponseBase

from yard.web.access import Verb, View, found, require
from yard.web.keeping.desk import Desk, add_page, archive_page, change_page
from yard.web.request import YardRequest


def adds(desk: Desk, verb: Verb = "edit_facts") -> View[[]]:
    @require(verb, post=verb)
    def new(request: YardRequest) -> HttpResponseBase:
        return add_page(request, desk)

    return new


def adds_to(parents: QuerySet[Any], called: str, desk: Desk, verb: Verb = "edit_facts") -> View[[int]]:
    """Adds what belongs to one of `parents`. called: the field of the new row, and the template's name for it."""

    @require(verb, post=verb)
    def new_of(request: YardRequest, pk: int) -> HttpResponseBase:
        return add_page(request, desk, **{called: found(parents, pk=pk)})

    return new_of


def changes(desk: Desk, verb: Verb = "edit_facts") -> View[[int]]:
    @require(verb, post=verb)
    def change(request: YardRequest, pk: int) -> HttpResponseBase:
        return change_page(request, desk, pk)

    return change


def puts_away(desk: Desk, verb: Verb = "edit_facts") -> View[[int]]:
    """Archives a row, or brings it back."""

    @require(post=verb)
    def archive(request: YardRequest, pk: int) -> HttpResponseBase:
        return archive_page(request, desk, pk)

    return archive
