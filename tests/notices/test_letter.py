"""Letters read aloud: golden texts that a yard would sign, and what must never stand in one."""

from __future__ import annotations

import html
from dataclasses import replace
from datetime import date, datetime
from html.parser import HTMLParser

import pytest
from notice_samples import MERGANSER, YARD, letter, with_situation

from yard.notices.letter import UNSAID, in_order, spoken, write, write_to_all
from yard.notices.news import LetterFacts, News, Road, Situation, Water, Wish
from yard.notices.standard import PLACEHOLDERS, STANDARD
from yard.notices.template import check_template

MOVED = """Dear Pia Larkin,

The bottom looks good, two coats on.

We told you Friday 7 May for the spring commissioning on Merganser. That has changed: the weather closed that day \
(south-east gale, gusts to 34 knots).

The new date is Monday 10 May; the last work begins at 14:00. It is provisional. She floats off about 14:30; the tide \
gives her water enough from 14:21 to 15:23 (the tide must stand at 17.5 ft). If that day is lost, her reserve day is \
Monday 17 May. We will call it firm, or not, by Saturday 8 May, 12:00.

We promised her by Tuesday 18 May; by our plan that still stands. What could still stop it: gusts over 15 knots or \
less water than the tide tables say.

From you, please: bring the cushions by Sunday 9 May.

Sorry about Friday.

All her dates, and a place to answer, are on your own page: https://yard.example/owner/x/

Maud
Tallow Creek Yard
555 0142
"""

WEEK = """Dear Pia Larkin,

We plan the spring commissioning for Merganser in the week of Monday 10 May. That week is provisional. About 14 days \
before it we will tell you the day, and a reserve day.

Maud
Tallow Creek Yard
555 0142
"""

FIRM = """Dear Pia Larkin,

The spring commissioning for Merganser: Monday 10 May is firm; the last work begins at 14:00. She floats off about \
14:30; the tide gives her water enough from 14:21 to 15:23 (the tide must stand at 17.5 ft). What could still stop it: \
gusts over 15 knots or less water than the tide tables say; then her reserve day is Monday 17 May.

Maud
Tallow Creek Yard
555 0142
"""

HOLD = """Dear Pia Larkin,

The spring commissioning for Merganser on Monday 10 May is under a weather hold: south-east gale forecast. We will \
tell you by Saturday 8 May, 12:00 whether it goes ahead. If the day is lost, her reserve day is Monday 17 May.

Maud
Tallow Creek Yard
555 0142
"""

NO_DAY = """Dear Pia Larkin,

We told you Friday 7 May for the spring commissioning on Merganser. We cannot keep that date: it waits for the cloth.

We have no new date yet, and will tell you one as soon as the plan has it. We are waiting for the cloth.

Maud
Tallow Creek Yard
555 0142
"""

DONE = """Dear Pia Larkin,

Done: the spring commissioning for Merganser. She lies on mooring 31. Thank you.

Maud
Tallow Creek Yard
555 0142
"""


def bare(situation: Situation, **more: object) -> News:
    """News without what a moved date says besides."""
    empty = {"water": None, "from_owner": (), "promised": None, "could_stop": ()}
    return with_situation(situation, **(empty | more))


@pytest.mark.parametrize(
    ("news", "text"),
    [
        (bare(Situation.WEEK, week=True, was=None, reason="", reserve=None, call_at=None, starts_at=None), WEEK),
        (
            with_situation(Situation.FIRM, firm=True, from_owner=(), promised=None, call_at=None),
            FIRM,
        ),
        (bare(Situation.WEATHER_HOLD, reason="south-east gale forecast"), HOLD),
        (bare(Situation.NO_DAY, day=None, reserve=None, reason="it waits for the cloth", waits=("the cloth",)), NO_DAY),
        (bare(Situation.DONE, day=None, reserve=None, lies="mooring 31"), DONE),
    ],
    ids=lambda value: value.situation.value if isinstance(value, News) else "",
)
def test_each_situation_read_aloud(news: News, text: str) -> None:
    assert write(letter(news), {}).as_text() == text


def test_a_moved_date_gives_reason_new_date_tide_reserve_and_what_the_owner_must_do() -> None:
    written = write(
        letter(
            MERGANSER,
            before="The bottom looks good, two coats on.",
            after="Sorry about Friday.",
            page="https://yard.example/owner/x/",
        ),
        {},
    )
    assert written.as_text() == MOVED
    assert written.subject == "Merganser: moved to Monday 10 May"


