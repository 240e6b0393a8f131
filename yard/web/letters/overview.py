"""The morning list: whom to tell what, letters on their way, and answers that nobody looked at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import DayOdds, Letter, Order, OwnerAnswer, Plan, YardSettings
from yard.promise.states import Reason, State
from yard.queries.letters_due import DueRow
from yard.queries.odds import chance_by, newest_odds
from yard.queries.owner_pages import answers_waiting
from yard.services.letters.reading import ToTell, owners_to_tell
from yard.services.letters.sending import GIVEN_UP_AFTER
from yard.web.boats.sure import in_ten
from yard.web.boats.words import dial

URGENT = frozenset({Reason.FIRM_BROKEN, Reason.FINAL_CALL, Reason.DAY_MOVED})
SOON = frozenset({Reason.FIRM_DUE, Reason.DAY_DUE, Reason.WEEK_MOVED})
GROUPS = (
    (gettext_lazy("To be told now"), gettext_lazy("a firm day broken, a final call, a day that moved"), True, URGENT),
    (gettext_lazy("Today or tomorrow"), gettext_lazy("a day is due, firm or not, or a week moved"), False, SOON),
    (
        gettext_lazy("When there is time"),
        gettext_lazy("weeks not told yet, and work that is done"),
        False,
        frozenset(Reason) - URGENT - SOON,
    ),
)
SENT_SHOWN_FOR = timedelta(days=14)


@dataclass(frozen=True)
class Line:
    """One order of an owner. sure: in words, "" where nothing was reckoned for that day."""

    row: DueRow
    urgent: bool
    sure: str


@dataclass(frozen=True)
class OwnerLines:
    """One owner to tell. address: of the letter, "" where no owner is on file."""

    name: str
    lines: tuple[Line, ...]
    address: str
    dial: str
    words_kept: bool

    @property
    def reason(self) -> Reason:
        """Of its most urgent line."""
        return self.lines[0].row.due.reason


@dataclass(frozen=True)
class TellGroup:
    """Owners by how soon they must hear. urgent: unfolded; about: what is in it."""

    title: str
    about: str
    urgent: bool
    owners: tuple[OwnerLines, ...]


@dataclass(frozen=True)
class Overview:
    plan: Plan | None
    owners: tuple[OwnerLines, ...]
    uncertain: tuple[Letter, ...]
    on_their_way: tuple[Letter, ...]
    sent: tuple[Letter, ...]
    answers: tuple[OwnerAnswer, ...]
    goes_to: str

    @property
    def groups(self) -> tuple[TellGroup, ...]:
        """Those that are empty left out; where none is urgent, the first stands unfolded all the same."""
        rows = [
            TellGroup(str(title), str(about), urgent, tuple(each for each in self.owners if each.reason in reasons))
            for title, about, urgent, reasons in GROUPS
        ]
        found = [each for each in rows if each.owners]
        return (replace(found[0], urgent=True), *found[1:]) if found else ()

    @property
    def orders(self) -> int:
        return sum(len(owner.lines) for owner in self.owners)


def overview(plan: Plan | None, yard: YardSettings, *, now: datetime, real_now: datetime) -> Overview:
    """Fifteen queries, however many owners."""
    told = owners_to_tell(plan, yard, now=now)
    odds = odds_by_order() if told else {}
    letters = list(_letters(now))
    reading = {row.owner_id for row in letters if row.state == Letter.State.READING}
    return Overview(
        plan=plan,
        owners=tuple(_owner(each, odds, reading) for each in told),
        uncertain=tuple(row for row in letters if is_uncertain(row, real_now)),
        on_their_way=tuple(row for row in letters if _on_its_way(row) and not is_uncertain(row, real_now)),
        sent=tuple(row for row in letters if row.state == Letter.State.SENT),
        answers=tuple(answers_waiting()),
        goes_to=goes_to(),
    )


def goes_to() -> str:
    """Where letters go, in words."""
    if settings.EMAIL_HOST:
        return _("Letters go out by {host}.").format(host=settings.EMAIL_HOST)
    return _(
        "No mail server is set (YARD_SMTP_HOST): letters are written as files, into the data folder under letters."
    )


def odds_by_order() -> dict[int, DayOdds]:
    """How sure the last day of each order is, by order id. Two queries."""
    newest = newest_odds()
    rows = newest.days.filter(milestone=DayOdds.Milestone.DONE) if newest is not None else ()
    return {row.order_id: row for row in rows}


def is_uncertain(letter: Letter, real_now: datetime) -> bool:
    """Perhaps sent, refused, or its sender vanished."""
    gone = letter.claimed_at is not None and letter.claimed_at < real_now - GIVEN_UP_AFTER
    return letter.state in (Letter.State.PERHAPS, Letter.State.REFUSED) or (
        letter.state == Letter.State.SENDING and gone
    )


def _on_its_way(letter: Letter) -> bool:
    return letter.state in (Letter.State.RELEASED, Letter.State.SENDING)


def _letters(now: datetime) -> Sequence[Letter]:
    """Those that are not dropped; sent ones of the last two weeks. One query."""
    rows = Letter.objects.exclude(state=Letter.State.DROPPED).select_related("owner", "released_by")
    old = rows.filter(state=Letter.State.SENT, sent_at__lt=now - SENT_SHOWN_FOR)
    return list(rows.exclude(pk__in=old.values("pk")).defer("html").order_by("-released_at", "-id"))


def _owner(told: ToTell, odds: Mapping[int, DayOdds], reading: set[int]) -> OwnerLines:
    owner = told.owner
    return OwnerLines(
        name=owner.name if owner is not None else _("no owner on file"),
        lines=tuple(Line(row, row.due.reason in URGENT, sure_words(row.order, row, odds)) for row in told.rows),
        address=reverse("letter_read", kwargs={"pk": owner.pk}) if owner is not None else "",
        dial=dial(owner.phone) if owner is not None else "",
        words_kept=owner is not None and owner.pk in reading,
    )


def sure_words(order: Order, row: DueRow, odds: Mapping[int, DayOdds]) -> str:
    """ "about 9 in 10 by then", of a day; of a week by its Sunday."""
    found, day = odds.get(order.pk), row.due.date
    if found is None or day is None or row.due.state is State.DONE:
        return ""
    last = day + timedelta(days=6) if row.due.state is State.PROVISIONAL_WEEK else day
    return _("{chance} by then").format(chance=in_ten(chance_by(found, last)))
