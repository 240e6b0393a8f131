"""What instead on a lost day: only indoor work that is ready, by people who are there, and all of it together."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations
from zoneinfo import ZoneInfo

import pytest

from yard.models import Job, JobLink, Plan, PlannedJob, YardSettings
from yard.services.rain_work import Instead, JobOfDay, instead_on

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("posted_in_january")]
ZONE = ZoneInfo("America/New_York")


def clock():
    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    return now


def outdoor_days() -> list[date]:
    """The days with most outdoor work, and enough after them to pull from."""
    rows = PlannedJob.objects.filter(plan__state="posted", job__outdoor=True).order_by("starts_at")
    return sorted({row.starts_at.astimezone(ZONE).date() for row in rows})[2:5]


@pytest.fixture(scope="module")
def told(posted_in_january) -> dict[date, Instead]:
    found = {day: instead_on(day, now=clock()) for day in outdoor_days()}
    assert all(isinstance(one, Instead) for one in found.values())
    return found


def pulled(one: Instead) -> dict[int, JobOfDay]:
    return {each.job.pk: each for who in (*one.freed, *one.others) for each in who.instead}


def test_something_is_found_and_it_is_indoor_work_of_later_days(told):
    assert sum(len(pulled(one)) for one in told.values()) > 1
    for day, one in told.items():
        assert one.freed
        for who in one.freed:
            assert all(each.job.outdoor for each in who.lost)
        for each in pulled(one).values():
            assert not each.job.outdoor
            assert each.starts_at.astimezone(ZONE).date() == day
            assert each.was_at is not None
            assert day < each.was_at.astimezone(ZONE).date() <= day + timedelta(weeks=3)


def test_nobody_is_asked_twice_at_once_nor_while_at_other_work(told):
    """Counted from the plan's rows: whoever is pulled has no indoor job of the day, and no other pulled one, then."""
    for one in told.values():
        for who in (*one.freed, *one.others):
            spans = [(each.starts_at, each.ends_at) for each in who.instead]
            stays = PlannedJob.objects.filter(plan__state="posted", planned_people__person=who.person)
            stays = stays.exclude(job__in=[each.job.pk for each in (*who.lost, *who.instead)])
            spans += [(row.starts_at, row.ends_at) for row in stays]
            mine = {(each.starts_at, each.ends_at) for each in who.instead}
            for first, second in combinations(sorted(spans), 2):
                assert first[1] <= second[0] or not {first, second} & mine, who.person


def test_what_it_follows_is_done_by_then_and_is_not_lost(told):
    for one in told.values():
        lost = {each.job.pk for who in one.freed for each in who.lost}
        moved = pulled(one)
        for link in JobLink.objects.filter(after__in=moved).select_related("before"):
            assert link.before_id not in lost
            if link.before.state in (Job.State.DONE, Job.State.CANCELLED):
                continue
            before = moved.get(link.before_id) or PlannedJob.objects.get(plan__state="posted", job=link.before)
            assert before.ends_at <= moved[link.after_id].starts_at


def test_the_page_says_so_and_a_day_without_work_too(client, cast, told):
    client.force_login(cast.ben, "yard.web.access.RoleBackend")
    day = next(day for day, one in told.items() if pulled(one))
    page = client.get(f"/days/{day}/instead/").content.decode()
    assert "is lost outdoors" in page
    assert all(who.person.short_name in page for who in told[day].freed)
    assert "Close the day" not in page  # for a planner
    sunday = day + timedelta(days=6 - day.weekday())
    assert "does not work on that day" in client.get(f"/days/{sunday}/instead/").content.decode()
    assert client.get("/days/2027-13-01/instead/").status_code == 404
    Plan.objects.update(state=Plan.State.WITHDRAWN)
    assert "No plan is posted" in client.get(f"/days/{day}/instead/").content.decode()
    client.force_login(cast.ada, "yard.web.access.RoleBackend")
    assert f'value="{day}"' in client.get(f"/proposals/new/?day={day}").content.decode()
