"""Answers from an owner's page: taken in as proposals, and made facts only when a planner accepts them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    BoatOwner,
    Fact,
    Item,
    ItemWhereabouts,
    Order,
    Owner,
    OwnerAnswer,
    SameAgain,
    StaleRow,
    Telling,
)
from yard.queries.owner_pages import owner_rows_of
from yard.services import keeping
from yard.services.change_order import Sender, set_dates
from yard.services.keep_owner import OWNERSHIP
from yard.services.keeping import Writer
from yard.services.letters.news import FROM_OWNER
from yard.services.order_package import OrderDates
from yard.services.owner_pages.winter import answer_same_again
from yard.services.say_fact import Expected, Here, say_fact
from yard.services.whereabouts import ThingLies, say_where_thing_lies

LONGEST_WORDS = 2000
MOST_WAITING = 30
"""Of one owner: more is a script, or somebody who should be called."""
FARTHEST = timedelta(days=550)
Kind = OwnerAnswer.Kind
OF_A_FACT = frozenset({Kind.APPROVED, Kind.REFUSED, Kind.HERE, Kind.ON})
OF_A_DAY = frozenset({Kind.SUITS, Kind.SUITS_NOT})
OF_A_THING = frozenset({Kind.ABOARD, Kind.BRINGS})
NAMES_A_DAY = frozenset({Kind.ON, Kind.BRINGS, Kind.INSURED, Kind.WANTED})
OF_WINTER = frozenset({Kind.SAME, Kind.OTHER, Kind.NOT_AGAIN})


class AnswerRefused(Exception):
    """This cannot be taken; the text says why and what to do. Nothing was saved."""


@dataclass(frozen=True, kw_only=True)
class Said:
    """What was sent. about: the id of the order, fact, thing, boat (of her insurance) or winter's question that it
    answers; 0 for a message."""

    kind: OwnerAnswer.Kind
    about: int = 0
    on: date | None = None
    words: str = ""
    form_key: UUID


@transaction.atomic
def take_answer(owner: Owner, said: Said, *, today: date, now: datetime) -> OwnerAnswer:
    """Keep an answer as a proposal. The same form sent twice is one. Raises AnswerRefused.

    It may speak only of this owner's own orders, facts and questions: any other is refused like one that never was.
    """
    if (same := OwnerAnswer.objects.filter(form_key=said.form_key, owner=owner).first()) is not None:
        return same
    Owner.objects.select_for_update().get(pk=owner.pk)
    if owner.answers.filter(state=OwnerAnswer.State.WAITING).count() >= MOST_WAITING:
        raise AnswerRefused(_("We have many answers of yours to look at already: please call us."))
    if len(said.words) > LONGEST_WORDS:
        raise AnswerRefused(
            _("That is longer than {most} letters: shorten it, or call us.").format(most=f"{LONGEST_WORDS:,}")
        )
    if said.on is not None and not today <= said.on <= today + FARTHEST:
        raise AnswerRefused(_("Choose a day from today on, within a year and a half."))
    if said.kind in NAMES_A_DAY and said.on is None:
        raise AnswerRefused(_("Choose the day."))
    if said.kind in (Kind.WORDS, Kind.OTHER) and not said.words.strip():
        raise AnswerRefused(_("Write a few words first."))
    answer = OwnerAnswer(
        owner=owner,
        kind=said.kind,
        on_date=said.on,
        said=said.words.strip(),
        made_at=now,
        form_key=said.form_key,
    )
    _point(answer, said)
    answer.save()
    return answer


def _point(answer: OwnerAnswer, said: Said) -> None:
    rows = owner_rows_of(answer.owner)
    orders = {order.pk: order for boat in rows.boats for order in boat.orders}
    if said.kind in OF_A_DAY:
        order = orders.get(said.about)
        told = next((row for row in rows.tellings if order is not None and row.order_id == order.pk), None)
        if order is None or told is None or told.told_date is None:
            raise AnswerRefused(_("That is not on your page any more: look at it again."))
        answer.order, answer.boat, answer.about_date = order, order.boat, told.told_date
        answer.about_week = told.state == Telling.State.PROVISIONAL_WEEK
    elif said.kind is Kind.WANTED:
        order = orders.get(said.about)
        if order is None or not wants_a_date(order):
            raise AnswerRefused(_("Its date is on file already: write us a message to change it."))
        answer.order, answer.boat = order, order.boat
    elif said.kind in OF_A_THING:
        things = {item.pk: (item, boat.owned.boat) for boat in rows.boats for item in boat.things}
        if said.about not in things:
            raise AnswerRefused(_("That is not waited for any more: look at your page again."))
        answer.item, answer.boat = things[said.about]
    elif said.kind is Kind.INSURED:
        boats = {boat.owned.boat_id: boat.owned.boat for boat in rows.boats}
        if said.about not in boats:
            raise AnswerRefused(_("That is not on your page any more: look at it again."))
        answer.boat = boats[said.about]
    elif said.kind in OF_A_FACT:
        facts = {
            fact.pk: (fact, order)
            for order in orders.values()
            for job in order.jobs.all()
            for fact in job.facts.all()
            if fact.kind in FROM_OWNER and fact.state != Fact.State.HERE
        }
        if said.about not in facts:
            raise AnswerRefused(_("That is not waited for any more: look at your page again."))
        answer.fact, answer.order = facts[said.about]
        answer.boat = answer.order.boat
    elif said.kind in OF_WINTER:
        asked = next((row for row in rows.asked if row.pk == said.about), None)
        if asked is None:
            raise AnswerRefused(_("That is not asked any more: look at your page again."))
        answer.asked, answer.order, answer.boat = asked, asked.order, asked.order.boat


@transaction.atomic
def accept(answer: OwnerAnswer, *, reply: str, today: date, by: User, now: datetime) -> str:
    """Make the answer a fact. Gives in words what became of it. Raises StaleRow where somebody decided before,
    FactRefused, WhereRefused, OrderRefused or AnswerRefused where it cannot be so."""
    row = _decided(answer, OwnerAnswer.State.ACCEPTED, reply, by, now)
    match row.kind:
        case Kind.APPROVED | Kind.HERE if row.fact is not None:
            say_fact(row.fact, Here(today), seen_version=row.fact.version, today=today, by=by, now=now)
            return _("{fact} is here. Plan again to see what it changes.").format(fact=row.fact.name)
        case Kind.ON if row.fact is not None and row.on_date is not None:
            expected = Expected(row.on_date, told_by=row.owner.name)
            say_fact(row.fact, expected, seen_version=row.fact.version, today=today, by=by, now=now)
            return _("{fact} is expected on that day. Plan again to see what it changes.").format(fact=row.fact.name)
        case Kind.SUITS_NOT if row.order is not None and row.on_date is not None:
            _earliest(row.order, row.on_date, by, now)
            return _("Her order has its new earliest day. Plan again to see what it changes.")
        case Kind.ABOARD if row.item is not None:
            _aboard(row.item, by, now)
            return _("{item} is aboard.").format(item=row.item.name)
        case Kind.INSURED if row.boat is not None and row.on_date is not None:
            _insured(row, row.boat, row.on_date, Writer(by, now, today))
            return _("{boat} is insured until that day.").format(boat=row.boat.name)
        case Kind.WANTED if row.order is not None and row.on_date is not None:
            _wanted(row.order, row.on_date, by, now)
            return _("Her order has its wanted day. Plan again to see what it changes.")
        case Kind.SAME | Kind.OTHER | Kind.NOT_AGAIN if row.asked is not None:
            return answer_same_again(row.asked, _STATE[Kind(row.kind)], wanted=row.on_date, by=by, now=now)
    return _("It is noted.")


_STATE = {
    Kind.SAME: SameAgain.State.SAME,
    Kind.OTHER: SameAgain.State.OTHER,
    Kind.NOT_AGAIN: SameAgain.State.NOT,
}


@transaction.atomic
def decline(answer: OwnerAnswer, *, reply: str, by: User, now: datetime) -> None:
    """Not taken over; the reply stands on the owner's page. Raises StaleRow where somebody decided before."""
    _decided(answer, OwnerAnswer.State.DECLINED, reply, by, now)


