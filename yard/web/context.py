"""What every page shows around itself: the yard's name, its pages, its clock and the plan on the wall."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Any, NamedTuple

from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import Plan
from yard.web.access import VERBS, Verb, may, verb_of
from yard.web.help.topics import BY_PAGE
from yard.web.middleware import read_yard
from yard.web.request import YardRequest
from yard.web.scripts_words import words_at

TABS = (
    (gettext_lazy("Season"), "season"),
    (gettext_lazy("Launches"), "launches"),
    (gettext_lazy("Days"), "day_today"),
    (gettext_lazy("Boats"), "boats"),
    (gettext_lazy("Orders"), "orders"),
    (gettext_lazy("Crew"), "crew"),
    (gettext_lazy("Letters"), "letters"),
    (gettext_lazy("Yard"), "yard_settings"),
    (gettext_lazy("More"), "more"),
)
ON_A_PHONE = frozenset({"season", "launches", "day_today", "boats", "more"})
"""The tabs that fit a phone's width; the others are one press further, behind "More"."""


class Tab(NamedTuple):
    label: str
    address: str
    current: bool  # this page belongs to it
    on_a_phone: bool  # it stands in the bar of a phone too


def yard(request: YardRequest) -> dict[str, Any]:
    """At most two queries: the yard's settings (the middleware has them already) and the posted plan, if shown.

    A page asks once for itself and once for each list on it: it is made once a request.
    """
    kept: dict[str, Any] | None = getattr(request, "_around_the_page", None)
    if kept is None:
        kept = _around(request)
        request._around_the_page = kept  # type: ignore[attr-defined]  # a note of our own on Django's object
    return kept


def _around(request: YardRequest) -> dict[str, Any]:
    settings = read_yard(request)
    now: datetime = request.yard_now
    signed_in = request.user.is_authenticated
    frozen = settings.clock_frozen_at is not None
    return {
        "yard_name": settings.name,
        "words_at": words_at(),
        # Instead of Django's own, which asks each backend each time.
        "perms": {"yard": {verb: may(request.user, verb) for verb in VERBS}},
        "tabs": tabs(request) if signed_in else [],
        "yard_now": clock_words(now) if signed_in else "",
        "posted_plan": SimpleLazyObject(lambda: posted_words(_on_the_wall(), now)) if signed_in else "",
        "help_at": help_at(request) if signed_in else "",
        "example_note": _("This is an example yard. Its clock stands still at {now}.").format(now=clock_words(now))
        if frozen
        else "",
    }


def help_at(request: YardRequest) -> str:
    """What is said of this page in the help, else the help itself."""
    page = request.resolver_match.url_name if request.resolver_match is not None else None
    topic = BY_PAGE.get(page or "")
    return reverse("help") if topic is None else reverse("help_topic", args=[topic])


def tabs(request: YardRequest) -> list[Tab]:
    """Those of the pages that exist and that this person may open."""
    found = []
    for label, name in TABS:
        try:
            address = reverse(name)
        except NoReverseMatch:
            continue
        if may(request.user, _verb(address)):
            found.append((label, address, name in ON_A_PHONE))
    current = max((address for _, address, _ in found if _holds(address, request.path)), key=len, default="")
    return [Tab(str(label), address, address == current, on_a_phone) for label, address, on_a_phone in found]


@lru_cache(maxsize=64)
def _verb(address: str) -> Verb:
    """Of one of a few addresses that every page leads to: which view answers there changes with the program alone."""
    return verb_of(address)


def _holds(address: str, path: str) -> bool:
    return path == address or (address != "/" and path.startswith(address.rstrip("/") + "/"))


def clock_words(at: datetime) -> str:
    """Thu 6 May 2027, 13:40, in the zone of the page."""
    local = timezone.localtime(at)
    return said(local, "D j M Y, H:i")


def _on_the_wall() -> Plan | None:
    """With what the words want of it. One query."""
    return Plan.objects.filter(state=Plan.State.POSTED).only("number", "posted_at").first()


def said_of_plan(plan: Plan | None, now: datetime) -> dict[str, str]:
    """For the context of a view that has read the plan on the wall: so the page does not ask for it again."""
    return {"posted_plan": posted_words(plan, now)}


def posted_words(plan: Plan | None, now: datetime) -> str:
    """Plan 14, posted Thu 6 May 2027, 06:45; the hour alone if that was today."""
    if plan is None or plan.posted_at is None:
        return _("No plan posted")
    at = timezone.localtime(plan.posted_at)
    today = at.date() == timezone.localtime(now).date()
    return (
        _("Plan {plan}, posted {at}").format(plan=plan.number, at=said(at, "H:i"))
        if today
        else _("Plan {plan}, posted {at}").format(plan=plan.number, at=clock_words(at))
    )
