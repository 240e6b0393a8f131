"""Released letters go out, each at most once by itself.

A letter is claimed before it is handed to the mail server, and what became of it is written under that claim only.
Between the two nobody can know whether it went: a letter whose sender vanished there is "perhaps sent", and a person
decides.  Nothing is sent anew by itself, and what was released stays in the list until it is sent or decided on.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import formataddr
from smtplib import SMTPConnectError, SMTPDataError, SMTPHeloError, SMTPRecipientsRefused, SMTPSenderRefused
from uuid import uuid4

from django.conf import settings
from django.contrib.auth.models import User
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from yard.models import Letter, Plan, StaleRow, YardSettings
from yard.queries.clock import yard_clock
from yard.queries.plans import posted_plan
from yard.services.letters.reading import reading_of
from yard.services.letters.release import note_told
from yard.services.owner_pages.winter import asked_by
from yard.services.pen import sign

log = logging.getLogger(__name__)

GIVEN_UP_AFTER = timedelta(minutes=10)
"""A sender that said nothing for so long is gone: the mail server's own limits are far shorter."""
SURELY_NOT = (SMTPRecipientsRefused, SMTPSenderRefused, SMTPDataError, SMTPConnectError, SMTPHeloError)
"""The mail server's own word that it took nothing."""


@dataclass(frozen=True)
class Outcome:
    """How many went, were refused, are uncertain, or ask to be read again."""

    sent: int = 0
    refused: int = 0
    perhaps: int = 0
    again: int = 0


def send_released(*, clock: Callable[[], datetime]) -> Outcome:
    """Send every released letter; first settle those whose sender vanished. clock: the real time."""
    settle(real_now=clock())
    counts: dict[str, int] = {}
    for pk in (
        Letter.objects.filter(state=Letter.State.RELEASED).order_by("released_at", "id").values_list("pk", flat=True)
    ):
        became = send_one(pk, real_now=clock())
        counts[became] = counts.get(became, 0) + 1
    return Outcome(**{key: counts.get(key, 0) for key in ("sent", "refused", "perhaps", "again")})


def settle(*, real_now: datetime) -> int:
    """Letters whose sender vanished are perhaps sent. Gives how many."""
    gone = Letter.objects.filter(state=Letter.State.SENDING, claimed_at__lt=real_now - GIVEN_UP_AFTER)
    return gone.update(state=Letter.State.PERHAPS, trouble=_("The program stopped while it was being sent."))


def _read(rows: QuerySet[Letter]) -> QuerySet[Letter]:
    """With all that sending asks of; not the plan's texts, which are some megabytes."""
    return rows.select_related("owner", "plan", "released_by").defer("plan__problem", "plan__plan")


def send_one(pk: int, *, real_now: datetime) -> str:
    """Send one letter, if it is still released: "sent", "refused", "perhaps", "again" or "" (somebody else has it)."""
    letter = _read(Letter.objects.all()).filter(pk=pk).first()
    if letter is None or letter.state != Letter.State.RELEASED:
        return ""
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings(name="Yard")
    if not _still_true(letter, posted_plan(), yard, real_now):
        read_again(letter, why=_("The plan changed before it went out."), by=None, now=real_now)
        return "again"
    claim = uuid4()
    free = Letter.objects.filter(pk=pk, state=Letter.State.RELEASED)
    if free.update(state=Letter.State.SENDING, claim=claim, claimed_at=real_now) != 1:
        return ""
    letter.claim = claim
    return _hand_over(letter, yard, real_now)


def _still_true(letter: Letter, plan: Plan | None, yard: YardSettings, real_now: datetime) -> bool:
    """News of a plan goes out only as long as the plan says it."""
    if letter.kind != Letter.Kind.PLAN:
        return True
    now = yard_clock(yard, real_now=real_now)
    reading = reading_of(letter.owner, plan, yard, now=now, by=letter.released_by, besides=letter)
    return reading is not None and reading.fingerprint == letter.read_as


def _hand_over(letter: Letter, yard: YardSettings, real_now: datetime) -> str:
    connection: BaseEmailBackend = get_connection()
    try:
        message = message_of(letter, yard)
        connection.open()
    except Exception as error:  # whatever it is, nothing was handed over yet
        log.warning("letter %s was not sent: %s", letter.pk, type(error).__name__)
        return _write(letter, Letter.State.REFUSED, _("Not sent: {error}").format(error=_plain(error)))
    try:
        connection.send_messages([message])
    except SURELY_NOT as error:
        return _write(
            letter, Letter.State.REFUSED, _("The mail server refused it: {error}").format(error=_plain(error))
        )
    except Exception as error:  # it may have gone: a person decides
        log.warning("letter %s is perhaps sent: %s", letter.pk, type(error).__name__)
        return _write(
            letter,
            Letter.State.PERHAPS,
            _("The mail server did not say whether it took it: {error}").format(error=_plain(error)),
        )
    finally:
        _close(connection)
    return _sent(letter, yard_clock(yard, real_now=real_now))


