"""What stands over each list beside its search: views kept under a name, the columns chosen, the list as a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, cast
from urllib.parse import parse_qsl, urlencode

from django.contrib.auth.models import User
from django.urls import reverse

from yard.models import SavedView
from yard.services.saved_views import views_of
from yard.web.access import may
from yard.web.request import YardRequest

ALWAYS = ("sort", "columns")


@dataclass(frozen=True, slots=True)
class KnownList:
    """A list that views are kept of. address: its name; words: what its address may ask for."""

    address: str
    words: tuple[str, ...]


LISTS: Mapping[str, KnownList] = {
    "boats": KnownList("boats", ("find", "state", "lies", "kind", "draft")),
    "orders": KnownList("orders", ("q", "package", "waits")),
    "owners": KnownList("owners", ("find", "lacks", "prefers", "gone")),
    "moorings": KnownList("moorings", ("find", "needs", "temporary", "gone")),
    "people": KnownList("crew", ("find", "skill", "kind")),
    "places": KnownList("places", ("find", "kind", "gone")),
    "things": KnownList("things", ("find", "kind", "where", "care", "gone")),
}


@dataclass(frozen=True, slots=True)
class ShownView:
    """may_change: its owner, or whoever keeps facts for a shared one."""

    view: SavedView
    address: str
    current: bool
    may_change: bool


@dataclass(frozen=True, slots=True)
class ChoosableColumn:
    name: str
    heading: str
    shown: bool


@dataclass(frozen=True, slots=True)
class ListTools:
    """of: which list. asked: what its address asks for. others: the words that choosing columns keeps;
    chosen: the columns that the address names, which narrowing the list keeps."""

    of: str
    asked: str
    views: tuple[ShownView, ...]
    columns: tuple[ChoosableColumn, ...]
    others: tuple[tuple[str, str], ...]
    chosen: tuple[str, ...]
    sheet: str
    may_share: bool


def list_tools(request: YardRequest, of: str, table: Any) -> ListTools:
    """One query."""
    user = cast(User, request.user)
    asked, known = asked_of(of, request.GET.lists()), LISTS[of]
    shares, here = may(user, "edit_facts"), reverse(known.address)
    views = tuple(
        _shown(view, asked, view.owner_id == user.pk or (view.shared and shares)) for view in views_of(of, user)
    )
    return ListTools(
        of=of,
        asked=asked,
        views=views,
        columns=tuple(
            ChoosableColumn(name, str(table.columns[name].header), name not in table.hidden)
            for name in table.optional
            if name in table.columns.names()
        ),
        others=tuple((key, value) for key, value in parse_qsl(asked) if key != "columns"),
        chosen=tuple(value for key, value in parse_qsl(asked) if key == "columns"),
        sheet=f"{here}?{urlencode([*parse_qsl(asked), ('as', 'csv')])}",
        may_share=shares,
    )


def _shown(view: SavedView, asked: str, may_change: bool) -> ShownView:
    return ShownView(view, address_of(view.of, view.asked), view.asked == asked, may_change)


def asked_of(of: str, given: Iterable[tuple[str, list[str]]]) -> str:
    """The words that the list knows, in one order, without what is empty: two addresses that ask alike are alike."""
    known = (*LISTS[of].words, *ALWAYS)
    pairs = [(key, value) for key, values in given if key in known for value in values if value.strip()]
    return urlencode(sorted(pairs, key=lambda pair: (known.index(pair[0]), pair[1] if pair[0] == "columns" else "")))


def asked_in(of: str, text: str) -> str:
    """The same of a query string that a page sent back."""
    found: dict[str, list[str]] = {}
    for key, value in parse_qsl(text[:4000]):
        found.setdefault(key, []).append(value)
    return asked_of(of, found.items())


def address_of(of: str, asked: str) -> str:
    return f"{reverse(LISTS[of].address)}{f'?{asked}' if asked else ''}"
