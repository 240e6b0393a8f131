"""A boat that is to stay, a person who is to be left as he is: kept where the facts let them, else named."""

from __future__ import annotations

from tests.planning.test_reshuffle import AFTERNOON, DAYS, POSTED, deck, mended
from tests.planning.tiny import every_day, person, plan, pos, put, span
from yard.planning.check import faults
from yard.planning.plan import Plan
from yard.planning.problem import Link, Problem
from yard.planning.reshuffle import Wishes, changes, moved_boats
from yard.planning.reshuffle.wishes import Kept, forbidden, what_can_stay, wished

WREN, TEAL = 0, 1
IN_FRONT = Link(before=WREN, after=TEAL, min_wait=0, reason="Wren stands in front of her")
IN_TURN = plan(
    put(0, pos(0, "08:00"), pos(0, "09:00"), (0,), ((0, 0),)),
    put(1, pos(1, "08:00"), pos(1, "09:00"), (0,), ((0, 0),)),
    put(2, pos(1, "09:00"), pos(1, "10:00"), (1,)),
)


def keep(*boats: int) -> Wishes:
    return Wishes(boats=frozenset(boats))


def holds(problem: Problem, plans: list[Plan]) -> bool:
    return all(faults(problem, one) == () for one in plans)


def test_without_a_wish_nothing_is_pinned() -> None:
    kept = what_can_stay(deck(0, 1, 2), POSTED, Wishes())
    assert kept == Kept(frozenset())
    assert wished(deck(0, 1, 2), POSTED, Wishes(), kept) == deck(0, 1, 2)


def test_a_boat_that_may_stay_stays_and_the_other_moves() -> None:
    """08:00 to 09:00 of day 0 is shut, and the hour behind it is Teal's: kept, it is not Wren's.

    That Wren then has to move is no proof that she moves in any plan: without the wish either may have the hour.
    """
    problem = deck(1, 2, window_sets=(AFTERNOON,))
    found = mended(problem, wishes=keep(TEAL))
    assert (found.not_kept, found.must_move) == ((), ())
    assert found.proposed.plan.by_job()[1] == POSTED.by_job()[1]
    assert moved_boats(problem, changes(problem, POSTED, found.proposed.plan)) == {WREN}
    assert holds(problem, [one.plan for one in found.curve])


def test_a_boat_whose_hours_are_shut_cannot_stay_and_is_named() -> None:
    """Pinned into a shut day she would pass, since nothing is asked of what is pinned, and no check would let it."""
    problem = deck(1, 2)
    found = mended(problem, wishes=keep(TEAL))
    assert [(row.boat, row.job, row.rule) for row in found.not_kept] == [(TEAL, 1, "windows")]
    assert holds(problem, [one.plan for one in found.curve])
    assert found.proposed.disturbance.boats == 2
    pinned = wished(problem, POSTED, keep(TEAL), Kept(frozenset({1, 2})))
    assert forbidden(problem, mended(pinned).proposed.plan, Kept(frozenset({1, 2})))[0].job == 1


def test_a_boat_is_not_kept_while_she_in_front_finds_no_room() -> None:
    """Wren loses day 0 and stands in front of Teal, who is washed first thing on day 1: no room is left before her."""
    problem = deck(1, 2, links=(IN_FRONT,))
    assert faults(deck(0, 1, 2, links=(IN_FRONT,)), IN_TURN) == ()
    found = mended(problem, IN_TURN, wishes=keep(TEAL))
    assert [(row.boat, row.rule, row.other_job) for row in found.not_kept] == [(TEAL, "waits", 0)]
    assert "Wren stands in front of her" in found.not_kept[0].message
    assert found.proposed.plan.left_out == ()
    assert holds(problem, [one.plan for one in found.curve])


def test_she_is_kept_where_room_is_found_in_front() -> None:
    """As above, but Teal comes in the second hour of day 1: Wren takes the first."""
    later = plan(
        put(0, pos(0, "08:00"), pos(0, "09:00"), (0,), ((0, 0),)),
        put(1, pos(1, "09:00"), pos(1, "10:00"), (0,), ((0, 0),)),
        put(2, pos(2, "09:00"), pos(2, "10:00"), (1,)),
    )
    found = mended(deck(1, 2, links=(IN_FRONT,)), later, wishes=keep(TEAL))
    assert found.not_kept == ()
    assert found.proposed.plan.by_job()[1] == later.by_job()[1]
    assert found.proposed.plan.by_job()[0].ends_at <= pos(1, "09:00")


def test_work_of_somebody_ill_cannot_be_left_with_him() -> None:
    """Ann is to be left as she is, but is away on day 0: the wash goes to Jo, and the sewing of day 1 stays hers."""
    hours = every_day(days=DAYS)
    ill = (
        person("Jo", "rig", hours=hours),
        person("Ann", "rig", "sew", hours=hours, away=(span(0, "08:00", "10:00"),)),
    )
    problem = deck(0, 1, 2, people=ill)
    found = mended(problem, wishes=Wishes(people=frozenset({1})))
    assert [(row.job, row.rule) for row in found.not_kept] == [(1, "hours")]
    assert found.proposed.plan.by_job()[2] == POSTED.by_job()[2]
    assert [row.job for row in changes(problem, POSTED, found.proposed.plan)] == [1]
    assert holds(problem, [one.plan for one in found.curve])


def test_overdue_work_of_a_boat_that_is_to_stay_is_said() -> None:
    """It is 09:00 of day 0 and Wren's wash, due at 08:00, has not begun: she cannot stay as she was planned."""
    problem = deck(0, 1, 2, now=pos(0, "09:00"))
    found = mended(problem, wishes=keep(WREN))
    assert [(row.boat, row.rule) for row in found.not_kept] == [(WREN, "release")]
    assert holds(problem, [one.plan for one in found.curve])
