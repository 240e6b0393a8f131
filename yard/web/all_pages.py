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
                Page("My day", reverse("phone_day"), "the crew's phone page: what now, what then, finished, stopped"),
                Page("Owners' runs", reverse("runs_today"), "who is carried out to her or back, between the tows"),
                Page("Close the day", reverse("day_close", kwargs=day), "what differed, what was used, tomorrow"),
                Page("Plans", reverse("plans"), "versions: drafts to check and post, what hung there before"),
                Page("Ways back", reverse("ways_back"), "late boats, why, and what would bring each back"),
                Page("What if?", reverse("what_ifs"), "a copy of the season with one change, planned beside it"),
                Page("What happened?", reverse("proposal_new"), "a day is lost, somebody ill: what would move"),
                Page("Changes by hand", reverse("by_hand"), "what was moved by hand and is not posted yet"),
                Page("What changed", reverse("changed"), "since yesterday: what moved, why, by whom"),
                Page("A storm", reverse("storms"), "the list of what to do for each boat afloat"),
                Page("Forecast", reverse("forecast"), "the hours that work, and where they come from"),
            ),
        ),
        Group("Help", (Page("Help", reverse("help"), "for planner, crew and office; how each number is computed"),)),
        Group("Find", (Page("Find anything", reverse("find"), "boat, number, sail, bag tag, mooring, order, person"),)),
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
                Page("Owners", reverse("owners"), "who owns which boat, and how they are reached"),
                Page("Add an owner", reverse("owner_new"), "a name is enough to begin with"),
                Page("Whose boat", reverse("share_new"), "an owner of a boat from a day on"),
                Page("Moorings", reverse("moorings"), "depth, tackle and permit of each"),
                Page("Add a mooring", reverse("mooring_new"), "by its number, the rest when it is known"),
                Page(
                    "On file twice?", reverse("duplicates"), "boats and owners that look alike, to merge or tell apart"
                ),
                Page("Store", reverse("store"), "who stands where, row by row"),
                Page(
                    "Store plan", reverse("store_plan"), "who is to stand where, so that spring needs few extra moves"
                ),
                Page("Spar racks", reverse("spar_plan"), "which mast goes on which level"),
                Page("Autumn", reverse("autumn"), "haul, wash and winterising beside the first freeze; rows and racks"),
                Page("Things", reverse("things"), "sails, covers, masts, keys: whose, and where"),
                Page("Add a thing", reverse("thing_new"), "a sail, a cover, cushions, keys"),
                Page("Orders", reverse("orders"), "what owners asked for"),
                Page("New order", reverse("order_new"), "a package for a boat"),
                Page(
                    "When could it be done?",
                    reverse("when"),
                    "the earliest day, the day to count on, and to keep it for a caller",
                ),
                Page("Held for callers", reverse("held_days"), "days that nobody else is told, and until when"),
                Page("Walk-in", reverse("walk_in"), "somebody at the door, no boat on file"),
                Page("The same again", reverse("orders_again"), "last year's orders, taken in bulk"),
                Page("Packages", reverse("packages"), "the jobs of each kind of order"),
                Page("New package", reverse("package_new"), "a kind of order of the yard's own"),
                Page("Kinds of job", reverse("kinds"), "marks, weather, water, cautions"),
                Page("New kind of job", reverse("kind_new"), "work that no kind on file names"),
                Page("Product data sheets", reverse("products"), "paint, sealant, varnish: limits and waits"),
                Page("New data sheet", reverse("product_new"), "typed off the maker's own"),
                Page("Canvas in work", reverse("canvas"), "covers, dodgers, cushions: how far each piece has come"),
                Page("Buying list", reverse("buying"), "cloth and foam to order by when, what is late and for whom"),
                Page("Cloth and foam", reverse("materials"), "materials, suppliers, what lies in the yard"),
                Page("Add a material", reverse("material_new"), "cloth by the roll, foam by the sheet"),
                Page("Add a supplier", reverse("supplier_new"), "who sells it, and how long it takes"),
                Page("Options of canvas", reverse("canvas_options"), "what each adds in hours and cloth"),
                Page("Add an option of canvas", reverse("canvas_option_new"), "the yard's own way of making a piece"),
                Page("Sails", reverse("sails"), "damp in the bag, on the lines, to be washed in winter"),
                Page("What falls due", reverse("due"), "rigs, tackle, slings, extinguishers, made into orders"),
                Page("Intervals", reverse("intervals"), "how often each is looked over or renewed, and by whose word"),
                Page("Add an interval", reverse("interval_new"), "the yard's own, or a maker's"),
                Page("Gear", reverse("gear"), "slings, chains, lifting gear, extinguishers of the yard"),
                Page("Add a piece of gear", reverse("gear_new"), "its tag, its rating, since when"),
                Page("New boats", reverse("option_sheets"), "options sheets, chosen into work with a day to count on"),
                Page("Add an options sheet", reverse("option_sheet_new"), "base, options, what they need and exclude"),
                Page("Repair lists", reverse("repair_lists"), "what was found, and what owners said"),
                Page("Lists in and out", reverse("lists"), "sheets of boats, owners, orders to bring in or take out"),
            ),
        ),
        Group(
            "People",
            (
                Page("Crew", reverse("crew"), "everybody's two weeks"),
                Page("Add a person", reverse("person_new"), "name, skills, usual week"),
                Page("Skills", reverse("skills"), "what people can do, and who can"),
                Page("Who is free", reverse("day_free", kwargs=day), "today, hour by hour"),
                Page("Calendars", reverse("calendars"), "the plan in the calendar of your phone or computer"),
                Page("Owners to tell", reverse("letters"), "the morning list, and letters to read"),
                Page("Owners' answers", reverse("answers"), "what they said on their own pages"),
                Page("To all, for a storm", reverse("letters_storm"), "one message that you read, to every owner"),
                Page("The same again?", reverse("letters_winter"), "winter's question, and how full the weeks are"),
                Page("Words of letters", reverse("letter_words"), "what letters are put together from"),
                Page("How honest were we?", reverse("honest"), "promised and done, hours measured, the odds"),
            ),
        ),
        Group(
            "The yard",
            (
                Page("Seasons", reverse("seasons"), "open, closed, ended and carried into the next"),
                Page("Seasons compared", reverse("seasons_compared"), "boats, late, hours by kind, days lost"),
                Page("Add a season", reverse("season_new"), "a name and its days"),
                Page("For the bookkeeper", reverse("books"), "hours, materials and extras of any days, as sheets"),
                Page("Begin", reverse("start"), "a new yard: her floating days, then what a first plan needs"),
                Page("Settings", reverse("yard_settings"), "hours, limits, margins, words for places"),
                Page("Places", reverse("places"), "ramp, berths, lines, racks: what each takes, limits, hours"),
                Page("Add a place", reverse("place_new"), "what it takes and when"),
                Page("Compare the tide", reverse("tide_compare"), "our curve against your tide table"),
                Page("Weather allowance", reverse("allowance"), "what is set aside for lost hours"),
                Page("Accounts", reverse("accounts"), "who may sign in, and as what"),
                Page("Your account", reverse("own_account"), "second factor, where you are signed in"),
                Page("Your password", reverse("change_password"), "set a new one"),
            ),
        ),
    ]
    kept = [Group(group.title, _may_open(user, group.pages)) for group in groups]
    return [group for group in kept if group.pages]


def _may_open(user: User | AnonymousUser, pages: Sequence[Page]) -> tuple[Page, ...]:
    return tuple(page for page in pages if may(user, verb_of(page.address)))
