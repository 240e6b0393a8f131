"""Invented news for the tests of letters."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from yard.notices.news import LetterFacts, News, Situation, Water, Wish, Yard

YARD = Yard(name="Tallow Creek Yard", phone="555 0142", feet=True)
MERGANSER = News(
    order=1,
    boat="Merganser",
    work="spring commissioning",
    situation=Situation.MOVED,
    day=date(2027, 5, 10),
    starts_at=datetime(2027, 5, 10, 14, 0),
    was=date(2027, 5, 7),
    reason="the weather closed that day (south-east gale, gusts to 34 knots)",
    water=Water(
        floats_at=datetime(2027, 5, 10, 14, 30),
        starts_at=datetime(2027, 5, 10, 14, 21),
        ends_at=datetime(2027, 5, 10, 15, 23),
        needed_m=5.334,
    ),
    reserve=date(2027, 5, 17),
    call_at=datetime(2027, 5, 8, 12, 0),
    from_owner=(Wish("bring the cushions", date(2027, 5, 9)),),
    could_stop=("gusts over 15 knots", "less water than the tide tables say"),
    promised=date(2027, 5, 18),
)


def letter(*news: News, **more: object) -> LetterFacts:
    values: dict[str, object] = {"owner": "Pia Larkin", "yard": YARD, "news": news, "signed": "Maud"}
    return LetterFacts(**(values | more))


def with_situation(situation: Situation, **more: object) -> News:
    return replace(MERGANSER, situation=situation, **more)
