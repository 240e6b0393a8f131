"""Kinds of job as a list, and one with the packages and open jobs that it reaches, and its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import msgspec
from django.db.models import Count, Q

from yard.models import Job, JobKind, Order, PackageJob, YardSettings
from yard.services.keep_kind import FIELDS
from yard.services.package_files import Part
from yard.services.weather_limits import WORK_OF, limits_of
from yard.web.boats.weather import limit_figures
from yard.web.history import newest_history, who_did
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
class PastKind:
    """One change. differs: what it changed, in words; way_back: whether it is other than what stands."""

    history_id: int
    at: datetime
    who: str
    why: str
    differs: tuple[str, ...]
    way_back: bool


def kind_rows() -> tuple[KindRow, ...]:
    """One query."""
    rows = JobKind.objects.annotate(
        open_jobs=Count("jobs", filter=OPEN, distinct=True), in_packages=Count("package_jobs__package", distinct=True)
    ).order_by("archived", "trade", "name", "id")
    return tuple(KindRow(row, _needs(row), row.open_jobs, row.in_packages) for row in rows)


def limits_words(kind: JobKind, yard: YardSettings) -> str:
    """What weather it bears by the yard's limits; "" where any will do."""
    work = WORK_OF.get(kind.weather_class)
    return "" if work is None else ", ".join(limit_figures(limits_of(yard)[work], yard))


def packages_of(kind: JobKind) -> list[PackageJob]:
    """Where packages name it. One query."""
    return list(kind.package_jobs.select_related("package").order_by("package__name", "sequence", "id"))


def past_of(kind: JobKind) -> tuple[PastKind, ...]:
    """Its last twenty changes, the newest first. One query."""
    rows = newest_history(kind, 21)
    found = []
    for number, row in enumerate(rows[:20]):
        before = rows[number + 1] if number + 1 < len(rows) else None
        found.append(
            PastKind(
                history_id=row.history_id,
                at=row.history_date,
                who=who_did(row),
                why=row.history_change_reason or "changed",
                differs=_differs(before, row) if before is not None else (),
                way_back=any(getattr(row, name) != getattr(kind, name) for name in FIELDS),
            )
        )
    return tuple(found)


def _differs(one: Any, two: Any) -> tuple[str, ...]:
    return tuple(
        f"{name.replace('_', ' ')}: {_said(one, name)} → {_said(two, name)}"
        for name in FIELDS
        if getattr(one, name) != getattr(two, name)
    )


def _said(row: Any, name: str) -> str:
    value = getattr(row, name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name == "parts":
        return parts_shown(msgspec.convert(value, list[Part])).replace("\n", "; ") or "none"
    shown = getattr(row, f"get_{name}_display", None)
    return str(shown() if shown else value) or "nothing"


def _needs(kind: JobKind) -> str:
    words = [
        need_words(water=kind.water_need, weather=kind.weather_class, light=kind.needs_light),
        "never alone" if kind.not_alone else "",
    ]
    return ", ".join(each for each in words if each)
