"""Letters that wait for a reader: what is new for each owner since the last telling, as one letter.

Nothing of this is stored but the person's own words: the rest follows the plan, so that a change that is taken back
before anything was sent leaves nothing to send.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from yard.models import BoatOwner, Letter, Owner, Plan, Telling, YardSettings
from yard.notices.letter import Written, spoken, write
from yard.notices.news import LetterFacts, Yard
from yard.notices.texting import texted
from yard.promise.states import URGENCY
from yard.queries.letters_due import DueRow, letters_due
from yard.queries.owner_pages import owned_by
from yard.services.letters.ground import Ground
from yard.services.letters.news import NewsOf
from yard.services.letters.templates import own_templates
from yard.services.owner_pages.addresses import address_of_owner

ON_ITS_WAY = (Letter.State.RELEASED, Letter.State.SENDING, Letter.State.PERHAPS, Letter.State.REFUSED)
"""What such a letter tells is not written a second time: it goes out, or a person decides what became of it."""


@dataclass(frozen=True)
class ToTell:
    """One owner with due orders, the most urgent first. owner: None where nobody is on file for the boat."""

    owner: Owner | None
    rows: tuple[DueRow, ...]
    owned: Mapping[int, BoatOwner]

    @property
    def first(self) -> DueRow:
        return self.rows[0]


@dataclass(frozen=True)
class Reading:
    """One owner's letter as it stands now. row: the person's own words, None before any were kept.

    spoken: for the telephone. texted: for a text message, short enough for one.
    """

    to_tell: ToTell
    owner: Owner
    row: Letter | None
    facts: LetterFacts
    written: Written
    spoken: str
    texted: str
    plan: Plan

    @property
    def fingerprint(self) -> str:
        return self.written.fingerprint()

    @property
    def wants_reason(self) -> bool:
        return any(news.wants_reason for news in self.facts.news) and not self.facts.reason_said.strip()

    @property
    def plan_has_no_reason(self) -> bool:
        return any(news.wants_reason for news in self.facts.news)

    @property
    def read_before_a_change(self) -> bool:
        """Somebody read it, and it says something else now."""
        return self.row is not None and bool(self.row.read_as) and self.row.read_as != self.fingerprint


def owners_to_tell(
    plan: Plan | None,
    yard: YardSettings,
    *,
    now: datetime,
    boats: Collection[int] | None = None,
    besides: Letter | None = None,
) -> list[ToTell]:
    """Owners with due orders, the most urgent first; what a letter tells already is left out. Eleven queries."""
    rows = letters_due(plan, yard, now=now, boats=boats)
    on_its_way = _on_its_way(besides) if rows else frozenset()
    rows = [row for row in rows if row.order.pk not in on_its_way]
    owned = owned_by({row.order.boat_id or 0 for row in rows})
    found: dict[tuple[int, int], list[DueRow]] = {}
    for row in rows:
        mine = owned.get(row.order.boat_id or 0)
        found.setdefault((mine.owner_id, 0) if mine else (0, row.order.boat_id or 0), []).append(row)
    told = [
        ToTell(owned[mine[0].order.boat_id or 0].owner if owner else None, tuple(mine), owned)
        for (owner, _), mine in found.items()
    ]
    return sorted(told, key=lambda each: (URGENCY[each.first.due.reason], each.first.order.pk))


def _on_its_way(besides: Letter | None) -> frozenset[int]:
    rows = Letter.objects.filter(kind=Letter.Kind.PLAN, state__in=ON_ITS_WAY)
    rows = rows if besides is None else rows.exclude(pk=besides.pk)
    return frozenset(int(each["order"]) for tells in rows.values_list("tells", flat=True) for each in tells)


def reading_of(
    owner: Owner,
    plan: Plan | None,
    yard: YardSettings,
    *,
    now: datetime,
    by: User | None = None,
    besides: Letter | None = None,
) -> Reading | None:
    """The letter to one owner; None where there is nothing to say.

    besides: a letter on its way that is looked at as if it were not. Raises TemplateFault where own words are unusable.
    """
    if plan is None:
        return None
    boats = set(owner.ownerships.filter(ends_on=None).values_list("boat", flat=True))
    every = owners_to_tell(plan, yard, now=now, boats=boats, besides=besides)
    told = next((each for each in every if each.owner == owner), None)
    return None if told is None else _read(told, owner, plan, yard, now, by, besides)


def _read(
    told: ToTell,
    owner: Owner,
    plan: Plan,
    yard: YardSettings,
    now: datetime,
    by: User | None,
    besides: Letter | None,
) -> Reading:
    row = besides or Letter.objects.filter(owner=owner, kind=Letter.Kind.PLAN, state=Letter.State.READING).first()
    news_of = NewsOf(plan, Ground(yard, now), told.rows)
    facts = LetterFacts(
        owner=owner.name,
        yard=signs(yard),
        news=tuple(news_of.of(each, told.owned.get(each.order.boat_id or 0)) for each in told.rows),
        page=address_of_owner(owner),
        before=row.before if row else "",
        after=row.after if row else "",
        reason_said=row.reason_said if row else "",
        signed=(by.get_full_name() or by.username) if by is not None else "",
        day_told_days_before=yard.day_told_days_before,
    )
    return Reading(told, owner, row, facts, write(facts, own_templates()), spoken(facts), texted(facts), plan)


def signs(yard: YardSettings) -> Yard:
    return Yard(name=yard.name, phone=yard.phone, feet=yard.units == YardSettings.Units.FEET)


def tells_of(reading: Reading) -> list[dict[str, object]]:
    """What the owner knows once it is told: plain values, kept with the letter."""
    reserves = {news.order: news.reserve for news in reading.facts.news}
    found: list[dict[str, object]] = []
    for row in reading.to_tell.rows:
        reserve = reserves[row.order.pk]
        found.append(
            {
                "order": row.order.pk,
                "state": Telling.State(row.due.state.value).value,
                "date": row.due.date.isoformat() if row.due.date else None,
                "reserve": reserve.isoformat() if reserve else None,
            }
        )
    return found