def test_several_changes_are_one_letter_with_the_most_urgent_first() -> None:
    other = replace(MERGANSER, order=2, boat="Dunlin", from_owner=(Wish("send us the mooring permit"),))
    hold = bare(Situation.WEATHER_HOLD, order=3, boat="Tern", reason="gale")
    written = write(letter(MERGANSER, other, hold), {})
    assert written.subject == "Tern: weather hold for Monday 10 May, and news of 2 more orders"
    text = written.as_text()
    assert text.index("Tern") < text.index("on Dunlin") < text.index("on Merganser")
    assert text.count("From you, please:") == 1
    assert "send us the mooring permit (Dunlin) and bring the cushions by Sunday 9 May (Merganser)" in text


def test_what_is_firm_for_tomorrow_stands_before_what_moves_in_june() -> None:
    firm = bare(Situation.FIRM, order=2, boat="Tern", day=date(2027, 5, 7), firm=True, reserve=None)
    moved = replace(MERGANSER, water=None, reserve=None)
    june = replace(moved, day=date(2027, 6, 14), was=date(2027, 6, 21), week=True, was_week=True)
    near = replace(moved, order=3, boat="Dunlin", day=date(2027, 5, 8), was=date(2027, 5, 6))
    assert [each.boat for each in in_order((june, firm, near))] == ["Dunlin", "Tern", "Merganser"]


def test_a_change_never_goes_without_its_reason() -> None:
    silent = replace(MERGANSER, reason="")
    assert silent.wants_reason
    assert UNSAID in write(letter(silent), {}).as_text()
    said = write(letter(silent, reason_said="the crane was broken."), {}).as_text()
    assert "That has changed: the crane was broken.\n" in said
    assert not MERGANSER.wants_reason
    assert not bare(Situation.WEEK, week=True, was=None, reason="", reserve=None).wants_reason


def test_nothing_is_firm_that_still_waits() -> None:
    with pytest.raises(ValueError, match="nothing is firm before its facts are here"):
        with_situation(Situation.FIRM, firm=True, waits=("the cloth",))


@pytest.mark.parametrize(
    ("promised", "words"),
    [
        (date(2027, 5, 16), "by our plan that still stands"),
        (date(2027, 5, 12), ""),  # somewhere in that week: nobody knows
        (date(2027, 5, 9), "by our plan we miss that, and are sorry"),
    ],
)
def test_a_week_keeps_a_promise_only_when_all_of_it_does(promised: date, words: str) -> None:
    news = with_situation(Situation.MOVED, week=True, promised=promised, reserve=None, water=None)
    text = write(letter(news), {}).as_text()
    assert ("We promised her" in text) == bool(words)
    assert words in text


def test_the_words_for_the_telephone_are_short_and_ask() -> None:
    assert spoken(letter(MERGANSER)) == (
        "Tallow Creek Yard. Merganser, spring commissioning: not Friday 7 May, because: the weather closed that day"
        " (south-east gale, gusts to 34 knots). New date Monday 10 May, provisional. If that is lost, Monday 17 May."
        " From you, please: bring the cushions by Sunday 9 May."
    )


NASTY = '<script>alert("x")</script> & $day [x] {owner.__class__}\r\nBcc: all@example.org'


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.found.add(tag)


@pytest.mark.parametrize("where", ["owner", "boat", "reason", "own", "wish"])
def test_a_name_with_markup_is_only_text(where: str) -> None:
    news = MERGANSER
    if where in ("boat", "reason"):
        news = replace(news, **{where: NASTY})
    if where == "wish":
        news = replace(news, from_owner=(Wish(NASTY),))
    more = {"owner": NASTY} if where == "owner" else {"before": NASTY} if where == "own" else {}
    written = write(letter(news, **more), {})
    tags = Tags()
    tags.feed(written.as_html())
    assert tags.found <= {"html", "head", "meta", "title", "body", "p", "br", "a"}
    assert html.escape('<script>alert("x")</script> & $day [x]') in written.as_html()
    assert "{owner.__class__}" in written.as_text(), "a fact is never read as a template"
    assert "\n" not in written.subject
    assert "\r" not in written.subject


