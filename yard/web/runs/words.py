"""Owners' runs in words, for the sheets and pages on which people's days stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import OwnersRun
from yard.queries.runs import carried
from yard.web.units import local


@dataclass(frozen=True)
class RunLine:
    """A run of one day. what: whom it carries, by boat; url: the day's runs."""

    starts: str
    ends: str
    place: str
    what: str
    people: str
    url: str

    @property
    def caution(self) -> str:
        return _("Lifejackets; no more aboard than seats; say ashore where you go and until when.")


def run_lines(runs: Iterable[OwnersRun], day: date, *, of: int | None = None) -> tuple[RunLine, ...]:
    """Of that day by the yard's clock. of: a person's id, left out of the names and asked to be of the run."""
    return tuple(
        RunLine(
            starts=said(local(run.leaves_at), "H:i"),
            ends=said(local(run.back_at), "H:i"),
            place=run.place.name,
            what=carried(run.wishes.all()) or _("nobody yet"),
            people=", ".join(each.short_name for each in run.people.all() if each.pk != of),
            url=reverse("runs_day", kwargs={"day": day.isoformat()}),
        )
        for run in runs
        if local(run.leaves_at).date() == day and (of is None or any(each.pk == of for each in run.people.all()))
    )
