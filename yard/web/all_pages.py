"""Every page of the tool that a person may open, in groups, with what each is for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import AnonymousUser, User
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

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
            _("The plan"),
            (
                Page(_("Season"), reverse("season"), _("who is late and why, a lane for each boat")),
                Page(_("Launches"), reverse("launches"), _("two weeks, tide by tide")),
                Page(_("Today"), reverse("day_today"), _("the day sheet")),
                Page(
                    _("My day"),
                    reverse("phone_day"),
                    _("the crew's phone page: what now, what then, finished, stopped"),
                ),
                Page(
                    _("Owners' runs"), reverse("runs_today"), _("who is carried out to her or back, between the tows")
                ),
                Page(_("Close the day"), reverse("day_close", kwargs=day), _("what differed, what was used, tomorrow")),
                Page(_("Plans"), reverse("plans"), _("versions: drafts to check and post, what hung there before")),
                Page(_("Ways back"), reverse("ways_back"), _("late boats, why, and what would bring each back")),
                Page(_("What if?"), reverse("what_ifs"), _("a copy of the season with one change, planned beside it")),
                Page(_("What happened?"), reverse("proposal_new"), _("a day is lost, somebody ill: what would move")),
                Page(_("Changes by hand"), reverse("by_hand"), _("what was moved by hand and is not posted yet")),
                Page(_("What changed"), reverse("changed"), _("since yesterday: what moved, why, by whom")),
                Page(_("A storm"), reverse("storms"), _("the list of what to do for each boat afloat")),
                Page(_("Forecast"), reverse("forecast"), _("the hours that work, and where they come from")),
            ),
        ),
        Group(
            _("Help"),
            (Page(_("Help"), reverse("help"), _("for planner, crew and office; how each number is computed")),),
        ),
        Group(
            _("Find"),
            (Page(_("Find anything"), reverse("find"), _("boat, number, sail, bag tag, mooring, order, person")),),
        ),
        Group(
            _("Tides"),
            (
                Page(
                    _("Tide of today"),
                    reverse("tides_day", kwargs=day),
                    _("heights, water for a draft, read the gauge"),
                ),
                Page(_("Tides of the month"), reverse("tides_month", kwargs=month), _("every high water on one sheet")),
            ),
        ),
        Group(
            _("Boats and orders"),
            (
                Page(_("Boats"), reverse("boats"), _("each boat: when she goes, what she waits on")),
                Page(_("Add a boat"), reverse("boat_new"), _("by name, draft and size, the rest when it is known")),
                Page(_("Owners"), reverse("owners"), _("who owns which boat, and how they are reached")),
                Page(_("Add an owner"), reverse("owner_new"), _("a name is enough to begin with")),
                Page(_("Whose boat"), reverse("share_new"), _("an owner of a boat from a day on")),
                Page(_("Moorings"), reverse("moorings"), _("depth, tackle and permit of each")),
                Page(_("Add a mooring"), reverse("mooring_new"), _("by its number, the rest when it is known")),
                Page(
                    _("On file twice?"),
                    reverse("duplicates"),
                    _("boats and owners that look alike, to merge or tell apart"),
                ),
                Page(_("Store"), reverse("store"), _("who stands where, row by row")),
                Page(
                    _("Store plan"),
                    reverse("store_plan"),
                    _("who is to stand where, so that spring needs few extra moves"),
                ),
                Page(_("Spar racks"), reverse("spar_plan"), _("which mast goes on which level")),
                Page(
                    _("Autumn"),
                    reverse("autumn"),
                    _("haul, wash and winterising beside the first freeze; rows and racks"),
                ),
                Page(_("Things"), reverse("things"), _("sails, covers, masts, keys: whose, and where")),
                Page(_("Add a thing"), reverse("thing_new"), _("a sail, a cover, cushions, keys")),
                Page(_("Orders"), reverse("orders"), _("what owners asked for")),
                Page(_("New order"), reverse("order_new"), _("a package for a boat")),
                Page(
                    _("When could it be done?"),
                    reverse("when"),
                    _("the earliest day, the day to count on, and to keep it for a caller"),
                ),
                Page(_("Held for callers"), reverse("held_days"), _("days that nobody else is told, and until when")),
                Page(_("Walk-in"), reverse("walk_in"), _("somebody at the door, no boat on file")),
                Page(_("The same again"), reverse("orders_again"), _("last year's orders, taken in bulk")),
                Page(_("Packages"), reverse("packages"), _("the jobs of each kind of order")),
                Page(_("New package"), reverse("package_new"), _("a kind of order of the yard's own")),
                Page(_("Kinds of job"), reverse("kinds"), _("marks, weather, water, cautions")),
                Page(_("New kind of job"), reverse("kind_new"), _("work that no kind on file names")),
                Page(_("Product data sheets"), reverse("products"), _("paint, sealant, varnish: limits and waits")),
                Page(_("New data sheet"), reverse("product_new"), _("typed off the maker's own")),
                Page(
                    _("Canvas in work"), reverse("canvas"), _("covers, dodgers, cushions: how far each piece has come")
                ),
                Page(
                    _("Buying list"), reverse("buying"), _("cloth and foam to order by when, what is late and for whom")
                ),
                Page(_("Cloth and foam"), reverse("materials"), _("materials, suppliers, what lies in the yard")),
                Page(_("Add a material"), reverse("material_new"), _("cloth by the roll, foam by the sheet")),
                Page(_("Add a supplier"), reverse("supplier_new"), _("who sells it, and how long it takes")),
                Page(_("Options of canvas"), reverse("canvas_options"), _("what each adds in hours and cloth")),
                Page(
                    _("Add an option of canvas"),
                    reverse("canvas_option_new"),
                    _("the yard's own way of making a piece"),
                ),
                Page(_("Sails"), reverse("sails"), _("damp in the bag, on the lines, to be washed in winter")),
                Page(_("What falls due"), reverse("due"), _("rigs, tackle, slings, extinguishers, made into orders")),
                Page(
                    _("Intervals"),
                    reverse("intervals"),
                    _("how often each is looked over or renewed, and by whose word"),
                ),
                Page(_("Add an interval"), reverse("interval_new"), _("the yard's own, or a maker's")),
                Page(_("Gear"), reverse("gear"), _("slings, chains, lifting gear, extinguishers of the yard")),
                Page(_("Add a piece of gear"), reverse("gear_new"), _("its tag, its rating, since when")),
                Page(
                    _("New boats"),
                    reverse("option_sheets"),
                    _("options sheets, chosen into work with a day to count on"),
                ),
                Page(
                    _("Add an options sheet"),
                    reverse("option_sheet_new"),
                    _("base, options, what they need and exclude"),
                ),
                Page(_("Repair lists"), reverse("repair_lists"), _("what was found, and what owners said")),
                Page(
                    _("Lists in and out"),
                    reverse("lists"),
                    _("sheets of boats, owners, orders to bring in or take out"),
                ),
            ),
        ),
        Group(
            _("People"),
            (
                Page(_("Crew"), reverse("crew"), _("everybody's two weeks")),
                Page(_("Add a person"), reverse("person_new"), _("name, skills, usual week")),
                Page(_("Skills"), reverse("skills"), _("what people can do, and who can")),
                Page(_("Who is free"), reverse("day_free", kwargs=day), _("today, hour by hour")),
                Page(_("Calendars"), reverse("calendars"), _("the plan in the calendar of your phone or computer")),
                Page(_("Owners to tell"), reverse("letters"), _("the morning list, and letters to read")),
                Page(_("Owners' answers"), reverse("answers"), _("what they said on their own pages")),
                Page(
                    _("To all, for a storm"), reverse("letters_storm"), _("one message that you read, to every owner")
                ),
                Page(
                    _("The same again?"), reverse("letters_winter"), _("winter's question, and how full the weeks are")
                ),
                Page(_("Words of letters"), reverse("letter_words"), _("what letters are put together from")),
                Page(_("How honest were we?"), reverse("honest"), _("promised and done, hours measured, the odds")),
            ),
        ),
        Group(
            _("The yard"),
            (
                Page(_("Seasons"), reverse("seasons"), _("open, closed, ended and carried into the next")),
                Page(_("Seasons compared"), reverse("seasons_compared"), _("boats, late, hours by kind, days lost")),
                Page(_("Add a season"), reverse("season_new"), _("a name and its days")),
                Page(
                    _("For the bookkeeper"), reverse("books"), _("hours, materials and extras of any days, as sheets")
                ),
                Page(_("Begin"), reverse("start"), _("a new yard: her floating days, then what a first plan needs")),
                Page(_("Settings"), reverse("yard_settings"), _("hours, limits, margins, words for places")),
                Page(_("Places"), reverse("places"), _("ramp, berths, lines, racks: what each takes, limits, hours")),
                Page(_("Add a place"), reverse("place_new"), _("what it takes and when")),
                Page(_("Compare the tide"), reverse("tide_compare"), _("our curve against your tide table")),
                Page(_("Weather allowance"), reverse("allowance"), _("what is set aside for lost hours")),
                Page(_("Accounts"), reverse("accounts"), _("who may sign in, and as what")),
                Page(_("Your account"), reverse("own_account"), _("second factor, where you are signed in")),
                Page(_("Your password"), reverse("change_password"), _("set a new one")),
            ),
        ),
    ]
    kept = [Group(group.title, _may_open(user, group.pages)) for group in groups]
    return [group for group in kept if group.pages]


def _may_open(user: User | AnonymousUser, pages: Sequence[Page]) -> tuple[Page, ...]:
    return tuple(page for page in pages if may(user, verb_of(page.address)))
