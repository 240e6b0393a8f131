"""How sure her days are: natural frequencies, what the risk is made of, and honest words where nothing is known."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.web.made_creek import MONDAY, NOW, job, post, text_of
from yard.models import Boat, DayOdds, Plan, PlanOdds, Skill
from yard.web.boats.sure import in_ten

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("creek")]


@pytest.fixture
def planned(creek):
    return job(post(), "Dunlin", "Fit the cover", MONDAY, "09:00", "11:00")


def odds(planned, **day) -> DayOdds:
    made = PlanOdds.objects.create(
        plan=planned.plan, made_at=NOW - timedelta(hours=1), scenarios=1000, seed=1, seconds=0.8, rests_on="climate"
    )
    told = {
        "milestone": "fitting",
        "planned_date": MONDAY,
        "day_50": MONDAY,
        "day_80": MONDAY + timedelta(days=1),
        "day_90": MONDAY + timedelta(days=2),
        "day_95": None,
        "promised_date": MONDAY + timedelta(days=1),
        "chance_kept": 0.82,
        "drivers": [
            {"cause": "skill", "name": "rigger", "share": 0.6},
            {"cause": "weather", "name": "", "share": 0.3},
        ],
    }
    return DayOdds.objects.create(odds=made, order=planned.job.order, job=planned.job, **(told | day))


def page(client, cast) -> str:
    client.force_login(cast.dee, "yard.web.access.RoleBackend")
    return text_of(client.get(f"/boats/{Boat.objects.get(name='Dunlin').pk}/"))


def test_not_reckoned_yet(planned, client, cast):
    assert "Not reckoned yet" in page(client, cast)


def test_days_promise_and_what_could_move_it(planned, client, cast):
    Skill.objects.get_or_create(key="rigger", defaults={"name": "Rigger"})
    odds(planned)
    told = page(client, cast)
    assert "Fit the cover Mon 10 May Mon 10 May Wed 12 May later than planned for about 8 in 10 Tue 11 May" in told
    assert "What could move it most: rigger needed elsewhere, weather." in told
    assert "lived through 1,000 times at 09:00" in told
    assert "rests on climate" in told


def test_an_orders_last_day_is_not_said_twice_and_its_promise_is_said_once(planned, client, cast):
    first = odds(planned, promised_date=None, chance_kept=None)
    done = {"milestone": "done", "planned_date": MONDAY, "promised_date": MONDAY, "chance_kept": 0.31}
    DayOdds.objects.create(odds=first.odds, order=first.order, job=first.job, **done)
    told = page(client, cast)
    assert "Spring done" not in told
    assert "about 3 in 10 Mon 10 May" in told


def test_of_a_plan_that_hangs_there_no_more_nothing_is_told(planned, client, cast):
    odds(planned)
    Plan.objects.update(state=Plan.State.WITHDRAWN)
    assert "in 10" not in page(client, cast)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.0, "fewer than 1 in 10"),
        (0.04, "fewer than 1 in 10"),
        (0.05, "fewer than 1 in 10"),
        (0.5, "about 5 in 10"),
        (0.94, "about 9 in 10"),
        (0.96, "more than 9 in 10"),
        (1.0, "more than 9 in 10"),
    ],
)
def test_never_certain_and_never_none(chance, words):
    assert in_ten(chance) == words
