"""The page of winter's question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from yard.models import Plan, Season, YardSettings
from yard.queries.winter import WeekLoad, asked_owners, weeks_of
from yard.services.letters.to_all import can_be_written_to
from yard.services.owner_pages.winter import last_year_s, season_before
from yard.web.boats.words import dial
from yard.web.letters.to_all import WinterRow, winter_rows


@dataclass(frozen=True)
class WinterLine:
    row: WinterRow
    by_email: bool
    dial: str


@dataclass(frozen=True)
class Week:
    load: WeekLoad
    percent: int
    words: str


@dataclass(frozen=True)
class WinterPage:
    """to_list: how many of last year's orders are not on the list yet. to_ask, to_chase: owners with an address."""

    before: Season | None
    to_list: int
    lines: tuple[WinterLine, ...]
    to_ask: int
    to_chase: int
    weeks: tuple[Week, ...]


def season_of(seasons: Sequence[Season], chosen: str) -> Season | None:
    """The chosen one, else the last to begin: in winter it is the coming spring that is asked about."""
    by_id = {str(season.pk): season for season in seasons}
    return by_id.get(chosen) or next(iter(reversed(seasons)), None)


def winter_page(season: Season, plan: Plan | None, yard: YardSettings, *, now: datetime) -> WinterPage:
    rows = winter_rows(asked_owners(season), yard, now=now)
    lines = tuple(WinterLine(row, can_be_written_to(row.asked.owner), dial(row.asked.owner.phone)) for row in rows)
    due = [line for line in lines if line.row.due and line.by_email]
    return WinterPage(
        before=season_before(season),
        to_list=len(last_year_s(season)),
        lines=lines,
        to_ask=sum(not line.row.chase for line in due),
        to_chase=sum(line.row.chase for line in due),
        weeks=tuple(_week(load) for load in weeks_of(season, yard, plan)),
    )


def _week(load: WeekLoad) -> Week:
    if not load.there_h:
        return Week(load, 100 if load.share else 0, _("nobody is at work"))
    percent = round(100 * load.share)
    if percent > 100:
        return Week(load, 100, _("{percent} %: more than there is").format(percent=percent))
    return Week(load, percent, f"{percent} %")
