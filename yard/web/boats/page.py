"""One boat's page put together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import (
    Boat,
    Fact,
    Item,
    ItemWhereabouts,
    Job,
    Owner,
    Place,
    PlaceKind,
    PlannedStay,
    Telling,
    YardSettings,
)
from yard.queries.boat_list import standing_of
from yard.queries.boat_page import BoatRows, boat_rows
from yard.queries.launches import shut_and_open
from yard.queries.plans import posted_plan
from yard.queries.season_board import LATE
from yard.speech import number
from yard.web.boats.forms import DraftForm, FactForms
from yard.web.boats.heading import (
    DateCell,
    Verdict,
    dates_of,
    fact_words,
    next_words,
    telling_words,
    told_last,
    verdict_of,
)
from yard.web.boats.jobs import JobLine, Line, lines_of, ramp_job, times_of
from yard.web.boats.spots import Spot, spots_of
from yard.web.boats.water import HerWater, days_for, her_water
from yard.web.boats.water_days import WaterDay
from yard.web.boats.words import boat_lies_words, date_words, dial, spans_words, thing_lies_words, when_words
from yard.web.season.opened import Why, why_then
from yard.web.units import at_minute, height, height_unit, local

THINGS_LIE_AT: dict[str, tuple[str, ...]] = {
    Item.Kind.MAST: (PlaceKind.SPAR_RACK,),
    Item.Kind.SAIL: (PlaceKind.SAIL_STORE, PlaceKind.LOFT_FLOOR, PlaceKind.DRYING_LINE, PlaceKind.WASH_DECK),
}
ANY_THING = (PlaceKind.LOFT_FLOOR, PlaceKind.SAIL_STORE, PlaceKind.BENCH, PlaceKind.OTHER)
"""Where cushions, covers, keys and the rest are looked for."""


@dataclass(frozen=True)
class FactRow:
    """A fact with its forms. needed: the day from which work waits for it, "" if it is here or nothing does."""

    fact: Fact
    words: str
    forms: FactForms
    needed: str


@dataclass(frozen=True)
class ThingRow:
    item: Item
    here: ItemWhereabouts | None
    words: str
    places: tuple[Place, ...]


@dataclass(frozen=True)
class ToldRow:
    telling: Telling
    words: str
    at: str


@dataclass(frozen=True)
class OwnerRow:
    """An owner of hers. dial: the number as a telephone takes it, "" where none is on file."""

    owner: Owner
    dial: str
    insured_until: date | None


@dataclass(frozen=True)
class Berth:
    place: str
    nights: str


@dataclass(frozen=True)
class WaterRow:
    """One day of the water as a table: words, as they are read."""

    day: str
    highest: str
    minutes: str
    windows: str


NOTHING_TO_SAY = Why("", (), ())


@dataclass(frozen=True)
class BoatPage:
    """Everything that the templates draw; each picture has its figures in `water.days`."""

    rows: BoatRows
    verdict: Verdict
    why: Why
    dates: list[DateCell]
    following: str
    lines: list[Line]
    done: list[str]
    water: HerWater | None
    facts: list[FactRow]
    draft_form: DraftForm | None
    lies: str
    likely: tuple[Spot, ...]
    unlikely: tuple[Spot, ...]
    things: list[ThingRow]
    berths: list[Berth]
    told: list[ToldRow]
    told_last: ToldRow | None
    owners: list[OwnerRow]
    facts_in_words: str
    cautions: list[str]
    water_table: list[WaterRow]


@dataclass(frozen=True)
class Sent:
    """A form that was sent and could not be taken: what it is about, which, and the form with its errors."""

    fact: int | None = None
    saying: str = ""
    form: forms.Form | None = None


def boat_page(
    boat: Boat, yard: YardSettings, *, now: datetime, with_owners: bool, sent: Sent | None = None
) -> BoatPage:
    """The page of one boat. sent: what is shown again because it could not be taken."""
    plan = posted_plan()
    rows = boat_rows(boat, plan, with_owners=with_owners)
    times, today = times_of(rows), local(now).date()
    ramp = ramp_job(rows, times)
    water = None
    if ramp is not None:
        first, count = days_for(ramp, now)
        shut = shut_and_open(at_minute(first, 0), at_minute(first, count * 1440))
        water = her_water(boat, ramp, yard, shut, rows.floated, now=now)
    standing, board_row = standing_of(rows)
    late = board_row is not None and standing.state == LATE
    why = why_then(plan, board_row, now=now) if board_row is not None and late else NOTHING_TO_SAY
    verdict = verdict_of(rows, standing, water, ramp, reason=why.short)
    lines = lines_of(rows, times, water, ramp, yard, late=verdict.css == "late")
    likely, unlikely = spots_of(rows)
    return BoatPage(
        rows=rows,
        verdict=verdict,
        why=why,
        dates=dates_of(rows),
        following=next_words(lines),
        lines=lines,
        done=[line.job.name for line in lines if isinstance(line, JobLine) and line.job.state == Job.State.DONE],
        water=water,
        facts=[_fact_row(rows, fact, times.starts, today, sent) for fact in rows.facts],
        draft_form=_draft_form(boat, yard, sent),
        lies=_lies(rows),
        likely=likely,
        unlikely=unlikely,
        things=[_thing(rows, item) for item in rows.lying.items],
        berths=[_berth(stay) for stay in rows.planned.stays if stay.place.counted_by_night],
        told=[_told(each) for each in rows.owned.tellings],
        told_last=_told(last) if (last := told_last(rows)) is not None else None,
        owners=[OwnerRow(row.owner, dial(row.owner.phone), row.insurance_expires_on) for row in rows.owned.owners],
        facts_in_words=_facts_in_words(rows, yard),
        cautions=_cautions(rows),
        water_table=[_water_row(each, yard) for each in (water.days if water else ())],
    )


def _fact_row(rows: BoatRows, fact: Fact, starts: dict[int, datetime], today: date, sent: Sent | None) -> FactRow:
    mine = sent if sent is not None and sent.fact == fact.pk else Sent()
    waiting = [starts[job.pk] for job in rows.waiting.get(fact.pk, ()) if job.pk in starts]
    needed = date_words(local(min(waiting)).date()) if waiting and fact.state != Fact.State.HERE else ""
    return FactRow(fact, fact_words(fact), FactForms(fact, today, sent=mine.saying, form=mine.form), needed)


def _draft_form(boat: Boat, yard: YardSettings, sent: Sent | None) -> DraftForm | None:
    """Asked for while it is unknown, and again where what was typed could not be taken."""
    if sent is not None and isinstance(sent.form, DraftForm):
        return sent.form
    if boat.draft_m is not None:
        return None
    return DraftForm(yard=yard, initial={"version": boat.version}, auto_id="her-%s")


def _lies(rows: BoatRows) -> str:
    """ "Row 3 of the store, 5th from the inside; Avocet and Teal stand in front" """
    if not rows.lying.lies:
        return _("nobody has said")
    words = boat_lies_words(rows.lying.lies[0])
    if not rows.lying.in_her_way:
        return words
    *others, last = rows.lying.in_her_way
    if not others:
        return _("{place}; {boat} in front of her").format(place=words, boat=last)
    if len(others) == 1:
        return _("{place}; {first} and {last} in front of her").format(place=words, first=others[0], last=last)
    return _("{place}; {first} and {last} and {n} more in front of her").format(
        place=words, first=others[-1], last=last, n=len(others) - 1
    )


def _thing(rows: BoatRows, item: Item) -> ThingRow:
    here = rows.lying.item_lies.get(item.pk)
    kinds = THINGS_LIE_AT.get(item.kind, ANY_THING)
    places = tuple(place for place in rows.lying.places if place.kind in kinds)
    return ThingRow(item, here, thing_lies_words(here) if here else _("nobody has said"), places)


def _berth(stay: PlannedStay) -> Berth:
    name = stay.place.name
    first, until = local(stay.starts_at).date(), local(stay.ends_at).date()
    nights = (until - first).days
    words = ngettext("{first} to {last}, {n} night", "{first} to {last}, {n} nights", nights).format(
        first=date_words(first), last=date_words(until), n=nights
    )
    return Berth(f"{name} {stay.unit}" if stay.place.capacity > 1 else name, words)


def _told(telling: Telling) -> ToldRow:
    return ToldRow(telling, telling_words(telling), when_words(telling.told_at))


def _cautions(rows: BoatRows) -> list[str]:
    """Those of the jobs that are not done, each once, in the order of the jobs."""
    undone = [job for job in rows.network.jobs if job.state not in (Job.State.DONE, Job.State.FAILED)]
    return list(dict.fromkeys(job.cautions.strip() for job in undone if job.cautions.strip()))


def _water_row(day: WaterDay, yard: YardSettings) -> WaterRow:
    if day.highest_m is None:
        return WaterRow(date_words(day.day), day.shut or "–", "–", "")
    windows = spans_words(day.windows) or _("none")
    return WaterRow(date_words(day.day), number(height(day.highest_m, yard), 1), str(day.minutes), windows)


def _facts_in_words(rows: BoatRows, yard: YardSettings) -> str:
    """ "34.1 ft Creek sloop, draft 5.9 ft, sail number 117" """
    boat, unit = rows.boat, height_unit(yard)
    draft = _("draft not known")
    if boat.draft_m is not None:
        draft = _("draft {height} {unit}").format(height=number(height(boat.draft_m, yard), 1), unit=unit)
    what = boat.design or boat.get_kind_display()
    words = [f"{height(boat.length_m, yard):.0f} {unit} {what}", draft]
    words += [_("beam {width} {unit}").format(width=number(height(boat.beam_m, yard), 1), unit=unit)]
    words += [_("sail number {number}").format(number=boat.sail_number)] if boat.sail_number else []
    words += [_("planked, takes up after launching")] if boat.planked else []
    return " · ".join(words)