def _close(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except Exception as error:  # what was handed over is handed over
        log.warning("the mail server's connection did not close: %s", type(error).__name__)


def message_of(letter: Letter, yard: YardSettings) -> EmailMultiAlternatives:
    """Django refuses a header with a line break in it (BadHeaderError) when the message is made."""
    address = settings.MAIL_FROM or yard.email or settings.DEFAULT_FROM_EMAIL
    name = " ".join(yard.name.split())
    domain = address.rpartition("@")[2] or "localhost"
    message = EmailMultiAlternatives(
        subject=letter.subject,
        body=letter.text,
        from_email=formataddr((name, address)),
        to=[letter.to_address],
        headers={"Message-ID": f"<{letter.message_id}@{domain}>"},
    )
    message.attach_alternative(letter.html, "text/html")
    message.message()  # made once here, so that a header that cannot be is found before anything is sent
    return message


def _plain(error: Exception) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__


def _write(letter: Letter, state: Letter.State, trouble: str) -> str:
    """Under this claim only: what a person decided meanwhile stands."""
    mine = Letter.objects.filter(
        pk=letter.pk, claim=letter.claim, state__in=[Letter.State.SENDING, Letter.State.PERHAPS]
    )
    mine.update(state=state, trouble=trouble[:300])
    return "refused" if state == Letter.State.REFUSED else "perhaps"


def _mine(letter: Letter) -> QuerySet[Letter]:
    return Letter.objects.filter(
        pk=letter.pk, claim=letter.claim, state__in=[Letter.State.SENDING, Letter.State.PERHAPS]
    )


@transaction.atomic
def _sent(letter: Letter, now: datetime) -> str:
    mine = Letter.objects.filter(
        pk=letter.pk, claim=letter.claim, state__in=[Letter.State.SENDING, Letter.State.PERHAPS]
    )
    if mine.update(state=Letter.State.SENT, sent_at=now, trouble="") == 1:
        letter.refresh_from_db()
        after_sending(letter, now=now)
    else:
        log.warning("letter %s went out, though a person had decided meanwhile that it did not", letter.pk)
    return "sent"


def after_sending(letter: Letter, *, now: datetime) -> None:
    """What the yard knows once a letter went. In the transaction that says so."""
    match letter.kind:
        case Letter.Kind.PLAN:
            note_told(letter, now=now)
        case Letter.Kind.WINTER | Letter.Kind.CHASE:
            asked_by(letter, now=now)


@transaction.atomic
def decide(letter: Letter, *, went: bool, seen_version: int, by: User, now: datetime) -> Letter:
    """A person's word on a letter that is perhaps sent, or was refused: it went, or it is read again.

    Raises StaleRow where somebody decided before.
    """
    rows = Letter.objects.select_for_update(of=("self",))  # the plan may be none, and is not locked
    row = _read(rows).get(pk=letter.pk)
    open_ones = (Letter.State.PERHAPS, Letter.State.REFUSED, Letter.State.RELEASED)
    if row.state not in open_ones or row.version != seen_version:
        raise StaleRow(row)
    row.decided_by = by
    if not went:
        read_again(row, why=_("Decided by a person: it did not go out."), by=by, now=now)
        return row
    row.state, row.sent_at = Letter.State.SENT, now
    sign(row, by=by, now=now, reason=_("a person says that it went"))
    row.save()
    after_sending(row, now=now)
    return row


@transaction.atomic
def read_again(letter: Letter, *, why: str, by: User | None, now: datetime) -> bool:
    """The letter is dropped, and the person's own words wait in a new reading. False where its state changed."""
    row = Letter.objects.select_for_update().get(pk=letter.pk)
    if row.state != letter.state:
        return False
    row.state, row.trouble, row.decided_by = Letter.State.DROPPED, why, by
    sign(row, by=by, now=now, reason=why)
    row.save()
    waits = Letter.objects.filter(owner=row.owner, kind=row.kind, state=Letter.State.READING)
    if not waits.exists() and (row.before or row.after or row.reason_said):
        again = Letter(
            owner=row.owner,
            kind=row.kind,
            season=row.season,
            before=row.before,
            after=row.after,
            reason_said=row.reason_said,
            read_as=row.read_as,
            made_at=now,
        )
        sign(again, by=by, now=now, reason=why)
        again.save()
    return True
