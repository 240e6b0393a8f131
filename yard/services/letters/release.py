"""A person reads a letter and releases it: own words kept, the letter frozen word for word, or told by telephone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from yard.models import Letter, Order, Owner, Plan, StaleRow, Telling, YardSettings
from yard.services.letters.reading import Reading, reading_of, tells_of
from yard.services.owner_pages.addresses import open_page
from yard.services.pen import sign
from yard.tasks import ask_to_send_letters

LONGEST_OWN_WORDS = 4000


class ReleaseRefused(Exception):
    """The letter stays; the text says why, and what to do."""


class ReadAgain(ReleaseRefused):
    """It says something else than what was read."""


@dataclass(frozen=True)
class OwnWords:
    before: str = ""
    after: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Reader:
    """Who reads, when, and by which plan and settings."""

    by: User
    now: datetime
    plan: Plan | None
    yard: YardSettings


@transaction.atomic
def keep_words(owner: Owner, words: OwnWords, *, seen_version: int, reader: Reader) -> Letter:
    """Keep the person's own words for a letter that is still to be read. seen_version: 0 where none were kept.

    Raises StaleRow where somebody else wrote meanwhile, ReleaseRefused where the words are too long.
    """
    if max(len(words.before), len(words.after)) > LONGEST_OWN_WORDS:
        raise ReleaseRefused(
            _("More than {most} letters of your own: shorten them.").format(most=f"{LONGEST_OWN_WORDS:,}")
        )
    row = Letter.objects.filter(owner=owner, kind=Letter.Kind.PLAN, state=Letter.State.READING).first()
    if (row.version if row is not None else 0) != seen_version:
        raise StaleRow(row or Letter(owner=owner))
    row = row or Letter(owner=owner, kind=Letter.Kind.PLAN, made_at=reader.now)
    row.before, row.after, row.reason_said = words.before.strip(), words.after.strip(), words.reason.strip()[:200]
    sign(row, by=reader.by, now=reader.now, reason=_("own words"))
    try:
        with transaction.atomic():
            row.save() if row.pk is None else row.save_over(seen_version)
    except IntegrityError as taken:
        raise StaleRow(row) from taken
    found = reading_of(owner, reader.plan, reader.yard, now=reader.now, by=reader.by)
    if found is not None:
        Letter.objects.filter(pk=row.pk).update(read_as=found.fingerprint)
    return row


@transaction.atomic
def release(owner: Owner, way: Letter.Way, *, seen: str, reader: Reader) -> Letter:
    """Freeze the letter as it was read, and hand it to the worker; a letter on paper is noted as sent at once.

    seen: the fingerprint of what was read. Raises ReadAgain where it says something else by now, ReleaseRefused where
    nothing is to be said, a reason is wanting, or the address is none.
    """
    open_page(owner, by=reader.by, now=reader.now)
    reading = _as_read(owner, seen, reader)
    address = _address(owner) if way is Letter.Way.EMAIL else ""
    row = reading.row or Letter(owner=owner, kind=Letter.Kind.PLAN, made_at=reader.now)
    freeze(row, reading, way=way, address=address, reader=reader)
    if way is Letter.Way.POST:
        row.state, row.sent_at = Letter.State.SENT, reader.now
    sign(row, by=reader.by, now=reader.now, reason=_("read and released"))
    row.save()
    if way is Letter.Way.POST:
        note_told(row, now=reader.now)
    else:
        ask_to_send_letters()
    return row


def freeze(row: Letter, reading: Reading, *, way: Letter.Way, address: str, reader: Reader) -> None:
    """Word for word what goes out."""
    row.state, row.way, row.to_address = Letter.State.RELEASED, way, address
    row.subject, row.text, row.html = reading.written.subject, reading.written.as_text(), reading.written.as_html()
    row.tells, row.read_as, row.plan = tells_of(reading), reading.fingerprint, reading.plan
    row.released_by, row.released_at, row.trouble = reader.by, reader.now, ""


@transaction.atomic
def told_by_word(owner: Owner, how: Telling.How, *, seen: str, said: str, reader: Reader) -> list[Telling]:
    """Note a call, a text message or a talk: one line for each order that it spoke of.

    seen: the fingerprint of the words that stood on the page; ReadAgain where they are others by now.
    """
    reading = _as_read(owner, seen, reader)
    rows = _tellings(
        tells_of(reading), owner, how=how, said=said.strip() or reading.spoken, by=reader.by, now=reader.now,
        plan=reading.plan,
    )  # fmt: skip
    found = Telling.objects.bulk_create(rows)
    if reading.row is not None:
        reading.row.state, reading.row.trouble = Letter.State.DROPPED, _("told {how} instead").format(how=how.label)
        sign(reading.row, by=reader.by, now=reader.now, reason=_("told by word of mouth"))
        reading.row.save()
    return found


def _as_read(owner: Owner, seen: str, reader: Reader) -> Reading:
    Owner.objects.select_for_update().get(pk=owner.pk)  # two people at once come one after the other
    reading = reading_of(owner, reader.plan, reader.yard, now=reader.now, by=reader.by)
    if reading is None:
        raise ReleaseRefused(
            _("There is nothing to tell {owner} any more: somebody did, or the plan is as it was told.").format(
                owner=owner
            )
        )
    if reading.fingerprint != seen:
        raise ReadAgain(_("The plan has changed since you read this: read it again."))
    if reading.wants_reason:
        raise ReleaseRefused(_("The plan does not say why it moves: say the reason in a few words first."))
    return reading


def _address(owner: Owner) -> str:
    try:
        validate_email(owner.email)
    except ValidationError as wrong:
        raise ReleaseRefused(
            _("{owner} has no e-mail address that can be written to: call, or print the letter.").format(owner=owner)
        ) from wrong
    return owner.email


def note_told(letter: Letter, *, now: datetime) -> None:
    """What a sent letter said is what the owner was told. Call it in the transaction that says it was sent."""
    how = Telling.How.EMAIL if letter.way == Letter.Way.EMAIL else Telling.How.LETTER
    rows = _tellings(
        letter.tells, letter.owner, how=how, said=letter.text, by=letter.released_by, now=now, plan=letter.plan
    )
    for row in rows:
        row.letter = letter
    Telling.objects.bulk_create(rows)


def _tellings(
    tells: Iterable[Mapping[str, object]],
    owner: Owner,
    *,
    how: Telling.How,
    said: str,
    by: User | None,
    now: datetime,
    plan: Plan | None,
) -> list[Telling]:
    tells = list(tells)
    orders = Order.objects.in_bulk([int(str(each["order"])) for each in tells])
    return [
        Telling(
            order=order,
            boat_id=order.boat_id,
            owner=owner,
            state=str(each["state"]),
            told_date=_date(each["date"]),
            reserve_date=_date(each["reserve"]),
            how=how,
            said=said,
            told_by=by,
            told_at=now,
            plan=plan,
        )
        for each in tells
        if (order := orders.get(int(str(each["order"])))) is not None
    ]


def _date(text: object) -> date | None:
    return date.fromisoformat(text) if isinstance(text, str) else None
