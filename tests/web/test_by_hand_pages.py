"""A job moved by hand on its page: chosen, tried, waived, refused in words; the draft undone and posted."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.test import Client

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, text_of
from yard.models import HandChange, HandDraft, Pin, Plan, PlannedJob, YardSettings
from yard.services import plan_in_memory

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture(scope="module")
def read_once(posted_in_january: int) -> dict[plan_in_memory.Key, plan_in_memory.InMemory]:
    plan_in_memory._kept.clear()
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    plan_in_memory.plan_in_memory(now=clock)
    return dict(plan_in_memory._kept)


@pytest.fixture
def ada(read_once: dict[plan_in_memory.Key, plan_in_memory.InMemory], cast: Cast, client: Client) -> Client:
    plan_in_memory._kept.clear()
    plan_in_memory._kept.update(read_once)
    client.force_login(cast.ada, BACKEND)
    return client


def rows() -> list[PlannedJob]:
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    later = PlannedJob.objects.filter(plan__state="posted", starts_at__gt=clock, planned_people__isnull=False)
    return list(later.select_related("job").distinct().order_by("starts_at", "id"))


ALONE = r'name="version" value="0"><input type="hidden" name="place" value="([^"]+)"'
WITH_HERS = r'name="others" value="yes"><input type="hidden" name="place" value="([^"]+)"'


def offered(client: Client, pattern: str) -> tuple[PlannedJob, str]:
    """The first job with an offer of that kind, and what choosing it sends."""
    for row in rows():
        page = client.get(f"/plans/hand/jobs/{row.job_id}/").content.decode()
        if found := re.search(pattern, page):
            return row, found[1]
    raise AssertionError("no such offer in the example")


def test_chosen_where_her_other_work_moves_too(ada: Client) -> None:
    row, found = offered(ada, WITH_HERS)
    sent = {"version": "0", "place": found, "others": "yes"}
    text = text_of(ada.post(f"/plans/hand/jobs/{row.job_id}/", sent, follow=True))
    assert "1 change by hand, not yet posted" in text
    assert "more job" in text
    moved = {kept["job"] for kept in HandChange.objects.get().placements}
    assert row.job_id in moved
    assert set(PlannedJob.objects.filter(job__in=moved).values_list("job__order__boat", flat=True)) == {
        row.job.order.boat_id
    }


def test_chosen_from_the_offers_undone_done_again_and_posted(ada: Client) -> None:
    row, found = offered(ada, ALONE)
    answer = ada.post(f"/plans/hand/jobs/{row.job_id}/", {"version": "0", "place": found, "pin": "yes"}, follow=True)
    assert "1 change by hand, not yet posted" in text_of(answer)
    draft = HandDraft.objects.get()
    ada.post(f"/plans/hand/{draft.pk}/undo/", {"version": "1"})
    assert "Undone" in text_of(ada.get("/plans/hand/"))
    again = ada.post(f"/plans/hand/{draft.pk}/redo/", {"version": "1"}, follow=True)
    assert "meanwhile" in again.content.decode()  # a stale page
    ada.post(f"/plans/hand/{draft.pk}/redo/", {"version": "2"})
    posted = ada.post(f"/plans/hand/{draft.pk}/post/", {"version": "3"}, follow=True)
    plan = Plan.objects.get(state="posted")
    assert f"Plan {plan.number} hangs on the wall, with your changes." in posted.content.decode()
    assert Pin.objects.get().job_id == row.job_id
    assert str(plan.number) in text_of(ada.get(f"/boats/{row.job.order.boat_id}/past/"))


def test_a_time_of_ones_own_is_judged_in_words(ada: Client) -> None:
    row = rows()[0]
    day: date = row.starts_at.date() + timedelta(days=7)
    asked = {"day": str(day), "at": "05:00", "people": [each.person_id for each in row.planned_people.all()]}
    text = text_of(ada.get(f"/plans/hand/jobs/{row.job_id}/", asked))
    assert "It does not fit" in text or "Nobody works then" in text


@pytest.mark.parametrize("asked", [{"at": "25:00", "day": "x"}, {"at": "09:00", "day": "2031-01-01"}])
def test_nonsense_is_answered_with_what_to_do(ada: Client, asked: dict[str, str]) -> None:
    answer = ada.get(f"/plans/hand/jobs/{rows()[0].job_id}/", asked)
    assert answer.status_code == 422
    assert "Nothing was changed" in text_of(answer)


@pytest.mark.parametrize(
    "place", ["", "0|x||", "99|2027-01-01T00:00:00+00:00||", "0|2027-05-05T12:00:00+00:00|999999|"]
)
def test_a_placement_that_is_none_is_refused(ada: Client, place: str) -> None:
    answer = ada.post(f"/plans/hand/jobs/{rows()[0].job_id}/", {"version": "0", "place": place})
    assert answer.status_code == 422
    assert not HandDraft.objects.exists()


def test_without_a_plan_it_says_so(ada: Client) -> None:
    row = rows()[0]
    Plan.objects.all().update(state="withdrawn")
    assert "No plan is posted yet" in text_of(ada.get("/plans/hand/"))
    assert ada.get(f"/plans/hand/jobs/{row.job_id}/").status_code == 422
