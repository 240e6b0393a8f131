"""What the program says goes through the catalogue. What stays English stands in one table, with its reason."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from tests.operation.unsaid_text import Read, Unsaid, is_english, misfits_in, muted_in, read_through, unsaid_in

ROOT = Path(__file__).parents[2]
FOLDERS = tuple(
    f"yard/{name}"
    for name in (
        "web",
        "services",
        "queries",
        "models",
        "planning",
        "promise",
        "tides",
        "weather",
        "cutting",
        "stowing",
        "feeds",
        "notices",
        "pictures",
        "sheets",
    )
)

FEED_KEYS = (
    r"(job|trip) \{\} for owners|job \{\} visit \{\}|run wish \{\} for its owner|check-in of trip \{\}"
    r"|(permit|tackle) of mooring \{\}|order by, fact \{\}|(tell the day|final call), order \{\}"
)
PURE = "yard/(planning|promise|tides|weather|cutting|stowing|feeds|notices|pictures)/"
MISTAKES = (
    "EventError|PictureValueError|"
    "ValueError|CannotExpress|BackendMissing|PlanBroken|WrongStep|StoreInvalid|FaultyStowing|SeasonInvalid"
    "|ClimateNotRead|FreezeNotRead|PictureValueError|EventError"
)
CODES = (
    r"longest waits|last start|not known|new order|first plan|pulled forward|other hours|other people"
    r"|one more( \{\} \{\})?"
)
CLASS = r"(x\d+|bd|brief|c2|cards|cp|critical|cut|end|field|halo|list|md|mid|net|num|onink2?|plain|prov|second|wait)"
CLASSES = f"{CLASS}( {CLASS})+"
OF_A_FILE = (
    r"[a-z0-9 ,'²-]+|another: see the notes|.*\b(MO-114|chain|rigger)\b.*"
    r"|Ruth Hale|Tom Reed|North berth|Spring commissioning"
)
STAYS_ENGLISH: tuple[tuple[str, str, str], ...] = (
    ("yard/services/example_yard/", r".*", "the invented yard's own data"),
    ("yard/queries/feeds.py", r"\s*SELECT .*", "SQL"),
    ("yard/services/backup/about.py", r"yard backup, form 1", "a file's mark, by which it is known again"),
    ("yard/services/backup/schema.py", r".*", "the description of a file's format, for programs"),
    ("yard/services/feeds/", FEED_KEYS, "a calendar entry's key, which stays for ever"),
    ("yard/services/personal_data/kept.py", r"personal data of an owner, form 1", "a file's mark"),
    ("yard/services/personal_data/tables.py", r"UnknownTable: .*", "said to programmers"),
    ("yard/services/whole_change/relations.py", r"UnknownRelation: .*", "said to programmers"),
    ("yard/services/whole_change/relations.py", r"(who was merged|what was done as a whole) .*", "no page shows it"),
    ("yard/services/product_limits.py", r"any weather", "a source that no page shows"),
    ("yard/services/read_problem/", r"water open", "a key of the Problem's sets of windows"),
    ("yard/services/season_apart.py", r"SeasonNotHandedOver: .*", "a log line"),
    ("yard/services/season_at_hand.py", r"season at hand", "a thread's name"),
    ("yard/services/security_log.py", r"%s: account %s, by %s%s", "a log line"),
    (
        "yard/services/store_forecast.py",
        r".*(weather|Weather).*",
        "credits that the providers ask for word by word, kept with the hours",
    ),
    ("yard/services/stowing/", r"last year|not known", "keys of SPREAD_DAYS"),
    ("yard/services/stowing/ground.py", r"height ashore", "the name of a measurement, which people type"),
    ("yard/services/when_done.py", r"longest waits|last start", "keys of WHY"),
    (PURE, rf"({MISTAKES}): .*", "a mistake of the program's"),
    ("yard/feeds/clients.py", r"Google Calendar|mac os x", "a name, and what a client calls itself"),
    ("yard/pictures/", r"(x\d+|net|plain)( [a-z0-9]+)+", "classes of the style sheet"),
    ("yard/web/accounts/sessions.py", r"signed (in|out)", "events of the log"),
    ("yard/web/(canvas|due)/forms.py", r"roll or sheets|piece of gear", "keys of web/keeping/wordings.py"),
    ("yard/web/keeping/wordings.py", r"roll or sheets|piece of gear", "keys"),
    ("yard/web/honest/tried.py", r".*", "keys of a measured file"),
    ("yard/web/keeping/owner_data.py", r"personal data", "the name of a sheet in a file"),
    ("yard/web/repairs/forms.py", r"by telephone|in the yard|in writing", "values as they are kept"),
    ("yard/web/letters/own_words.py", r".*", "a letter to an invented owner"),
    ("yard/web/owner_pages/door.py", r"noindex, nofollow", "a header for programs"),
    ("yard/web/settings/allowance.py", r"ValueError: .*", "a mistake of the program's"),
    ("yard/web/tables/", r"num second", "classes of the style sheet"),
    ("yard/web/health.py", r".*", "said to whoever watches the machine, and to programs"),
    ("yard/web/access.py", r"ValueError: .*", "a mistake of the program's"),
    (PURE + r"(__main__|bench)\.py", r".*", "the help and the tables of a command"),
    ("yard/planning/cpsat/", r"[a-z {}]+", "names of a model's variables and of a thread"),
    ("yard/planning/(no_room|second_look|fit|progress|solve|what_if/|ways_back/|reshuffle/)", CODES, "codes"),
    ("yard/planning/rules.py", r".*", "what a rule means, for contributors"),
    ("yard/promise/season.py", r".*", "a mistake of the program's: it made the season"),
    ("yard/tides/(daylight|shifted)", r"stays (above|below)|\{\}; offsets .*", "codes, and how a curve was made"),
    ("yard/weather/(fetch|refresh)", r"yard season planner \(\{\}\)|too old", "our name for providers, and a code"),
    (
        "yard/sheets/(lists_of_|entries|words|measures|writing|csv_file)",
        OF_A_FILE,
        "headings, words, examples of a file",
    ),
    ("yard/(web|pictures)/", CLASSES, "classes of the style sheet"),
    ("yard/web/", r"Http404: .*", "the page for it says so in words of its own"),
)
"""Where its path begins so, and the text whole, after “Name: ” where an exception of that name is raised by it, both as
patterns; and why it is in no catalogue."""


@cache
def read() -> Read:
    return read_through(ROOT, FOLDERS)


def unsaid() -> list[Unsaid]:
    return read().unsaid


def reason_of(each: Unsaid) -> int | None:
    """The number of the first line of the table that lets it stay."""
    for number, (where, text, _why) in enumerate(STAYS_ENGLISH):
        if re.match(where, each.path) and re.fullmatch(text, each.told, re.DOTALL):
            return number
    return None


def test_every_text_goes_through_the_catalogue() -> None:
    left = [str(each) for each in unsaid() if reason_of(each) is None]
    assert left == [], "say it by yard.speech or Django's gettext, or give a reason in STAYS_ENGLISH"


def test_every_reason_is_a_reason_for_something() -> None:
    used = {reason_of(each) for each in unsaid()}
    assert [line for number, line in enumerate(STAYS_ENGLISH) if number not in used] == []


def test_nothing_takes_the_name_that_speaks() -> None:
    assert [str(each) for each in read().muted] == []


@pytest.mark.parametrize(
    ("source", "muted"),
    [
        ('def say():\n    gone, _ = rows.delete()\n    return _("It is gone.")', True),
        ('def say(_):\n    return [_("Gone") for row in rows]', True),
        ('words = [_("Gone") for _, row in rows]', True),
        ('def say():\n    names = [row for _, row in rows]\n    return _("It is gone.")', False),
        ('def say():\n    return _("It is gone.")\ndef count():\n    one, _ = both', False),
    ],
)
def test_a_name_that_is_given_away_no_longer_speaks(source: str, muted: bool) -> None:
    assert bool(muted_in("a.py", list(ast.walk(ast.parse(source))))) is muted


def test_every_gap_of_a_sentence_is_filled() -> None:
    assert [str(each) for each in read().misfits] == []


@pytest.mark.parametrize(
    ("source", "misfits"),
    [
        ('_("{boat} is late").format(bote=boat)', True),
        ('_("{boat} is late").format()', True),
        ('_("She is late").format(boat=boat)', True),
        ('_("{boat} is late").format(boat=boat)', False),
        ('ngettext("One boat waits", "{n} boats wait", n).format(n=n)', False),
        ('ngettext("{n} boat waits", "{n} boats wait", n).format(count=n)', True),
        ("words.format(boat=boat)", False),
        ('_("{boat} is late").format(**gaps)', False),
    ],
)
def test_a_gap_that_nothing_fills_is_told(source: str, misfits: bool) -> None:
    assert bool(misfits_in("a.py", ast.walk(ast.parse(source)))) is misfits


@pytest.mark.parametrize(
    ("source", "texts"),
    [
        ('raise Refused("She is hauled.")', ["Refused: She is hauled."]),
        ('words = f"{boat} is late by {days} days"', ["{} is late by {} days"]),
        ('class Form:\n    label = "First day"', ["First day"]),
        ('def late(why="not said yet"): ...', ["not said yet"]),
        ("words = f\"{boat} {'is late' if late else ''}\"", ["is late"]),
        ('raise ValueError("Give a day.")', ["ValueError: Give a day."]),
        ('raise Refused(_("She is hauled."))', []),
        ('words = ngettext("{n} boat waits", "{n} boats wait", n).format(n=n, why="by plan alone")', ["by plan alone"]),
        ('LABEL = gettext_noop("First day")', []),
        ('words = speech.pgettext("of a sail", "bent on")', []),
        ('log.warning("the season is not at hand: %s", error)', []),
        ('raise TypeError("no value of a row")', []),
        ('def late():\n    """Whether she is late."""', []),
        ('STATE: Literal["not yet"] = make()', []),
        ('assert late, "she is late"', []),
        ('FORM = re.compile("so many days")', []),
        ('path = "templates/boats/page.html"', []),
        ('name = f"order_{key}"', []),
    ],
)
def test_what_is_english_that_somebody_reads(source: str, texts: list[str]) -> None:
    assert [each.told for each in unsaid_in("a.py", ast.parse(source))] == texts


@pytest.mark.parametrize(
    ("text", "english"),
    [
        ("on time", True),
        ("late: {} days", True),
        ("owner's page", True),
        ("start", False),
        ("x12 c2", False),
        ("kn", False),
    ],
)
def test_two_plain_words_are_english(text: str, english: bool) -> None:
    assert is_english(text) is english
