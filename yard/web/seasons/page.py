"""The list of seasons, and the page of one season's end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.models import Season, YearEnd, YearEndLine
from yard.queries.seasons import seasons_by_start
from yard.services.year_end import Choices, Obstacle, Preview
from yard.services.year_end.carry import SILENT_FOR
from yard.web.boats.words import hours_words
from yard.web.request import form_key_in, number_in

State = YearEnd.State
ADDRESSES: Mapping[str, str] = {"order": "order", "repair_list": "repair_list", "letter": "letter"}
PLAIN: Mapping[str, str] = {"answers": "answers", "held_days": "held_days", "seasons": "seasons"}
ORDER_OF_LINES = (
    (YearEndLine.Kind.FINISHED, _("Called done")),
    (YearEndLine.Kind.OPEN_ORDER, _("Unfinished orders carried over")),
    (YearEndLine.Kind.REPAIRS, _("Repair lists that go on")),
    (YearEndLine.Kind.AGAIN, _("Taken again, unconfirmed")),
    (YearEndLine.Kind.ESTIMATE, _("Hours learnt")),
)


@dataclass(frozen=True)
class SeasonRow:
    """end: its last end that was not taken back. can_end: begun, open and nobody is at it."""

    season: Season
    end: YearEnd | None
    opened: str
    can_end: bool


def season_rows(*, today: date) -> list[SeasonRow]:
    """Three queries."""
    ends: dict[int, YearEnd] = {}
    for row in YearEnd.objects.exclude(state=State.TAKEN_BACK).select_related("into").order_by("pk"):
        ends[row.season_id] = row
    opened, closed = dict[int, str](), set[int]()
    past: Any = Season
    for kept in past.history.order_by("history_date", "history_id"):
        if kept.closed_at is not None:
            closed.add(kept.id)
        elif kept.id in closed:
            closed.remove(kept.id)
            opened[kept.id] = str(kept.history_change_reason)
    found = []
    for season in seasons_by_start():
        end = ends.get(season.pk)
        busy = end is not None and end.state != State.DONE
        can_end = season.closed_at is None and season.starts_on <= today and not busy
        reason = opened.get(season.pk, "") if season.closed_at is None else ""
        found.append(SeasonRow(season, end, reason, can_end))
    return found


@dataclass(frozen=True)
class Way:
    """Something in the way, with the page where it is settled."""

    words: str
    address: str


@dataclass(frozen=True)
class EstimateRow:
    """value: what its tick sends."""

    value: str
    what: str
    before: str
    after: str
    jobs: int
    ticked: bool


@dataclass(frozen=True)
class EndPage:
    """What one season's end would do, with the ticks as they were sent, or all of them at first."""

    preview: Preview
    choices: Choices
    in_the_way: tuple[Way, ...]
    estimates: tuple[EstimateRow, ...]
    key: UUID
    early: bool


def choices_in(sent: QueryDict) -> Choices:
    """The ticks of the form; whatever is no number is left."""
    estimates = [tuple(number_in(part) for part in text.split("-")) for text in sent.getlist("estimate")]
    return Choices(
        orders=_ids(sent, "order"),
        repairs=_ids(sent, "repairs"),
        again=_ids(sent, "again"),
        estimates=tuple(sorted((each[0], each[1], each[2]) for each in estimates if len(each) == 3)),
    )


def _ids(sent: QueryDict, name: str) -> tuple[int, ...]:
    return tuple(sorted({number for text in sent.getlist(name) if (number := number_in(text))}))


def all_ticked(preview: Preview) -> Choices:
    """What is shown at first: everything is carried over, and every measured hour is learnt."""
    return Choices(
        orders=tuple(row.order.pk for row in preview.unfinished),
        repairs=tuple(row.pk for row in preview.repairs),
        again=tuple(row.pk for row in preview.again),
        estimates=tuple((row.way.pk, row.way.duration_min, row.suggested_min or 0) for row in preview.estimates),
    )


def end_page(preview: Preview, choices: Choices, *, today: date, key: str = "") -> EndPage:
    ticked = set(choices.estimates)
    rows = []
    for row in preview.estimates:
        pair = (row.way.pk, row.way.duration_min, row.suggested_min or 0)
        rows.append(
            EstimateRow(
                value="-".join(map(str, pair)),
                what=f"{row.way.job.package.name}, {row.way.job.name}",
                before=hours_words(pair[1]),
                after=hours_words(pair[2]),
                jobs=row.jobs,
                ticked=pair in ticked,
            )
        )
    return EndPage(
        preview=preview,
        choices=choices,
        in_the_way=tuple(Way(row.words, address_of(row)) for row in preview.wrong_with(choices)),
        estimates=tuple(rows),
        key=form_key_in(key) or uuid4(),
        early=today < preview.season.ends_on,
    )


def address_of(row: Obstacle) -> str:
    if row.to in PLAIN:
        return reverse(PLAIN[row.to])
    return reverse(ADDRESSES[row.to], args=[row.pk])


@dataclass(frozen=True)
class RunPage:
    """One season's end on its own page. going: it is under way; silent: it was, and gives no sign any more."""

    row: YearEnd
    percent: int
    going: bool
    silent: bool
    groups: tuple[tuple[str, tuple[YearEndLine, ...]], ...]
    left: tuple[YearEndLine, ...]


def run_page(row: YearEnd, *, real_now: datetime) -> RunPage:
    """Two queries."""
    lines = list(row.lines.select_related("order__boat", "copy", "repair_list"))
    busy = row.state in (State.QUEUED, State.RUNNING)
    silent = busy and row.heartbeat_at is not None and abs(real_now - row.heartbeat_at) > SILENT_FOR
    groups = [
        (str(words), tuple(line for line in lines if line.kind == kind and not line.left_why))
        for kind, words in ORDER_OF_LINES
    ]
    return RunPage(
        row=row,
        percent=round(100 * row.done / row.total) if row.total else 0,
        going=busy and not silent,
        silent=silent,
        groups=tuple(each for each in groups if each[1]),
        left=tuple(line for line in lines if line.left_why),
    )
