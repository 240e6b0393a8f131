"""Reads of the list of boats: how each stands in the posted plan, and where she lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.translation import gettext_lazy

from yard.models import Boat, BoatOwner, Fact, Item, Job, Mooring, Order, Owner, Plan, Whereabouts
from yard.queries.boat_page import BoatRows
from yard.queries.finished import is_finished, last_done_at, said_finished
from yard.queries.season_board import NO_PLAN, STATES, OrderRow, boat_rows, rows_of_boat
from yard.queries.season_board import BoatRow as BoardRow

DONE, NO_ORDER = "done", "no-order"
LIST_STATES = (*STATES, DONE, NO_ORDER)
"""How a boat may stand, the one that needs somebody most first."""
_STATE_WORDS = {
    "late": gettext_lazy("late"),
    "waiting-on": gettext_lazy("waiting on"),
    "no-day-in-hand": gettext_lazy("no day in hand"),
    "on-time": gettext_lazy("on time"),
    "not-planned": gettext_lazy("not planned"),
    DONE: gettext_lazy("done"),
    NO_ORDER: gettext_lazy("no order"),
}
FEWEST_DIGITS = 4
"""Fewer digits are a mooring or a sail number, not a telephone number."""


@dataclass(frozen=True)
class Standing:
    """How a boat stands: the worst of her open orders. days_in_hand: working days, below 0 late; None: no date.

    reason: why it, or some of it, is not planned.
    """

    state: str
    due: date | None = None
    done_by: date | None = None
    days_in_hand: int | None = None
    reason: str = ""

    @property
    def words(self) -> str:
        """ "no day in hand" """
        return state_words(self.state)


def state_words(state: str) -> str:
    return str(_STATE_WORDS.get(state, state.replace("-", " ")))


NO_OPEN_ORDER = Standing(NO_ORDER)


@dataclass(frozen=True)
class BoatRow:
    """One boat of the list. owners: "" for whoever may not see them."""

    boat: Boat
    standing: Standing
    lies: Whereabouts | None
    waits_on: tuple[str, ...]
    owners: str


def standings(plan: Plan | None) -> dict[int, Standing]:
    """How each boat with an open order stands, by boat id. At most four queries, however many boats."""
    open_orders = Order.objects.filter(state=Order.State.OPEN, boat__isnull=False)
    planned = _planned(boat_rows(plan) if plan is not None else ())
    found: defaultdict[int, list[Standing]] = defaultdict(list)
    dated = open_orders.only("boat", "promised_date", "latest_date", "wanted_date")
    for order in said_finished(dated).order_by("id"):
        done = _done(order, order.last_done_at) if order.all_done else None
        found[order.boat_id or 0].append(done or _undone(order, planned))
    return {boat: worst(each) for boat, each in found.items()}


def standing_of(read: BoatRows) -> tuple[Standing, BoardRow | None]:
    """How one boat stands, and her row of the season board if she has one, from what her page has read. No query."""
    left = [order for order in read.orders if not is_finished(order)]
    rows = rows_of_boat(read.plan, left, read.planned.jobs.values(), read.planned.left_out)
    planned = _planned(rows)
    each = [
        _done(order, last_done_at(order)) if is_finished(order) else _undone(order, planned)
        for order in sorted(read.orders, key=lambda order: order.pk)
    ]
    return worst(each) if each else NO_OPEN_ORDER, next(iter(rows), None)


def _planned(rows: Iterable[BoardRow]) -> dict[int, OrderRow]:
    return {row.order.pk: row for boat in rows for row in boat.orders}


def _undone(order: Order, planned: Mapping[int, OrderRow]) -> Standing:
    row = planned.get(order.pk)
    return _of_row(row) if row is not None else _not_planned(order)


def _of_row(row: OrderRow) -> Standing:
    return Standing(row.state, row.due, row.ends, row.days_in_hand, row.left_out)


def _done(order: Order, at: datetime | None) -> Standing:
    return Standing(DONE, _date_to_keep(order), None if at is None else timezone.localtime(at).date())


def _date_to_keep(order: Order) -> date | None:
    return order.promised_date or order.latest_date or order.wanted_date


def _not_planned(order: Order) -> Standing:
    return Standing(NO_PLAN, _date_to_keep(order))


def worst(each: Iterable[Standing]) -> Standing:
    """The standing that needs somebody most; of two alike, that with the earlier date."""
    return min(each, key=lambda row: (LIST_STATES.index(row.state), row.due or date.max))


def boats_on_file() -> QuerySet[Boat]:
    """Every boat that is not archived, by name."""
    return Boat.objects.filter(archived=False).order_by("name", "id")


def boats_found(rows: QuerySet[Boat], words: str, *, with_owners: bool) -> QuerySet[Boat]:
    """Boats that carry every word somewhere: name, design, sail number, bag tag, mooring; owner and telephone.

    with_owners: owners and their numbers are looked at too; a number is found however it is spaced.
    """
    if with_owners and (owners := _owners_with_number(words)):
        return rows.filter(pk__in=BoatOwner.objects.filter(ends_on=None, owner__in=owners).values("boat"))
    for word in words.split():
        asked = (
            Q(name__icontains=word)
            | Q(design__icontains=word)
            | Q(sail_number__iexact=word)
            | Q(pk__in=Mooring.objects.filter(ref__iexact=word, permit_boat__isnull=False).values("permit_boat"))
            | Q(pk__in=Item.objects.filter(bag_tag__iexact=word, boat__isnull=False).values("boat"))
        )
        if with_owners:
            named = BoatOwner.objects.filter(ends_on=None, owner__name__icontains=word)
            asked |= Q(pk__in=named.values("boat"))
        rows = rows.filter(asked)
    return rows


def _owners_with_number(words: str) -> list[int]:
    """Owners whose telephone number has these digits in this order; none where the words are no number."""
    digits = _digits(words)
    if len(digits) < FEWEST_DIGITS or any(letter.isalpha() for letter in words):
        return []
    numbers = Owner.objects.exclude(phone="").values_list("pk", "phone")
    return [pk for pk, phone in numbers if digits in _digits(phone)]


def _digits(text: str) -> str:
    return "".join(letter for letter in text if letter.isdigit())


def list_rows(rows: QuerySet[Boat], standing: dict[int, Standing], *, with_owners: bool) -> list[BoatRow]:
    """The boats with what the list says of them. At most four queries, however many boats."""
    boats = list(rows)
    ids = [boat.pk for boat in boats]
    lies, waits, owners = _where(ids), _waits_on(ids), _owners(ids) if with_owners else {}
    return [
        BoatRow(
            boat=boat,
            standing=standing.get(boat.pk, NO_OPEN_ORDER),
            lies=lies.get(boat.pk),
            waits_on=waits.get(boat.pk, ()),
            owners=", ".join(owners.get(boat.pk, ())),
        )
        for boat in boats
    ]


def _owners(boats: Collection[int]) -> dict[int, list[str]]:
    """Names by boat id, the one called first before others."""
    rows = BoatOwner.objects.filter(ends_on=None, boat__in=boats).order_by("-told_first", "starts_on", "id")
    found: defaultdict[int, list[str]] = defaultdict(list)
    for boat, name in rows.values_list("boat", "owner__name"):
        found[boat].append(name)
    return found


def _where(boats: Collection[int]) -> dict[int, Whereabouts]:
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    rows = Whereabouts.objects.filter(pk=Subquery(latest), boat__in=boats).select_related("place", "mooring")
    return {row.boat_id: row for row in rows}


def _waits_on(boats: Collection[int]) -> dict[int, tuple[str, ...]]:
    """Names of the facts that open jobs of theirs wait for, by boat id."""
    undone = [Job.State.OPEN, Job.State.STARTED]
    rows = (
        Fact.objects.exclude(state=Fact.State.HERE)
        .filter(jobs__order__boat__in=boats, jobs__order__state=Order.State.OPEN, jobs__state__in=undone)
        .order_by("name", "id")
        .values_list("jobs__order__boat_id", "name")
        .distinct()
    )
    found: defaultdict[int, list[str]] = defaultdict(list)
    for boat, name in rows:
        if name not in found[boat]:
            found[boat].append(name)
    return {boat: tuple(names) for boat, names in found.items()}
