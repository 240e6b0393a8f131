"""Two boats or owners side by side: whose value stays, and what goes over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.http import QueryDict

from yard.models import Boat, Owner, YardSettings
from yard.queries.duplicates import boats_twice, owners_twice
from yard.services.whole_change.merge import BOTH, GONES, JOINED, KEPTS, Wish, keeper_of
from yard.services.whole_change.relations import rows_that_hang
from yard.web.keeping.boat import MEASURES
from yard.web.keeping.saying import NOTHING, Sayer
from yard.web.request import form_key_in, number_in


@dataclass(frozen=True, slots=True)
class Side:
    """One field of the two. takes: which of the two is ticked; may_join: whether both may stay."""

    key: str
    label: str
    ours: str
    theirs: str
    takes: str
    may_join: bool

    @property
    def same(self) -> bool:
        return self.ours == self.theirs


@dataclass(frozen=True)
class MergePage:
    kept: Any
    gone: Any
    sides: tuple[Side, ...]
    hangs: tuple[str, ...]
    form_key: UUID


def merge_page(kept: Boat | Owner, gone: Boat | Owner, yard: YardSettings, ticked: Mapping[str, str]) -> MergePage:
    """ticked: what was chosen before, by field, where the page is shown again."""
    feet = yard.units == YardSettings.Units.FEET
    say = Sayer(keeper_of(kept), feet=feet, measures=MEASURES if isinstance(kept, Boat) else {})
    sides = (_side(kept, gone, key, say, ticked) for key in keeper_of(kept).fields)
    counted = ((becomes.words, rows.count()) for becomes, _, rows in rows_that_hang(gone))
    hangs = tuple(f"{words}: {count}" for words, count in counted if count)
    return MergePage(kept, gone, tuple(sides), hangs, uuid4())


def _side(kept: Any, gone: Any, key: str, say: Sayer, ticked: Mapping[str, str]) -> Side:
    ours, theirs = say.of(kept, key), say.of(gone, key)
    joins = key in JOINED and NOTHING not in (ours, theirs) and ours != theirs
    usual = GONES if ours == NOTHING else BOTH if joins else KEPTS
    return Side(key, say.label(key), ours, theirs, ticked.get(key, usual), joins)


def ticked_in(sent: QueryDict, fields: tuple[str, ...]) -> dict[str, str]:
    """Whose value of each field stays, as the page sent it."""
    said = {key: sent.get(f"take-{key}", "") for key in fields}
    return {key: value for key, value in said.items() if value in (KEPTS, GONES, BOTH)}


def wish_of(sent: QueryDict, kept: Boat | Owner) -> Wish:
    """What the page asks. A version that is no number is one that nobody saw."""
    seen = number_in(sent.get("kept_version", "")), number_in(sent.get("gone_version", ""))
    return Wish(ticked_in(sent, keeper_of(kept).fields), seen, form_key_in(sent.get("form_key", "")))


@dataclass(frozen=True, slots=True)
class Candidate:
    row: Any
    why: str


def candidates(row: Boat | Owner) -> list[Candidate]:
    """Whom it may be the same as: those that look like it first, then all others by name."""
    pairs: Any = boats_twice(row) if isinstance(row, Boat) else owners_twice(row)
    alike = {(pair.other if pair.one.pk == row.pk else pair.one).pk: pair.why for pair in pairs}
    others = type(row)._default_manager.filter(archived=False).exclude(pk=row.pk).order_by("name", "id")
    found = [Candidate(each, alike.get(each.pk, "")) for each in others]
    return sorted(found, key=lambda each: not each.why)
