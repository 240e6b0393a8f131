"""The example's two past seasons: closed, comparable, and nothing of the season in hand is other with them."""

import pytest

from yard.models import Job, Order, Season, SeasonClosed, Whereabouts, YardSettings
from yard.queries.books import Days, books_of
from yard.queries.honesty import hours_measured
from yard.queries.season_figures import season_figures
from yard.services.example_yard.building import draw
from yard.services.example_yard.past_seasons import write_past_seasons
from yard.services.order_again import orders_of_year, take_again

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("january")]


def _where() -> dict[int, int]:
    """Of each boat, the row that says where she lies now: the last one."""
    return dict(Whereabouts.objects.order_by("since", "pk").values_list("boat", "pk"))


def test_two_closed_seasons_beside_the_one_in_hand():
    where, open_jobs = _where(), set(Job.objects.filter(state="open").values_list("pk", flat=True))
    drawn = draw("S", 1)
    write_past_seasons(drawn.about.past, drawn.pen)
    spring, autumn = Season.objects.exclude(closed_at=None)
    first, then = season_figures([spring, autumn], YardSettings.objects.get())
    assert (spring.name, autumn.name) == ("Spring 2026", "Autumn 2026")
    assert first.boats == first.orders == first.done == round(0.55 * 25)
    assert min(first.hours, then.hours) > 50
    assert (first.lost_days, then.lost_days) == (9, 7)
    assert (first.extra_moves, then.extra_moves) == (6, 4)
    assert 0 < first.late <= first.promised
    books = books_of(Days(spring.starts_on, spring.ends_on))
    assert sum(row.quantity for row in books.hours) == pytest.approx(first.hours, abs=0.5)
    assert books.materials
    assert hours_measured() == []  # nothing is learnt from them
    assert _where() == where
    assert set(Job.objects.filter(state="open").values_list("pk", flat=True)) == open_jobs
    with pytest.raises(SeasonClosed):
        Order.objects.filter(season=spring)[0].save()


def test_the_orders_of_past_seasons_can_be_taken_again():
    """Each says of which package it was: all of last year's stand on the page, and what is ticked is ordered once."""
    drawn = draw("S", 1)
    write_past_seasons(drawn.about.past, drawn.pen)
    last_year = orders_of_year(2026)
    assert len(last_year) == Order.objects.filter(season__closed_at__isnull=False).count() == round(0.55 * 25) + 15
    clock = YardSettings.objects.get().clock_frozen_at
    picked = [order.pk for order in last_year if order.package.key in ("sail_repair", "standing_rigging")]
    made = take_again(picked, by=None, now=clock)
    assert (len(made.orders), made.left) == (len(picked), ())
    assert len(picked) > 3
    assert all(order.jobs.exists() and order.unconfirmed for order in made.orders)
    assert take_again(picked, by=None, now=clock).orders == ()
