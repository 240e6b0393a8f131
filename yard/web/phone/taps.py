"""What a phone sends, read and checked: one tap, as a form or out of the phone's own list of what is not yet sent."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.http import QueryDict
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import Item, Job, Mooring, Place, StormLine, Tap
from yard.queries.sails import UNBEND, sails_of_jobs
from yard.services.happenings import EventRefused, LiesTonight, SailsOff
from yard.services.taps import Tapped
from yard.web.request import number_in

REASONS = (
    ("wind", gettext_lazy("wind")),
    ("rain", gettext_lazy("rain")),
    ("water", gettext_lazy("water")),
    ("part", pgettext_lazy("a thing that is missing", "part")),
    ("help", gettext_lazy("help")),
    ("other", gettext_lazy("other")),
)
LEFT = (
    (30, gettext_lazy("half an hour")),
    (60, "1 h"),
    (120, "2 h"),
    (240, gettext_lazy("half a day")),
    (480, gettext_lazy("a day")),
)
MOST_LEFT_MIN = 60 * 200


class TapNotRead(ValueError):
    """It has no key, or is of no kind: nothing can be written of it."""


def read_tap(sent: QueryDict, *, now: datetime) -> Tapped:
    """Raises TapNotRead, and EventRefused for a boat's place that is gone."""
    kind = sent.get("kind", "")
    if kind not in Tap.Kind.values:
        raise TapNotRead(_("The page is out of date: load it again."))
    job = _job(sent.get("job", ""))
    words = " ".join(sent.get("words", "").split())[:180]
    reason = sent.get("reason", "")
    at = parse_datetime(sent.get("at", ""))
    return Tapped(
        key=_key(sent.get("key", "")),
        kind=kind,
        at=at if at is not None and at.tzinfo is not None else now,
        job=job,
        line=_line(sent.get("line", "")),
        reason=_reason(reason, words),
        left_min=_minutes(sent.get("left", "")),
        lies=_lies(job, sent.get("lies", "")),
        sails=_sails(job, sent),
        of=_key(sent.get("of", "")) if sent.get("of") else None,
    )


def _reason(reason: str, words: str) -> str:
    """In words: the kind of reason, and what was typed beside it."""
    said = str(dict(REASONS).get(reason, reason))
    if reason in dict(REASONS) and reason != "other":
        return f"{said}: {words}" if words else said
    return words or said


def _key(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise TapNotRead(_("The page is out of date: load it again.")) from error


def _minutes(text: str) -> int | None:
    minutes = number_in(text)
    return minutes if 0 < minutes <= MOST_LEFT_MIN else None


def _job(text: str) -> Job | None:
    rows = Job.objects.select_related("order__boat", "kind", "order__to_mooring")
    return rows.filter(pk=number_in(text)).first() if text else None


def _line(text: str) -> StormLine | None:
    return StormLine.objects.select_related("boat").filter(pk=number_in(text)).first() if text else None


def _lies(job: Job | None, text: str) -> LiesTonight | None:
    """ "place-12" or "mooring-3" """
    if not text or job is None or job.order.boat is None:
        return None
    where, _dash, number = text.partition("-")
    if where == "mooring":
        mooring = Mooring.objects.filter(pk=number_in(number)).first()
        return LiesTonight(job.order.boat, None, mooring) if mooring is not None else None
    place = Place.objects.filter(pk=number_in(number)).first()
    if place is None:
        raise EventRefused(_("That place is gone: choose another for tonight."))
    return LiesTonight(job.order.boat, place)


def _sails(job: Job | None, sent: QueryDict) -> SailsOff | None:
    """`sails` is "dry" or "damp" for all that came off, or "each": then `sail-12` says so of each.

    A boat of whose sails none is on file gets one, so that what was said of it is not lost.
    """
    said = sent.get("sails", "")
    if job is None or job.kind.key != UNBEND or said not in ("dry", "damp", "each"):
        return None
    sails = sails_of_jobs([job])[job.pk] or (Item(boat=job.order.boat, kind=Item.Kind.SAIL, name="sails"),)
    told = [(sail, said if said != "each" else sent.get(f"sail-{sail.pk}", "")) for sail in sails]
    if any(how not in ("dry", "damp") for _sail, how in told):
        raise EventRefused(_("Say of each sail whether it came off dry or damp."))
    return SailsOff(
        dry=tuple(sail for sail, how in told if how == "dry"),
        damp=tuple(sail for sail, how in told if how == "damp"),
    )
