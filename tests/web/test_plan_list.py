"""The list of plan versions, and with it the way in which every list of the yard sorts, narrows and turns pages."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from yard.models import Plan, YardSettings

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def client_of_dee(cast) -> Client:
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW)
    client = Client()
    client.force_login(cast.dee, "yard.web.access.RoleBackend")
    return client


def make(count: int) -> None:
    for number in range(count):
        at = NOW - timedelta(days=number)
        Plan.objects.create(
            number=count - number,
            state=Plan.State.POSTED if number == 0 else Plan.State.SUPERSEDED,
            made_at=at,
            posted_at=at,
            facts_revision=0,
            cost=1000 + number,
            late_days=number,
            unplaced=0,
            seconds=30,
        )


def listed(page: str) -> list[int]:
    return [int(number) for number in re.findall(r">Plan (\d+)</a>", page)]


def test_the_newest_first_and_the_posted_one_in_the_heading(client_of_dee):
    make(3)
    page = client_of_dee.get(reverse("plans")).content.decode()
    assert listed(page) == [3, 2, 1]
    assert "Plan 3 hangs on the wall" in page
    assert "Thu 6 May 2027, 10:00" in page  # 14:00 UTC in New York's summer


def test_a_column_sorts_both_ways_and_says_so(client_of_dee):
    make(3)
    page = client_of_dee.get(reverse("plans") + "?sort=made_at").content.decode()
    assert listed(page) == [1, 2, 3]
    assert page.count('aria-sort="ascending"') == 1
    page = client_of_dee.get(reverse("plans") + "?sort=-late_days").content.decode()
    assert listed(page) == [1, 2, 3]
    assert page.count('aria-sort="descending"') == 1


def test_narrowed_to_a_state_and_sorted(client_of_dee):
    make(3)
    page = client_of_dee.get(reverse("plans") + "?state=superseded&sort=made_at").content.decode()
    assert listed(page) == [1, 2]
    assert 'name="sort" value="made_at"' in page  # asking again keeps the order


def test_pages_of_fifty(client_of_dee):
    make(53)
    first = client_of_dee.get(reverse("plans")).content.decode()
    assert listed(first) == list(range(53, 3, -1))
    assert "1 to 50 of 53" in first
    second = client_of_dee.get(reverse("plans") + "?page=2").content.decode()
    assert listed(second) == [3, 2, 1]


@pytest.mark.parametrize("address", ["?page=99", "?page=abc", "?sort=colour", "?state=torn"])
def test_an_address_that_asks_for_what_is_not_there_still_answers(client_of_dee, address):
    make(2)
    assert client_of_dee.get(reverse("plans") + address).status_code == 200


def test_the_list_has_a_caption_and_row_headings(client_of_dee):
    make(1)
    page = client_of_dee.get(reverse("plans")).content.decode()
    assert re.search(r"<caption[^>]*>Plan versions", page)
    assert '<th scope="row"' in page
    assert 'data-label="State"' in page


def test_without_a_plan_it_says_what_comes_first(client_of_dee):
    page = client_of_dee.get(reverse("plans")).content.decode()
    assert "No plan was made yet" in page
    assert "<table" not in page


def test_as_many_queries_for_many_plans(client_of_dee, django_assert_num_queries):
    make(2)
    client_of_dee.get(reverse("plans"))
    with django_assert_num_queries(10) as few:
        client_of_dee.get(reverse("plans"))
    Plan.objects.all().delete()
    make(40)
    with django_assert_num_queries(len(few)):
        client_of_dee.get(reverse("plans"))
