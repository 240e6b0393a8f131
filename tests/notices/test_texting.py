"""Words for a text message: never longer than two, the most urgent news and what the owner must do in them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notice_samples import MERGANSER, letter, with_situation

from yard.notices.news import Situation, Wish
from yard.notices.texting import LONGEST, texted


def test_a_moved_date_in_one_breath() -> None:
    assert texted(letter(MERGANSER)) == (
        "Tallow Creek Yard. Merganser, spring commissioning: now Mon 10 May, else Mon 17 May, provisional, not Fri 7"
        " May (the weather closed that day (south-east gale, gusts to 34 knots)). Please bring the cushions by Sunday"
        " 9 May."
    )


def test_the_most_urgent_comes_first_and_the_rest_is_counted() -> None:
    hold = with_situation(Situation.WEATHER_HOLD, order=9, boat="Agrimony", reason="gale from the north-east forecast")
    others = [
        replace(MERGANSER, order=n, work=f"piece of work number {n}", day=date(2027, 5, 10 + n)) for n in range(6)
    ]
    words = texted(letter(*others, hold))
    assert words.startswith("Tallow Creek Yard. Agrimony, spring commissioning: weather hold for Mon 10 May")
    assert "please call us" in words
    assert "bring the cushions" in words
    assert len(words) <= LONGEST


@pytest.mark.parametrize("situation", list(Situation))
def test_each_situation_has_words(situation: Situation) -> None:
    firm = situation is Situation.FIRM
    news = with_situation(situation, firm=firm, day=None if situation is Situation.DONE else MERGANSER.day)
    words = texted(letter(news))
    assert "Merganser" in words
    assert len(words) <= LONGEST


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(st.sampled_from(list(Situation)), st.text("abc ", max_size=120), st.text("xyz ", max_size=200)),
        min_size=1,
        max_size=8,
    ),
    st.text("wish ", min_size=0, max_size=400),
)
def test_whatever_is_said_it_is_short_enough(rows: list[tuple[Situation, str, str]], wish: str) -> None:
    asks = (Wish(wish),) if wish.strip() else ()
    news = [
        with_situation(situation, order=n, work=f"w{work}", reason=reason.strip(), from_owner=asks, firm=False)
        for n, (situation, work, reason) in enumerate(rows)
    ]
    words = texted(letter(*news))
    assert len(words) <= LONGEST
    assert "\n" not in words
