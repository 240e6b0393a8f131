"""Kinds of job as a list, and one with the packages and open jobs that it reaches, and its history."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import msgspec
from django.db.models import Count, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from yard.models import Job, JobKind, Order, PackageJob, Trade, YardSettings
from yard.services.keep_kind import KIND
from yard.services.package_files import Part
from yard.services.weather_limits import WORK_OF, limits_of
from yard.web.boats.weather import limit_figures
from yard.web.keeping.saying import Sayer, history_of
from yard.web.orders.words import need_words
from yard.web.packages.parts import parts_shown

OPEN = Q(jobs__state=Job.State.OPEN, jobs__order__state=Order.State.OPEN)


@dataclass(frozen=True)
class KindRow:
    """needs: water, light and weather in words. jobs: open ones; packages: that name it."""

    kind: JobKind
    needs: str
    jobs: int
    packages: int


@dataclass(frozen=True)
class TradeKinds:
    """The kinds of one trade; of all trades, those that are not used any more."""

    called: str
    rows: tuple[KindRow, ...]


def kinds_by_trade() -> tuple[TradeKinds, ...]:
    """One query."""
    kinds = JobKind.objects.annotate(
        open_jobs=Count("jobs", filter=OPEN, distinct=True), in_packages=Count("package_jobs__package", distinct=True)
    ).order_by("name", "id")
    rows = [KindRow(row, _needs(row), row.open_jobs, row.in_packages) for row in kinds]
    trades = [
        (str(label), [row for row in rows if (row.kind.trade, row.kind.archived) == (trade, False)])
        for trade, label in Trade.choices
    ]
    trades.append((_("not used any more"), [row for row in rows if row.kind.archived]))
    return tuple(TradeKinds(label, tuple(of_trade)) for label, of_trade in trades if of_trade)


def kind_sayer() -> Sayer:
    return Sayer(KIND, feet=False, says={"parts": _parts_words})


def _parts_words(parts: Any) -> str:
    return parts_shown(msgspec.convert(parts, list[Part])).replace("\n", "; ")


def about_kind(kind: JobKind | None, yard: YardSettings) -> dict[str, object]:
    """What stands beside its form; nothing for one that is new."""
    if kind is None:
        return {}
    history = history_of(kind, kind_sayer(), lambda past: reverse("kind_put_back", args=[kind.pk, past]))
    return {"limits": limits_words(kind, yard), "packages": packages_of(kind), "history": history, "row": kind}


def limits_words(kind: JobKind, yard: YardSettings) -> str:
    """What weather it bears by the yard's limits; "" where any will do."""
    work = WORK_OF.get(kind.weather_class)
    return "" if work is None else ", ".join(limit_figures(limits_of(yard)[work], yard))


def packages_of(kind: JobKind) -> list[PackageJob]:
    """Where packages name it. One query."""
    return list(kind.package_jobs.select_related("package").order_by("package__name", "sequence", "id"))


def _needs(kind: JobKind) -> str:
    words = [
        need_words(water=kind.water_need, weather=kind.weather_class, light=kind.needs_light),
        _("never alone") if kind.not_alone else "",
    ]
    return ", ".join(each for each in words if each)
