"""Anything on file by one field: a boat, an owner, a number, a sail, a bag, a mooring, an order, a person, a place.

The rows are read anew for each question, so what is found is never old; what a person may not see is not in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from django.utils.translation import gettext as _

from yard.models import Boat, BoatOwner, Item, Mooring, Order, Owner, Person, Place
from yard.queries.near_names import LEAST, NameIndex, digits_of, is_number, same_number, same_tag, tag_of

MOST = 40
LONGEST = 80


class Found(StrEnum):
    """What was found, in the order in which results that fit alike are told."""

    BOAT = "boat"
    OWNER = "owner"
    THING = "thing"
    MOORING = "mooring"
    ORDER = "order"
    PERSON = "person"
    PLACE = "place"


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that can be found. names: searched by likeness; tags: by what stands written; phone: by its digits.

    about: what else tells it apart. boat: the boat it leads to, if any. archived: told last.
    """

    kind: Found
    pk: int
    title: str
    about: str = ""
    names: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    phone: str = ""
    boat: int | None = None
    archived: bool = False


@dataclass(frozen=True, slots=True)
class Hit:
    """An entry and how well it fits, 0 to 1."""

    entry: Entry
    score: float


@dataclass(frozen=True, slots=True)
class Answer:
    """hits: the best first, MOST at most; more: how many others fit too."""

    hits: tuple[Hit, ...]
    more: int = 0


def find_anything(asked: str, *, with_owners: bool, with_phones_of_people: bool) -> Answer:
    """with_owners: owners, walk-ins and their numbers may be seen. At most eight queries, however many rows."""
    asked = asked.strip()[:LONGEST]
    if not asked:
        return Answer(())
    entries = list(_entries(with_owners=with_owners, with_phones_of_people=with_phones_of_people))
    hits = [hit for hit in _scored(asked, entries) if hit.score >= LEAST]
    order = list(Found)
    hits.sort(key=lambda hit: (-round(hit.score, 2), order.index(hit.entry.kind), hit.entry.title, hit.entry.pk))
    return Answer(tuple(hits[:MOST]), max(0, len(hits) - MOST))


def _scored(asked: str, entries: list[Entry]) -> Iterator[Hit]:
    rows = [(number, name) for number, entry in enumerate(entries) for name in entry.names]
    best = [0.0] * len(entries)
    for (number, _name), score in zip(rows, NameIndex.of([name for _number, name in rows]).like(asked), strict=True):
        best[number] = max(best[number], score)
    tag, digits = tag_of(asked), digits_of(asked) if is_number(asked) else ""
    for number, entry in enumerate(entries):
        score = best[number]
        for each in entry.tags:
            if each:
                score = max(score, same_tag(tag, tag_of(each)))
        if digits and entry.phone:
            score = max(score, same_number(digits, digits_of(entry.phone)))
        yield Hit(entry, score - 0.2 if entry.archived else score)


def _entries(*, with_owners: bool, with_phones_of_people: bool) -> Iterator[Entry]:
    yield from _boats()
    yield from _things()
    yield from _moorings()
    yield from _orders(with_owners=with_owners)
    yield from _people(with_phones=with_phones_of_people)
    yield from _places()
    if with_owners:
        yield from _owners()


def _boats() -> Iterator[Entry]:
    rows = Boat.objects.values_list("pk", "name", "design", "sail_number", "ref", "archived").order_by("id")
    for pk, name, design, sail, ref, gone in rows:
        about = ", ".join(filter(None, (design, _("sail {number}").format(number=sail) if sail else "")))
        yield Entry(Found.BOAT, pk, name, about, (name,), (sail, ref), boat=pk, archived=gone)


def _things() -> Iterator[Entry]:
    told = Item.objects.order_by("id").values_list(
        "pk", "name", "bag_tag", "sail_number", "boat_id", "boat__name", "order__ref", "archived"
    )
    for pk, name, bag, sail, boat, boat_name, order, gone in told:
        whose = boat_name or (_("walk-in, {order}").format(order=order) if order else "")
        about = ", ".join(
            filter(
                None,
                (
                    whose,
                    _("bag {tag}").format(tag=bag) if bag else "",
                    _("sail {number}").format(number=sail) if sail else "",
                ),
            )
        )
        names = (f"{boat_name} {name}",) if boat_name else (name,)
        yield Entry(Found.THING, pk, name, about, names, (bag, sail), boat=boat, archived=gone)


def _moorings() -> Iterator[Entry]:
    rows = Mooring.objects.values_list("pk", "ref", "permit_boat_id", "permit_boat__name", "permit_number", "archived")
    for pk, ref, boat, name, permit, gone in rows.order_by("id"):
        tags = (ref, _("mooring {ref}").format(ref=ref), permit)
        yield Entry(
            Found.MOORING,
            pk,
            _("Mooring {ref}").format(ref=ref),
            name or _("no boat"),
            (),
            tags,
            boat=boat,
            archived=gone,
        )


def _orders(*, with_owners: bool) -> Iterator[Entry]:
    rows = Order.objects.order_by("id").values_list(
        "pk", "ref", "name", "state", "bag_tag", "boat_id", "boat__name", "walk_in_name", "walk_in_phone"
    )
    for pk, ref, name, state, bag, boat, boat_name, walked, phone in rows:
        whose = boat_name or (walked if with_owners else _("a walk-in"))
        open_now = state == Order.State.OPEN
        yield Entry(
            Found.ORDER,
            pk,
            _("Order {ref}").format(ref=ref),
            ", ".join(
                filter(
                    None,
                    (
                        whose,
                        name,
                        _("bag {tag}").format(tag=bag) if bag else "",
                        "" if open_now else str(Order.State(state).label),
                    ),
                )
            ),
            (walked,) if walked and with_owners else (),
            (ref, _("order {ref}").format(ref=ref), bag),
            phone if with_owners else "",
            boat,
            archived=not open_now,
        )


def _people(*, with_phones: bool) -> Iterator[Entry]:
    rows = Person.objects.order_by("id").values_list("pk", "name", "short_name", "phone", "contractor", "archived")
    for pk, name, short, phone, contractor, gone in rows:
        about = _("contractor") if contractor else _("crew")
        yield Entry(Found.PERSON, pk, name, about, (name, short), (), phone if with_phones else "", archived=gone)


def _places() -> Iterator[Entry]:
    for row in Place.objects.order_by("id").only("name", "short_name", "kind", "ref", "archived"):
        names = tuple(filter(None, (row.name, row.short_name)))
        yield Entry(Found.PLACE, row.pk, row.name, row.get_kind_display(), names, (row.ref,), archived=row.archived)


def _owners() -> Iterator[Entry]:
    """An owner leads to each of the boats that are theirs now."""
    owned: dict[int, list[tuple[int, str]]] = {}
    rows = BoatOwner.objects.filter(ends_on=None).order_by("boat__name", "id")
    for owner, boat, name in rows.values_list("owner_id", "boat_id", "boat__name"):
        owned.setdefault(owner, []).append((boat, name))
    for pk, name, phone, ref, gone in Owner.objects.values_list("pk", "name", "phone", "ref", "archived").order_by(
        "id"
    ):
        boats = owned.get(pk, [])
        entry = Entry(Found.OWNER, pk, name, _("no boat now"), (name,), (ref,), phone, archived=gone)
        yield replace(entry, about=", ".join(each for _, each in boats), boat=boats[0][0]) if boats else entry
