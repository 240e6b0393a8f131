"""Late boats of the posted plan: why each is late, and what would bring her back, as it was tried."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import BackAnswer, BackSearch, Plan
from yard.pictures.lettering import weekday_day_month
from yard.queries.season_board import LATE, BoatLanes, BoatRow, boat_lanes, boat_rows
from yard.services.asking import goes_on, sentence
from yard.services.back_search import newest_search
from yard.web.days.ramp_work import boat_address
from yard.web.season.reasons import long_words, told_causes

SHOWN = 5


@dataclass(frozen=True)
class LateBoat:
    """ways: the cheapest first; more: how many beyond those shown. tried: whether an answer of hers is there."""

    name: str
    url: str
    question: str
    reasons: tuple[str, ...]
    tried: bool
    ways: tuple[dict[str, Any], ...] = ()
    more: int = 0
    whole: bool = True


@dataclass(frozen=True)
class WaysPage:
    boats: tuple[LateBoat, ...]
    search: BackSearch | None
    told: str
    going: bool
    done: int

    @property
    def can_ask(self) -> bool:
        return bool(self.boats) and not self.going and (self.search is None or self.search.state != "done")


def ways_page(plan: Plan | None, *, now: datetime) -> WaysPage:
    """Eleven queries at most, however many boats. now: the real clock."""
    if plan is None:
        return WaysPage((), None, "", False, 0)
    rows = [row for row in boat_rows(plan) if row.state == LATE]
    lanes = boat_lanes(plan, rows)
    search = newest_search(plan)
    answers = {} if search is None else {one.order_id: one for one in search.answers.all()}
    boats = tuple(_boat(row, lanes, answers) for row in rows)
    if search is None:
        return WaysPage(boats, None, "", False, 0)
    going = goes_on(search, now)
    told = "" if search.state == BackSearch.State.DONE else sentence(search, now)
    return WaysPage(boats, search, told, going, len(answers))


def _boat(row: BoatRow, lanes: BoatLanes, answers: dict[int, BackAnswer]) -> LateBoat:
    answer = next((answers[pk] for pk in row.order_ids if pk in answers), None)
    causes = lanes.causes.get(row.worst.order.pk, [])
    reasons = [long_words(cause, lanes) for cause in told_causes(causes)]
    if row.worst.left_out:
        reasons.insert(0, f"{row.worst.left_out[:1].upper()}{row.worst.left_out[1:]}.")
    if answer is None:
        return LateBoat(row.name, boat_address(row.boat), _late_words(row), tuple(reasons), False)
    ways = tuple(answer.ways)
    return LateBoat(
        row.name,
        boat_address(row.boat),
        _late_words(row),
        tuple(reasons),
        True,
        ways[:SHOWN],
        max(0, len(ways) - SHOWN),
        answer.whole,
    )


def _late_words(row: BoatRow) -> str:
    if row.worst.days_in_hand is None or row.worst.ends is None:
        return _("has no place in the plan")
    days = -row.worst.days_in_hand
    words = ngettext("{n} working day late, done {day}", "{n} working days late, done {day}", days)
    return words.format(n=days, day=weekday_day_month(row.worst.ends))
