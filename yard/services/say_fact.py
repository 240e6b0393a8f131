"""Saying what is known of a fact that work waits for: here, expected, or not known. Each change keeps its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.day_names import said
from yard.models import Boat, Fact, FactKind, Mooring
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Keeper, Writer
from yard.services.pen import sign


class FactRefused(Exception):
    """This cannot be; field: which entry; the text says why and what to do. Nothing was saved."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field


@dataclass(frozen=True)
class Here:
    """Known or in hand since that day."""

    since: date


@dataclass(frozen=True)
class Expected:
    """Expected on a day, as told_by said, or as a marked guess of the yard's own."""

    on: date
    told_by: str = ""
    guess: bool = False

    def __post_init__(self) -> None:
        if not self.guess and not self.told_by.strip():
            raise FactRefused("told_by", _("Say who named this day, or mark it as a guess."))


@dataclass(frozen=True)
class NotKnown:
    """Nobody knows: what follows is not planned."""


def say_fact(
    fact: Fact, said: Here | Expected | NotKnown, *, seen_version: int, today: date, by: User | None, now: datetime
) -> Fact:
    """Write what is known. Tackle that is set is set on her mooring too.

    Raises FactRefused, and StaleRow where somebody wrote since seen_version was read.
    """
    fact.here_since, fact.expected_date, fact.told_by, fact.guess = None, None, "", False
    match said:
        case Here(since):
            if since > today:
                raise FactRefused(
                    "since", _("{day} is still to come: say “expected on” that day.").format(day=_words(since))
                )
            fact.state, fact.here_since = Fact.State.HERE, since
        case Expected(on, told_by, guess):
            if on < today:
                raise FactRefused(
                    "on", _("{day} has passed: say that it is here, or when it is expected now.").format(day=_words(on))
                )
            fact.state, fact.expected_date, fact.guess = Fact.State.EXPECTED, on, guess
            fact.told_by = told_by.strip()
        case NotKnown():
            fact.state = Fact.State.UNKNOWN
    fact.set_by, fact.set_at = by, now
    with transaction.atomic():
        bump_facts()
        sign(fact, by=by, now=now, reason=_("said on her page: {state}").format(state=fact.get_state_display()))
        fact.save_over(seen_version)
        if fact.kind == FactKind.TACKLE_SET and fact.here_since is not None:
            _set_tackle(fact, fact.here_since, by=by, now=now)
    return fact


def say_draft(boat: Boat, draft_m: float, *, seen_version: int, today: date, by: User | None, now: datetime) -> Boat:
    """Write her draft, metres; facts that waited for it are here. Raises FactRefused and StaleRow."""
    boat.draft_m = draft_m
    try:
        boat.clean_fields(exclude=[field.name for field in Boat._meta.fields if field.name != "draft_m"])
    except ValidationError as wrong:
        raise FactRefused("draft", " ".join(wrong.messages)) from wrong
    with transaction.atomic():
        bump_facts()
        sign(boat, by=by, now=now, reason=_("draft said on her page"))
        boat.save_over(seen_version)
        draft_is_here(boat, today=today, by=by, now=now)
    return boat


def draft_is_here(boat: Boat, *, today: date, by: User | None, now: datetime) -> None:
    """Facts that waited for her draft are here. Call it in the transaction that writes the draft."""
    of_her = Fact.objects.filter(Q(boat=boat) | Q(order__boat=boat), kind=FactKind.DRAFT)
    for fact in of_her.exclude(state=Fact.State.HERE):
        fact.state, fact.here_since, fact.expected_date = Fact.State.HERE, today, None
        fact.told_by, fact.guess, fact.set_by, fact.set_at = "", False, by, now
        sign(fact, by=by, now=now, reason=_("her draft is written"))
        fact.save()


def _set_tackle(fact: Fact, since: date, *, by: User | None, now: datetime) -> None:
    """The mooring she goes to: the order's own, else the one of her permit; none named, none written."""
    order, boat = fact.order, fact.boat or (fact.order.boat if fact.order else None)
    mooring: Mooring | None = order.to_mooring if order is not None else None
    if mooring is None and boat is not None:
        mooring = boat.permit_moorings.order_by("ref", "id").first()
    if mooring is not None and mooring.tackle_set_on != since:
        mooring.tackle_set_on = since
        sign(mooring, by=by, now=now, reason=_("tackle said to be set"))
        mooring.save()


def _said_again(fact: Fact, changed: tuple[str, ...], writer: Writer) -> None:
    """Whoever brings an earlier saying back has said it."""
    Fact.objects.filter(pk=fact.pk).update(set_by=writer.by, set_at=writer.now)


FACT = Keeper(
    Fact,
    ("state", "here_since", "expected_date", "guess", "told_by", "note"),
    words={
        "expected_date": gettext_noop("expected on"),
        "guess": gettext_noop("the yard's guess"),
        "told_by": gettext_noop("said by"),
    },
    then=_said_again,
)
"""How its history is read and gone back to; saying something new of it is `say_fact`."""


def _words(day: date) -> str:
    return said(day, "D j F")