def _decided(answer: OwnerAnswer, state: OwnerAnswer.State, reply: str, by: User, now: datetime) -> OwnerAnswer:
    row = OwnerAnswer.objects.select_for_update().filter(pk=answer.pk, state=OwnerAnswer.State.WAITING).first()
    if row is None:
        raise StaleRow(answer)
    row.state, row.reply, row.decided_by, row.decided_at = state, reply.strip()[:300], by, now
    row.save()
    return row


def wants_a_date(order: Order) -> bool:
    """Nobody said by when it is wanted."""
    return order.wanted_date is None and order.latest_date is None and order.promised_date is None


def _aboard(item: Item, by: User, now: datetime) -> None:
    last = item.whereabouts.order_by("-since", "-id").first()
    if last is not None and last.kind == ItemWhereabouts.Kind.PLACE:
        raise AnswerRefused(
            _("{item} was said to be in the yard meanwhile ({place}): look where it is.").format(
                item=item.name, place=last.place
            )
        )
    lies = ThingLies(ItemWhereabouts.Kind.ABOARD)
    say_where_thing_lies(
        item, lies, seen=last.pk if last is not None else None, by=by, now=now, note=_("says her owner")
    )


def _insured(answer: OwnerAnswer, boat: Boat, until: date, writer: Writer) -> None:
    owned = BoatOwner.objects.filter(boat=boat, owner=answer.owner, ends_on=None).order_by("id").first()
    if owned is None:
        raise AnswerRefused(
            _("{owner} is no longer owner of {boat}: nothing was changed.").format(
                owner=answer.owner.name, boat=boat.name
            )
        )
    values = {"insurance_expires_on": until}
    kept = keeping.change(
        OWNERSHIP, owned.pk, values, seen_version=owned.version, writer=writer, reason=_("the owner's certificate")
    )
    match kept:
        case keeping.Refused(words=words):
            raise AnswerRefused(" ".join(text for texts in words.values() for text in texts))
        case keeping.SomebodyWasQuicker():
            raise StaleRow(owned)


def _wanted(order: Order, day: date, by: User, now: datetime) -> None:
    dates = OrderDates(earliest=order.earliest_date, wanted=day, latest=order.latest_date, promised=order.promised_date)
    set_dates(order, dates, goes_first=order.goes_first, sender=Sender(by=by, now=now, seen_version=order.version))


def _earliest(order: Order, day: date, by: User, now: datetime) -> None:
    """Not before that day; a wanted or latest date that lies before it goes with it."""
    wanted = order.wanted_date if order.wanted_date is None or order.wanted_date >= day else day
    latest = order.latest_date if order.latest_date is None or order.latest_date >= day else day
    dates = OrderDates(earliest=day, wanted=wanted, latest=latest, promised=order.promised_date)
    sender = Sender(by=by, now=now, seen_version=order.version)
    set_dates(order, dates, goes_first=order.goes_first, sender=sender)
