"""The one writer of inspections: what was looked over or renewed, by whom, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Gear, Inspection, Interval
from yard.queries.due import Subject, key_of
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign


class InspectionRefused(Exception):
    """This cannot be; the text says why and what to do. Nothing was saved."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What somebody found. by_whom: a person of the yard, a contractor, a service."""

    done_on: date
    by_whom: str
    result: str
    note: str = ""


@transaction.atomic
def record_inspection(
    interval: Interval,
    subject: Subject,
    looked: Looked,
    *,
    form_key: UUID | None,
    by: User | None,
    now: datetime,
    today: date,
) -> Inspection:
    """The same form sent twice is one. Gear that is not fit for use is marked so. Raises InspectionRefused."""
    bump_facts()
    if form_key is not None and (same := Inspection.objects.filter(form_key=form_key).first()) is not None:
        return same
    if looked.done_on > today:
        raise InspectionRefused(_("{day} is still to come: write down what was done.").format(day=looked.done_on))
    if looked.result not in Inspection.Result.values:
        raise InspectionRefused(_("Say what was found."))
    if not looked.by_whom.strip():
        raise InspectionRefused(_("Say who looked it over."))
    row = Inspection(
        interval=interval,
        done_on=looked.done_on,
        by_whom=looked.by_whom.strip()[:80],
        result=looked.result,
        note=looked.note.strip()[:300],
        recorded_by=by,
        recorded_at=now,
        form_key=form_key,
        **{key_of(subject): subject},
    )
    row.full_clean()
    row.save()
    if isinstance(subject, Gear):
        _mark(subject, looked.result, by, now)
    return row


def _mark(gear: Gear, result: str, by: User | None, now: datetime) -> None:
    """Not fit: out of use until somebody qualified finds it good, or it is renewed."""
    out = result == Inspection.Result.FAILED
    if gear.out_of_use != out:
        gear.out_of_use = out
        sign(gear, by=by, now=now, reason=_("not fit for use") if out else _("found fit for use"))
        gear.save()


@transaction.atomic
def withdraw_inspection(row: Inspection, *, by: User | None, now: datetime) -> None:
    """Written by mistake: it stays on file and counts no more. Raises InspectionRefused if it is withdrawn already."""
    bump_facts()
    if Inspection.objects.filter(pk=row.pk, withdrawn_at=None).update(withdrawn_at=now, withdrawn_by=by) != 1:
        raise InspectionRefused(_("Somebody withdrew it already."))
    if row.gear is not None:
        last = row.gear.inspections.filter(withdrawn_at=None).order_by("-done_on", "-id").first()
        _mark(row.gear, last.result if last is not None else Inspection.Result.GOOD, by, now)
