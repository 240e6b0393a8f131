"""A repair list as its page shows it: each line with its answer, and what was approved in all."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from yard.models import RepairLine, RepairList
from yard.queries.accounts import called
from yard.web.history import Change, changes_of
from yard.web.orders.words import hours_words
from yard.web.repairs.forms import HOW


@dataclass(frozen=True)
class LineRow:
    """One line. answered: who said so, how and when it was written down."""

    line: RepairLine
    hours: str
    answered: str


@dataclass(frozen=True)
class ListPage:
    """lines: those that stand; gone: those taken out. to_make: how many are approved and no job yet."""

    row: RepairList
    lines: tuple[LineRow, ...]
    gone: tuple[RepairLine, ...]
    asked: Decimal
    approved: Decimal
    to_make: int
    not_asked: int
    changes: tuple[Change, ...]


def list_page(row: RepairList, *, sees_owners: bool) -> ListPage:
    """Three queries, however many lines. sees_owners: whether the reader may read who answered."""
    lines = list(row.lines.select_related("kind", "photograph", "recorded_by", "job__order").order_by("id"))
    stands = [line for line in lines if line.taken_out_at is None]
    approved = [line for line in stands if line.answer == RepairLine.Answer.APPROVED]
    return ListPage(
        row=row,
        lines=tuple(LineRow(line, hours_words(line.minutes), _answered(line, sees_owners)) for line in stands),
        gone=tuple(line for line in lines if line.taken_out_at is not None),
        asked=_sum(stands),
        approved=_sum(approved),
        to_make=sum(1 for line in approved if line.job_id is None),
        not_asked=sum(1 for line in stands if not line.answer),
        changes=changes_of(row),
    )


def _sum(lines: list[RepairLine]) -> Decimal:
    return sum((line.price for line in lines if line.price is not None), Decimal())


def _answered(line: RepairLine, sees_owners: bool) -> str:
    if not line.answer or line.answered_at is None:
        return ""
    how = str(dict(HOW).get(line.said_how, line.said_how))
    said = " ".join(each for each in (line.said_by if sees_owners else "", how) if each)
    if not line.recorded_by:
        return said
    return _("{said}, written down by {who}").format(said=said, who=called(line.recorded_by))
