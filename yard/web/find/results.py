"""What was found as the page tells it: in groups, each with its address and what one tap does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.contrib.auth.models import AnonymousUser, User
from django.urls import reverse
from django.utils.translation import gettext_lazy

from yard.queries.find_anything import Answer, Entry, Found, find_anything
from yard.web.access import may
from yard.web.boats.words import dial

TITLES = {
    Found.BOAT: gettext_lazy("Boats"),
    Found.OWNER: gettext_lazy("Owners"),
    Found.THING: gettext_lazy("Things"),
    Found.MOORING: gettext_lazy("Moorings"),
    Found.ORDER: gettext_lazy("Orders"),
    Found.PERSON: gettext_lazy("People"),
    Found.PLACE: gettext_lazy("Places"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """address: "" where this person may not open it. dial: the number as tel: and sms: take it, "" for none."""

    entry: Entry
    address: str
    dial: str


@dataclass(frozen=True, slots=True)
class Group:
    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Results:
    asked: str
    count: int
    more: int
    groups: tuple[Group, ...]


def results_for(asked: str, user: User | AnonymousUser) -> Results:
    """Groups in the order of their best result."""
    answer: Answer = find_anything(
        asked, with_owners=may(user, "see_owners"), with_phones_of_people=may(user, "edit_facts")
    )
    by_kind: dict[Found, list[Line]] = {}
    for hit in answer.hits:
        line = Line(hit.entry, _address(hit.entry, user), dial(hit.entry.phone))
        by_kind.setdefault(hit.entry.kind, []).append(line)
    groups = tuple(Group(str(TITLES[kind]), tuple(lines)) for kind, lines in by_kind.items())
    return Results(asked.strip(), len(answer.hits), answer.more, groups)


ADDRESSES: Mapping[Found, Callable[[Entry], str]] = {
    Found.BOAT: lambda entry: reverse("boat", args=[entry.pk]),
    Found.OWNER: lambda entry: reverse("owner", args=[entry.pk]),
    Found.THING: lambda entry: reverse("thing", args=[entry.pk]),
    Found.MOORING: lambda entry: reverse("mooring", args=[entry.pk]),
    Found.ORDER: lambda entry: reverse("order", args=[entry.pk]),
    Found.PERSON: lambda entry: reverse("person", args=[entry.pk]),
    Found.PLACE: lambda entry: reverse("place_change", args=[entry.pk]),
}


def _address(entry: Entry, user: User | AnonymousUser) -> str:
    if entry.kind == Found.PLACE and not may(user, "edit_facts"):
        return ""
    return ADDRESSES[entry.kind](entry)
