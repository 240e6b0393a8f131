"""The page of how honest the yard was, for the yard alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import EstimateChange, YardSettings
from yard.pictures.calibration import CalibrationPicture, CalibrationPoint, lay_out
from yard.promise.honest import ENOUGH, Group, groups
from yard.queries.honesty import Hours, Outcome, days_lost, hours_measured, outcomes
from yard.speech import number
from yard.web.boats.words import hours_words
from yard.web.honest.tried import Tried, read_tried

CHANGES_SHOWN = 20


@dataclass(frozen=True)
class Kept:
    """One line: of a month, or of a kind of work."""

    what: str
    done: int
    promised: int
    kept: int
    late_days: str
    firm: int
    firm_kept: int
    lost: int | None = None


@dataclass(frozen=True)
class HoursRow:
    hours: Hours
    estimated: str
    measured: str
    ratio: str
    now: str
    suggested: str


@dataclass(frozen=True)
class GroupRow:
    said: str
    count: int
    kept: int
    between: str


@dataclass(frozen=True)
class HonestPage:
    """few: too few promised dates have come to judge the odds by."""

    months: tuple[Kept, ...]
    kinds: tuple[Kept, ...]
    hours: tuple[HoursRow, ...]
    groups: tuple[Group, ...]
    table: tuple[GroupRow, ...]
    picture: CalibrationPicture | None
    counted: int
    few: bool
    enough: int
    changes: tuple[EstimateChange, ...]
    tried: Tried | None

    @property
    def suggested(self) -> tuple[HoursRow, ...]:
        return tuple(row for row in self.hours if row.suggested)

    @property
    def as_estimated(self) -> tuple[HoursRow, ...]:
        return tuple(row for row in self.hours if not row.suggested)


def honest_page(yard: YardSettings) -> HonestPage:
    """Twelve queries, however many orders."""
    rows, lost = outcomes(yard), days_lost(yard)
    pairs = [(row.chance, row.days_late <= 0) for row in rows if row.chance is not None and row.days_late is not None]
    found = groups(pairs)
    changes = EstimateChange.objects.select_related("way__job__package", "changed_by")
    return HonestPage(
        months=_by_month(rows, lost),
        kinds=tuple(_kept(name, each) for name, each in _by_kind(rows)),
        hours=tuple(_hours_row(each) for each in hours_measured()),
        groups=found,
        table=tuple(_group_row(each) for each in found),
        picture=lay_out(tuple(_point(each) for each in found)) if found else None,
        counted=len(pairs),
        few=len(pairs) < ENOUGH,
        enough=ENOUGH,
        changes=tuple(changes[:CHANGES_SHOWN]),
        tried=read_tried(),
    )


def _by_month(rows: Sequence[Outcome], lost: dict[date, int]) -> tuple[Kept, ...]:
    firsts = sorted({row.done.replace(day=1) for row in rows} | set(lost), reverse=True)
    return tuple(
        _kept(said(first, "F Y"), [row for row in rows if row.done.replace(day=1) == first], lost.get(first, 0))
        for first in firsts
    )


def _by_kind(rows: Sequence[Outcome]) -> list[tuple[str, list[Outcome]]]:
    found: dict[str, list[Outcome]] = {}
    for row in rows:
        found.setdefault(row.order.package.name if row.order.package is not None else row.order.name, []).append(row)
    return sorted(found.items())


def _kept(what: str, rows: Sequence[Outcome], lost: int | None = None) -> Kept:
    late = [row.days_late for row in rows if row.days_late is not None]
    firm = [row for row in rows if row.firm is not None]
    worst = max(late, default=0)
    words = "–"
    if late:
        words = _("{middle} in the middle, {worst} at worst").format(
            middle=max(0, round(median(late))), worst=max(0, worst)
        )
    return Kept(
        what=what,
        done=len(rows),
        promised=len(late),
        kept=sum(days <= 0 for days in late),
        late_days=words,
        firm=len(firm),
        firm_kept=sum(row.firm is not None and row.done <= row.firm for row in firm),
        lost=lost,
    )


def _hours_row(each: Hours) -> HoursRow:
    return HoursRow(
        hours=each,
        estimated=hours_words(round(each.estimated_min)),
        measured=hours_words(round(each.measured_min)),
        ratio=number(each.ratio, 2),
        now=hours_words(each.way.duration_min),
        suggested=hours_words(each.suggested_min) if each.suggested_min is not None else "",
    )


def _group_row(group: Group) -> GroupRow:
    chances = _("{least} to {most}, {middle} in the middle").format(
        least=f"{group.from_chance:.0%}", most=f"{group.to_chance:.0%}", middle=f"{group.said:.0%}"
    )
    between = _("{least} and {most}").format(least=f"{group.low:.0%}", most=f"{group.high:.0%}")
    return GroupRow(chances, group.count, group.kept, between)


def _point(group: Group) -> CalibrationPoint:
    return CalibrationPoint(group.said, group.share, group.low, group.high, group.count)
