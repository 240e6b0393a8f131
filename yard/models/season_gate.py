"""The rows of a closed season refuse every change, whoever writes them.

A row is of the season of its order. Hours, materials and extras are also of the day on which they were worked: a day
before the season was closed stays as the bookkeeper has it, though the order was carried on.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models.signals import pre_delete, pre_save
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models.canvas import CanvasPanel, CanvasPiece, CanvasProgress
from yard.models.cloth import Purchase, TakeOff
from yard.models.day_work import ExtraWork, MaterialUsed
from yard.models.facts import Fact
from yard.models.held_days import HeldDays
from yard.models.install import Season, YardSettings
from yard.models.option_sheets import SheetChoice
from yard.models.orders import Job, JobLink, JobWay, JobWork, Order, Pin, Stay, Waiver
from yard.models.trips import Trip

WAY_TO_ORDER: dict[type[models.Model], tuple[str, ...]] = {
    Order: (),
    Job: ("order",),
    JobWay: ("job", "order"),
    JobLink: ("after", "order"),
    Stay: ("order",),
    Pin: ("job", "order"),
    Waiver: ("job", "order"),
    JobWork: ("job", "order"),
    MaterialUsed: ("job", "order"),
    ExtraWork: ("job", "order"),
    Fact: ("order",),
    HeldDays: ("order",),
    Trip: ("order",),
    SheetChoice: ("order",),
    CanvasPiece: ("order",),
    CanvasPanel: ("piece", "order"),
    CanvasProgress: ("piece", "order"),
    TakeOff: ("order",),
    Purchase: ("order",),
}
"""From a row to its order. A link is of the order whose job waits."""
DAY_OF: dict[type[models.Model], str] = {JobWork: "worked_on", MaterialUsed: "used_on", ExtraWork: "done_on"}


class SeasonClosed(Exception):
    """The row is of a closed season; the text says which, since when, and the remedy. Nothing was saved."""

    def __init__(self, season: Season, words: str = "") -> None:
        super().__init__(words or closed_words(season))
        self.season = season


def closed_words(season: Season) -> str:
    """Why nothing of it is changed, and the remedy."""
    if season.closed_at is None:
        return _(
            "{season} is closed, and nothing of it is changed. A planner can open it again, with a reason."
        ).format(season=season)
    return _(
        "{season} is closed since {day}, and nothing of it is changed. A planner can open it again, with a reason."
    ).format(season=season, day=said(_local_day(season), "j F Y"))


def closed_season_of(row: models.Model) -> Season | None:
    """The closed season that a row is of, or goes to, or its stored state is of; None where it may be changed."""
    order = _order_of(row)
    if order is None:
        return _closed_on(row)
    ids = {order.season_id} if order.season_id is not None else set()
    closed = Season.objects.filter(closed_at__isnull=False)
    if ids and (season := closed.filter(pk__in=ids).first()) is not None:
        return season
    if isinstance(row, Order) and row.pk is not None:
        return closed.filter(orders=row.pk).first()
    return _closed_on(row)


def demand_open_seasons(rows: Iterable[models.Model]) -> None:
    """For rows that are written many at once, past the signals. Raises SeasonClosed."""
    rows = list(rows)
    if not rows or type(rows[0]) not in WAY_TO_ORDER or not _any_closed():
        return
    for row in rows:
        if (season := closed_season_of(row)) is not None:
            raise SeasonClosed(season)


def _any_closed() -> bool:
    """One query, and the only one of a yard that has closed no season yet."""
    return Season.objects.filter(closed_at__isnull=False).exists()


def connect() -> None:
    """Called once, when the app is ready."""
    for model in WAY_TO_ORDER:
        pre_save.connect(_refuse, sender=model, dispatch_uid=f"season_gate_save_{model.__name__}")
        pre_delete.connect(_refuse, sender=model, dispatch_uid=f"season_gate_delete_{model.__name__}")


def _refuse(sender: type[models.Model], instance: models.Model, **kwargs: Any) -> None:
    """A row that only learns another name of its boat (two on file were one) is let through: what was done stays."""
    if kwargs.get("raw") or getattr(instance, "only_named_anew", False) or not _any_closed():
        return
    if (season := closed_season_of(instance)) is not None:
        raise SeasonClosed(season)


def _order_of(row: models.Model) -> Order | None:
    found: Any = row
    for step in WAY_TO_ORDER[type(row)]:
        if getattr(found, f"{step}_id") is None:
            return None
        found = getattr(found, step)
    return found if isinstance(found, Order) else None


def _closed_on(row: models.Model) -> Season | None:
    """The closed season that the row's day is booked in: before it was closed, and in no season that is open."""
    name = DAY_OF.get(type(row))
    day = getattr(row, name) if name else None
    if not isinstance(day, date):
        return None
    of_day = list(Season.objects.filter(starts_on__lte=day, ends_on__gt=day))
    if not of_day or any(season.closed_at is None for season in of_day):
        return None
    return next((season for season in of_day if day < _local_day(season)), None)


def _local_day(season: Season) -> date:
    assert season.closed_at is not None
    zone = YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC"
    return season.closed_at.astimezone(ZoneInfo(zone)).date()
