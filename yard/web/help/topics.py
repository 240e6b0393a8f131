"""The topics of the help, in the order in which they are listed. Their words stand in templates/help/<key>.html.

Knows nothing of Django, so that the script that takes the pictures can read it: words are marked here for the
catalogue, and the page says them.
"""

from __future__ import annotations

from dataclasses import dataclass

from yard.speech import gettext_noop


@dataclass(frozen=True, slots=True)
class Picture:
    """Of a page as `python -m tests.screenshots` takes it from the example yard: a file of static/yard/help/.

    path: of the page; says: what is to be seen, for whoever sees no picture; on_a_phone: taken at a phone's width.
    """

    path: str
    says: str
    on_a_phone: bool = False


@dataclass(frozen=True, slots=True)
class Topic:
    """about: what one learns, in a few words. pages: names of addresses whose “Help” leads here."""

    key: str
    title: str
    about: str
    pages: tuple[str, ...] = ()
    picture: Picture | None = None


@dataclass(frozen=True, slots=True)
class Chapter:
    title: str
    topics: tuple[Topic, ...]


CHAPTERS = (
    Chapter(
        gettext_noop("For whoever plans"),
        (
            Topic(
                "first-plan",
                gettext_noop("From nothing to a first plan"),
                gettext_noop("the place, the ramp, boats, orders, a plan on the wall"),
                ("start", "start_bring_in", "yard_settings", "place_words", "tide_compare", "allowance"),
                Picture("/tides/2027-05-06/", gettext_noop("the tide of a day with the water over the ramp")),
            ),
            Topic(
                "season",
                gettext_noop("Plan the season and read the board"),
                gettext_noop("plan, check, post; who is late and why; what would bring her back"),
                (
                    "season",
                    "season_run",
                    "season_why",
                    "plans",
                    "plan",
                    "run",
                    "plan_load",
                    "plan_how_good",
                    "ways_back",
                    "what_ifs",
                    "what_if",
                    "launches",
                    "launches_from",
                    "tides_day",
                    "tides_month",
                ),
                Picture("/", gettext_noop("the board: late boats first, a lane for each with her jobs by day")),
            ),
            Topic(
                "lost-day",
                gettext_noop("A day is lost"),
                gettext_noop("weather, illness, late cloth: a proposal that moves almost nobody"),
                ("proposal_new", "proposal", "forecast", "changed", "storms", "storm_list", "day_instead"),
                Picture("/proposals/new/", gettext_noop("the form for what happened")),
            ),
            Topic(
                "by-hand",
                gettext_noop("Move one job yourself"),
                gettext_noop("the times and people that keep every rule, and what breaks at any other"),
                ("by_hand", "by_hand_job"),
            ),
            Topic(
                "autumn",
                gettext_noop("Autumn and the winter store"),
                gettext_noop("hauls, washing, the first freeze, who stands where"),
                ("autumn", "store", "store_plan", "spar_plan"),
                Picture(
                    "/store/", gettext_noop("the store drawn as rows, with boats that stand in another's way filled")
                ),
            ),
            Topic(
                "year-end",
                gettext_noop("Year's end and the books"),
                gettext_noop("carry the yard over, compare seasons, sheets for the bookkeeper"),
                ("seasons", "season_new", "season_end", "year_end", "seasons_compared", "books", "season_kept_change"),
                Picture("/seasons/compare/", gettext_noop("two past seasons beside this one, hours by trade as bars")),
            ),
        ),
    ),
    Chapter(
        gettext_noop("For the crew"),
        (
            Topic(
                "crew",
                gettext_noop("Your day on the phone"),
                gettext_noop("what now, what then, finished, stopped, without a signal too; closing the day"),
                ("phone_day", "day_close", "day_today", "day", "day_free", "crew", "person"),
                Picture(
                    "/today/",
                    gettext_noop("a crew member's day on a phone: the job now, the next, tide and gusts"),
                    True,
                ),
            ),
            Topic(
                "calendar",
                gettext_noop("Your calendar"),
                gettext_noop("the plan in the calendar of your telephone, and how to take it back"),
                ("calendars", "calendar", "feed_event", "job_events"),
                Picture("/calendars/", gettext_noop("the page on which a calendar's address is made")),
            ),
            Topic(
                "things",
                gettext_noop("Sails, things and repair lists"),
                gettext_noop("dry or damp, where it lies, what is to be mended"),
                (
                    "sails",
                    "things",
                    "thing",
                    "repair_lists",
                    "repair_list",
                    "repair_list_of_boat",
                    "repair_list_of_order",
                ),
                Picture(
                    "/sails/", gettext_noop("sails that lie damp with the hours left, and those to be washed in winter")
                ),
            ),
            Topic(
                "runs",
                gettext_noop("The workboat and owners' runs"),
                gettext_noop("who is carried out and back, between the tows"),
                ("runs_today", "runs_day", "run_wish"),
            ),
        ),
    ),
    Chapter(
        gettext_noop("For the office"),
        (
            Topic(
                "orders",
                gettext_noop("Orders and walk-ins"),
                gettext_noop("an order in half a minute, a stranger at the door, last year's again"),
                (
                    "orders",
                    "order",
                    "order_new",
                    "order_new_for",
                    "order_change",
                    "order_work",
                    "order_job",
                    "order_job_new",
                    "walk_in",
                    "orders_again",
                    "packages",
                    "package",
                    "package_offers",
                    "kinds",
                    "products",
                ),
                Picture("/orders/new/", gettext_noop("the order form with its jobs shown beside it")),
            ),
            Topic(
                "when",
                gettext_noop("“When could it be done?”"),
                gettext_noop("a day to tell on the telephone, and to keep for the caller"),
                ("when", "when_ready", "held_days"),
                Picture("/when/", gettext_noop("the question on a phone: a boat, a package"), True),
            ),
            Topic(
                "owners",
                gettext_noop("Letters and owners' pages"),
                gettext_noop("what is told, when, and that nobody is told twice"),
                (
                    "letters",
                    "letter",
                    "letter_read",
                    "letter_words",
                    "letter_words_of",
                    "letters_winter",
                    "letters_winter_ask",
                    "letters_storm",
                    "answers",
                    "honest",
                    "owners",
                    "owner",
                ),
                Picture("/letters/", gettext_noop("owners with something to be told today")),
            ),
            Topic(
                "canvas",
                gettext_noop("Canvas, cloth and the buying list"),
                gettext_noop("pieces and panels, the cutting plan, order-by days"),
                (
                    "canvas",
                    "canvas_order",
                    "canvas_piece_new",
                    "canvas_piece_change",
                    "canvas_panel_new",
                    "canvas_panel_change",
                    "canvas_options",
                    "take_off",
                    "buying",
                    "materials",
                    "material_new",
                    "material_change",
                ),
                Picture("/buying/", gettext_noop("the buying list by supplier with the days to order by")),
            ),
            Topic(
                "boats",
                gettext_noop("Boats, moorings and lists"),
                gettext_noop("what is kept of each, bring in a sheet, find anything, undo"),
                (
                    "boats",
                    "boat",
                    "boat_new",
                    "boat_change",
                    "moorings",
                    "mooring",
                    "places",
                    "lists",
                    "list_import",
                    "list_columns",
                    "list_preview",
                    "find",
                    "duplicates",
                    "boat_merge",
                    "fact_history",
                ),
                Picture("/boats/", gettext_noop("the list of boats with when each goes and what she waits on")),
            ),
            Topic(
                "due",
                gettext_noop("What falls due"),
                gettext_noop("rigs, tackle, slings, extinguishers: by interval, made into orders"),
                ("due", "intervals", "gear"),
            ),
            Topic(
                "new-boat",
                gettext_noop("New boats and trips by road"),
                gettext_noop("options, their price and work, a date that never moves"),
                ("option_sheets", "option_sheet", "sheet_choose", "sheet_choice", "order_trip"),
            ),
        ),
    ),
    Chapter(
        gettext_noop("For everybody"),
        (
            Topic("numbers", gettext_noop("How each number is computed"), gettext_noop("and where it comes from")),
            Topic(
                "cautions",
                gettext_noop("Before somebody is hurt"),
                gettext_noop("masts, slings, water, heights, dust and fumes"),
            ),
            Topic(
                "keys",
                gettext_noop("Keys, paper and words"),
                gettext_noop("the keyboard, printing, and what the yard's words mean here"),
            ),
        ),
    ),
)
TOPICS = {topic.key: topic for chapter in CHAPTERS for topic in chapter.topics}
BY_PAGE = {page: topic.key for topic in TOPICS.values() for page in topic.pages}
