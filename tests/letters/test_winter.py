"""Winter: last year's orders, the same again? Silence is as last year, unconfirmed."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest
from told_yard import NOW, TODAY, make_owner

from yard.models import (
    Boat,
    BoatOwner,
    Letter,
    Order,
    OwnerAnswer,
    Package,
    SameAgain,
    Season,
    YardSettings,
)
from yard.queries.winter import asked_owners, weeks_of
from yard.services.letters.sending import send_released
from yard.services.letters.to_all import Message, release_to_all
from yard.services.order_package import OrderDates, Terms, default_options, order_package
from yard.services.owner_pages.answers import Said, accept, take_answer
from yard.services.owner_pages.winter import (
    asked_by_word,
    list_again,
    list_in_worker,
    open_next,
    season_before,
    without_successor,
)
from yard.web.letters.to_all import winter_facts, winter_rows

pytestmark = pytest.mark.usefixtures("packages")
WANTED = date(2027, 5, 8)  # a Saturday


@pytest.fixture
def seasons(yard: YardSettings) -> tuple[Season, Season]:
    this = Season.objects.create(name="Spring 2027", starts_on=date(2027, 3, 1), ends_on=date(2027, 7, 1))
    Season.objects.create(name="Autumn 2027", starts_on=date(2027, 8, 1), ends_on=date(2027, 12, 1))
    return this, open_next(this)


@pytest.fixture
def order(seasons: tuple[Season, Season], cast) -> Order:
    pia = make_owner("Pia")
    boat = Boat.objects.create(ref="tern", name="Tern", length_m=8, beam_m=2.5, draft_m=1.2, displacement_kg=3000)
    BoatOwner.objects.create(boat=boat, owner=pia, starts_on=date(2020, 1, 1), told_first=True)
    package = Package.objects.get(key="halyard")
    return order_package(
        boat,
        package,
        options=default_options(package, boat),
        dates=OrderDates(wanted=WANTED),
        by=cast.ada,
        now=NOW,
        terms=Terms(season=seasons[0]),
    )


def ask(season: Season, yard: YardSettings, by, *, kind: Letter.Kind = Letter.Kind.WINTER, now: datetime = NOW):
    rows = [row for row in winter_rows(asked_owners(season), yard, now=now) if row.due]
    to = [winter_facts(row.asked, season, yard, today=TODAY) for row in rows]
    message = Message(kind=kind, headline="The same again?", batch=uuid4(), season=season)
    return release_to_all(to, message, yard, by=by, now=now)


def test_the_next_season_is_a_year_later_with_the_same_weekdays(seasons: tuple[Season, Season]) -> None:
    this, coming = seasons
    assert (coming.name, coming.starts_on, coming.ends_on) == ("Spring 2028", date(2028, 2, 28), date(2028, 6, 29))
    assert coming.starts_on.weekday() == this.starts_on.weekday()
    assert open_next(this) == coming
    assert season_before(coming) == this
    assert season_before(this) is None
    assert without_successor(today=date(2027, 12, 10)) == [Season.objects.get(name="Autumn 2027")]


def test_last_year_s_orders_stand_unconfirmed_and_are_listed_once(
    order: Order, seasons: tuple[Season, Season], cast
) -> None:
    _, coming = seasons
    assert list_again(coming, by=cast.ada, now=NOW) == 1
    assert list_again(coming, by=cast.ada, now=NOW) == 0
    asked = SameAgain.objects.get()
    assert asked.state == SameAgain.State.LISTED
    copy = asked.copy
    assert copy is not None
    assert (copy.unconfirmed, copy.copied_from, copy.season, copy.wanted_date) == (
        True,
        order,
        coming,
        WANTED + timedelta(weeks=52),
    )
    assert copy.earliest_date == coming.starts_on, "not this winter"
    assert copy.options == order.options
    assert copy.jobs.count() == order.jobs.count()


def test_silence_is_chased_and_stays_unconfirmed(
    order: Order, seasons: tuple[Season, Season], yard: YardSettings, cast
) -> None:
    _, coming = seasons
    list_again(coming, by=cast.ada, now=NOW)
    (letter,) = ask(coming, yard, cast.ada)
    assert "Last season we did this for you:\nTern: halyard, for Saturday 8 May" in letter.text
    assert "Please answer by Thursday 20 May" in letter.text
    assert SameAgain.objects.get().state == SameAgain.State.LISTED, "not asked before it went"
    send_released(clock=lambda: NOW)
    asked = SameAgain.objects.get()
    assert (asked.state, asked.times_asked, asked.asked_at) == (SameAgain.State.ASKED, 1, NOW)
    soon = winter_rows(asked_owners(coming), yard, now=NOW + timedelta(days=13))
    assert [(row.due, row.chase) for row in soon] == [(False, True)]
    later = winter_rows(asked_owners(coming), yard, now=NOW + timedelta(days=14))
    assert [(row.due, row.chase) for row in later] == [(True, True)]
    assert "as last year, unconfirmed" in later[0].state
    (chasing,) = ask(coming, yard, cast.ada, kind=Letter.Kind.CHASE, now=NOW + timedelta(days=14))
    assert "have not heard yet" in chasing.text
    send_released(clock=lambda: NOW + timedelta(days=14))
    asked.refresh_from_db()
    assert asked.times_asked == 2
    assert asked.copy is not None
    assert asked.copy.unconfirmed


@pytest.mark.parametrize(
    ("kind", "state", "unconfirmed", "order_state"),
    [
        ("same", SameAgain.State.SAME, False, Order.State.OPEN),
        ("other", SameAgain.State.OTHER, True, Order.State.OPEN),
        ("never", SameAgain.State.NOT, True, Order.State.CANCELLED),
    ],
)
def test_answers_come_back_over_weeks(
    order: Order,
    seasons: tuple[Season, Season],
    yard: YardSettings,
    cast,
    kind: str,
    state: str,
    unconfirmed: bool,
    order_state: str,
) -> None:
    _, coming = seasons
    list_again(coming, by=cast.ada, now=NOW)
    pia = order.boat.owners.get()
    assert asked_by_word(pia, coming, by=cast.ada, now=NOW) == 1
    asked = SameAgain.objects.get()
    wanted = date(2028, 5, 13) if kind != "never" else None
    said = Said(kind=OwnerAnswer.Kind(kind), about=asked.pk, on=wanted, words="a word", form_key=uuid4())
    answer = take_answer(pia, said, today=TODAY, now=NOW)
    asked.refresh_from_db()
    assert asked.state == SameAgain.State.ASKED, "only a proposal"
    accept(answer, reply="", today=TODAY, by=cast.ada, now=NOW)
    asked.refresh_from_db()
    copy = asked.copy
    assert copy is not None
    assert (asked.state, copy.unconfirmed, copy.state) == (state, unconfirmed, order_state)
    if wanted is not None:
        assert copy.wanted_date == wanted


def test_a_form_sent_twice_writes_once(order: Order, seasons: tuple[Season, Season], yard: YardSettings, cast) -> None:
    _, coming = seasons
    list_again(coming, by=cast.ada, now=NOW)
    (row,) = winter_rows(asked_owners(coming), yard, now=NOW)
    to = [winter_facts(row.asked, coming, yard, today=TODAY)]
    message = Message(kind=Letter.Kind.WINTER, headline="Again?", batch=uuid4(), season=coming)
    first = release_to_all(to, message, yard, by=cast.ada, now=NOW)
    assert release_to_all(to, message, yard, by=cast.ada, now=NOW) == first
    assert Letter.objects.count() == 1


def test_how_full_the_weeks_are_tells_sure_from_unconfirmed(
    order: Order, seasons: tuple[Season, Season], yard: YardSettings, cast
) -> None:
    this, coming = seasons
    list_again(coming, by=cast.ada, now=NOW)
    hands_h = sum(
        sum(each["count"] for each in way.crew) * way.duration_min * yard.duration_factor / 60
        for job in order.jobs.all()
        for way in job.ways.all()[:1]
    )
    assert hands_h > 0
    (now_week,) = [week for week in weeks_of(this, yard, None) if week.sure_h or week.unconfirmed_h]
    assert (now_week.monday, now_week.unconfirmed_h) == (date(2027, 5, 3), 0)
    assert now_week.sure_h == pytest.approx(hands_h)
    (then,) = [week for week in weeks_of(coming, yard, None) if week.sure_h or week.unconfirmed_h]
    assert (then.monday, then.sure_h) == (date(2028, 5, 1), 0)
    assert then.unconfirmed_h == pytest.approx(hands_h)


def test_the_worker_lists_what_a_page_asked_for(order: Order, seasons: tuple[Season, Season], cast) -> None:
    _, coming = seasons
    assert list_in_worker(coming.pk, cast.ada.pk, real_now=NOW) == 1
    assert list_in_worker(coming.pk, cast.ada.pk, real_now=NOW) == 0
    assert SameAgain.objects.get().copy.made_by == cast.ada
    assert list_in_worker(10**6, cast.ada.pk, real_now=NOW) == 0
