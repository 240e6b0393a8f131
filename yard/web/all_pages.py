"""Every page of the tool that a person may open, in groups, with what each is for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import AnonymousUser, User
from django.urls import reverse
from django.utils import timezone

from yard.web.access import may, verb_of


@dataclass(frozen=True)
class Page:
    """`label` links to `address`; `about` says in a few words what is found there."""

    label: str
    address: str
    about: str


@dataclass(frozen=True)
class Group:
    title: str
    pages: tuple[Page, ...]


def all_pages(user: User | AnonymousUser, *, now: datetime) -> list[Group]:
    """The groups that hold a page for this person. No query beyond the one for the person's role."""
    today = timezone.localtime(now).date()
    day, month = {"day": f"{today:%Y-%m-%d}"}, {"year": today.year, "month": today.month}
    groups = [
        Group(
            "The plan",
            (
                Page("Season", reverse("season"), "who is late and why, a lane for each boat"),
                Page("Launches", reverse("launches"), "two weeks, tide by tide"),
                Page("Today", reverse("day_today"), "the day sheet"),
                Page("Plans", reverse("plans"), "versions: drafts to check and post, what hung there before"),
                Page("A day is lost", reverse("proposal_new"), "close it, and read what would move"),
            ),
        ),
        Group(
            "Tides",
            (
                Page("Tide of today", reverse("tides_day", kwargs=day), "heights, water for a draft, read the gauge"),
                Page("Tides of the month", reverse("tides_month", kwargs=month), "every high water on one sheet"),
            ),
        ),
        Group(
            "Boats and orders",
            (
                Page("Boats", reverse("boats"), "each boat: when she goes, what she waits on"),
                Page("Add a boat", reverse("boat_new"), "by name, draft and size, the rest when it is known"),
                Page("Store", reverse("store"), "who stands where, row by row"),
                Page("Orders", reverse("orders"), "what owners asked for"),
                Page("New order", reverse("order_new"), "a package for a boat"),
                Page("Walk-in", reverse("walk_in"), "somebody at the door, no boat on file"),
                Page("The same again", reverse("orders_again"), "last year's orders, taken in bulk"),
                Page("Packages", reverse("packages"), "the jobs of each kind of order"),
                Page("New package", reverse("package_new"), "a kind of order of the yard's own"),
                Page("Product data sheets", reverse("products"), "paint, sealant, varnish: limits and waits"),
                Page("New data sheet", reverse("product_new"), "typed off the maker's own"),
                Page("Repair lists", reverse("repair_lists"), "what was found, and what owners said"),
                Page("Lists in and out", reverse("lists"), "sheets of boats, owners, orders to bring in or take out"),
            ),
        ),
        Group(
            "People",
            (
                Page("Crew", reverse("crew"), "everybody's two weeks"),
                Page("Who is free", reverse("day_free", kwargs=day), "today, hour by hour"),
                Page("Calendars", reverse("calendars"), "the plan in the calendar of your phone or computer"),
                Page("Owners to tell", reverse("letters"), "the morning list"),
            ),
        ),
        Group(
            "The yard",
            (
                Page("Settings", reverse("yard_settings"), "hours, limits, margins, words for places"),
                Page("Compare the tide", reverse("tide_compare"), "our curve against your tide table"),
                Page("Weather allowance", reverse("allowance"), "what is set aside for lost hours"),
                Page("Accounts", reverse("accounts"), "who may sign in, and as what"),
                Page("Your password", reverse("change_password"), "set a new one"),
            ),
        ),
    ]
    kept = [Group(group.title, _may_open(user, group.pages)) for group in groups]
    return [group for group in kept if group.pages]


def _may_open(user: User | AnonymousUser, pages: Sequence[Page]) -> tuple[Page, ...]:
    return tuple(page for page in pages if may(user, verb_of(page.address)))