def test_own_words_do_not_change_what_was_read_and_the_plan_does() -> None:
    read = write(letter(MERGANSER), {}).fingerprint()
    assert write(letter(MERGANSER, before="Hello", signed="Cy"), {}).fingerprint() == read
    assert write(letter(replace(MERGANSER, day=date(2027, 5, 11))), {}).fingerprint() != read
    assert write(letter(replace(MERGANSER, reserve=date(2027, 5, 18))), {}).fingerprint() != read
    assert write(letter(MERGANSER), {"greeting": "Hello $owner,"}).fingerprint() != read


ROAD = Road(leaves_at=datetime(2027, 5, 13, 8, 0), check_in_by=datetime(2027, 5, 13, 11, 30))


@pytest.mark.parametrize("situation", [Situation.DAY, Situation.FIRM, Situation.MOVED])
def test_a_trip_is_told_with_its_check_in(situation: Situation) -> None:
    news = with_situation(situation, water=None, road=ROAD, firm=situation is Situation.FIRM)
    text = " ".join(write(letter(news), {}).as_text().split())
    leaves = "She leaves us for the ferry on Thursday 13 May at 08:00"
    assert f"{leaves}; the check-in closes at 11:30, and that does not move." in text


def test_a_trip_by_road_has_no_check_in() -> None:
    news = with_situation(Situation.DAY, road=replace(ROAD, check_in_by=None))
    assert "She leaves us by road on Thursday 13 May at 08:00; that does not move." in write(letter(news), {}).as_text()


def test_a_week_and_what_is_done_speak_of_no_trip() -> None:
    for situation in (Situation.WEEK, Situation.DONE):
        text = write(letter(with_situation(situation, week=situation is Situation.WEEK, road=ROAD)), {}).as_text()
        assert "leaves us" not in text


def test_a_check_in_before_she_leaves_is_none() -> None:
    with pytest.raises(ValueError, match="check-in closes after"):
        replace(ROAD, check_in_by=datetime(2027, 5, 13, 7, 0))


def test_an_empty_letter_is_none() -> None:
    with pytest.raises(ValueError, match="nothing to say"):
        write(letter(), {})


def test_the_shipped_words_can_be_used_and_say_what_they_must() -> None:
    for key, standard in STANDARD.items():
        check_template(standard.text, PLACEHOLDERS.keys())
        for name in standard.needs:
            assert f"${name}" in standard.text, (key, name)


def test_a_message_to_all_names_what_this_owner_asked_for() -> None:
    facts = {"headline": "A gale on Friday", "warning": "Gusts to 50 knots from Friday evening."}
    hers = LetterFacts(
        owner="Pia Larkin", yard=YARD, news=(), extra=facts | {"boats": "Merganser", "standing": "to haul her"}
    )
    text = write_to_all("storm", hers, {}).as_text()
    assert "For Merganser you asked us: to haul her." in text
    assert "Please do not go aboard" in text
    silent = LetterFacts(owner="Gus", yard=YARD, news=(), extra=facts)
    assert "you asked us" not in write_to_all("storm", silent, {}).as_text()


@pytest.mark.parametrize(
    "wrong",
    [
        {"day": None},
        {"was": None},
        {"reserve": date(2027, 5, 10)},
    ],
)
def test_news_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"name the day|the reserve day comes after"):
        replace(MERGANSER, **wrong)


def test_water_that_cannot_be_is_refused() -> None:
    floats_at = MERGANSER.water.floats_at if MERGANSER.water else None
    assert floats_at is not None
    with pytest.raises(ValueError, match="a start and an end"):
        Water(floats_at=floats_at, starts_at=floats_at)
    with pytest.raises(ValueError, match="ends after"):
        Water(floats_at=floats_at, starts_at=floats_at, ends_at=floats_at)


def test_what_is_the_same_of_several_orders_of_one_boat_is_said_once() -> None:
    cushions = replace(MERGANSER, order=2, work="cushions", waits=("the foam",), water=None)
    text = write(letter(MERGANSER, cushions), {}).as_text()
    assert text.count("That has changed") == 1
    assert "for the spring commissioning and cushions on Merganser" in text
    assert "We are still waiting for the foam" in text
    other_day = replace(cushions, day=date(2027, 5, 11))
    assert write(letter(MERGANSER, other_day), {}).as_text().count("That has changed") == 2
    done = [with_situation(Situation.DONE, day=None, order=n, work=w) for n, w in ((1, "halyard"), (2, "furler"))]
    assert "Done: the halyard and furler for Merganser." in write(letter(*done), {}).as_text()
