"""The example yard in January: its own checks, what it waits on, its words, and that it can be planned."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.db import models

from tests.kept_rows import Rows, all_rows, put_back
from yard.models import Boat, DatedHours, Fact, Job, Mooring, Order, Person, Whereabouts, YardSettings
from yard.services.read_problem import read_problem

AVOIDED = re.compile(r"\b(slot|ticket|asset|resource|backlog|sprint|guaranteed|ETA|blocked|install mast)\b", re.I)


pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("january")]


def words(model: type[models.Model]) -> list[str]:
    """What each row says, field by field."""
    names = [field.name for field in model._meta.concrete_fields]
    rows: list[Any] = list(model._default_manager.all())
    return [" ".join(str(getattr(row, name)) for name in names) for row in rows]


def test_nothing_is_done():
    assert set(Job.objects.values_list("state", flat=True)) == {Job.State.OPEN, Job.State.CANCELLED}
    assert not Job.objects.filter(state=Job.State.CANCELLED, state_note="").exists()


def test_every_row_passes_its_own_checks():
    for model in (Boat, Mooring, Person, DatedHours, Order, Fact, Whereabouts, YardSettings):
        for row in model._default_manager.all():
            row.full_clean(validate_unique=False)


def test_rows_of_the_store_are_stacks():
    here = Whereabouts.objects.filter(kind="store_row").order_by("place_id", "position")
    by_place: dict[int | None, list[int | None]] = {}
    for row in here:
        by_place.setdefault(row.place_id, []).append(row.position)
    assert len(by_place) > 1
    assert all(positions == list(range(1, len(positions) + 1)) for positions in by_place.values())


def test_some_orders_wait_on_each_kind_of_fact():
    waiting = set(Fact.objects.filter(state=Fact.State.EXPECTED).values_list("kind", flat=True))
    assert {"permit", "deposit", "approval", "cloth", "tackle_set"} <= waiting
    assert Fact.objects.filter(state=Fact.State.UNKNOWN, kind="draft").exists()
    assert not Fact.objects.filter(state=Fact.State.EXPECTED, guess=False, told_by="").exists()


def test_it_can_be_planned():
    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    read = read_problem(now=now)
    held = {each.job.pk for each in read.held}
    open_jobs = set(Job.objects.filter(state=Job.State.OPEN).values_list("pk", flat=True))
    assert set(read.jobs) | held == open_jobs
    assert 0 < len(held) < len(open_jobs) / 10


def test_no_word_that_the_yard_would_not_use():
    for model in (Boat, Order, Job, Fact, Person, Mooring):
        for text in words(model):
            assert not AVOIDED.search(text), text


def in_order(rows: Rows) -> Rows:
    """Which row of a table comes first is nobody's business: PostgreSQL gives them as they lie."""
    return {table: sorted(of_table, key=repr) for table, of_table in rows.items()}


def test_rows_that_are_put_back_are_the_rows_that_were_kept() -> None:
    """What the tests of the example stand on after the first module: keys too, and the next row has a new one."""
    kept = all_rows()
    first = Person.objects.order_by("pk")[0]
    put_back({table: [] for table in kept})
    assert not Person.objects.exists()
    put_back(kept)
    assert in_order(all_rows()) == in_order(kept)
    assert Person.objects.order_by("pk")[0] == first
    assert Person.objects.create(name="Newer", short_name="Newer").pk > first.pk


def test_a_last_day_before_its_first_is_told_and_stops_nothing_else():
    """As where an owner's dates were moved after a last day was set."""
    now = YardSettings.objects.get().clock_frozen_at
    row = Job.objects.filter(state=Job.State.OPEN, finish_by_date=None, order__boat__isnull=False).order_by("id")[0]
    Order.objects.filter(pk=row.order_id).update(earliest_date=date(2027, 5, 4))
    Job.objects.filter(pk=row.pk).update(finish_by_date=date(2027, 4, 2))
    read = read_problem(now=now)
    held = {each.job.pk: each.reason for each in read.held}
    assert held[row.pk] == "its last day, 3 April 2027, to be after 4 May 2027"


def test_work_behind_work_that_is_held_says_for_which_job_it_waits():
    """Whatever the first reason reads like; the one behind the second is told of the first alone."""
    now = YardSettings.objects.get().clock_frozen_at
    launch = Job.objects.filter(kind__key="launch", state=Job.State.OPEN, order__boat__isnull=False).order_by("id")[0]
    fact = Fact.objects.create(
        name="paint that waits for customs", kind="other", order=launch.order, set_at=now, state=Fact.State.UNKNOWN
    )
    launch.facts.add(fact)
    held = [each for each in read_problem(now=now).held if fact.name in each.reason]
    first = f"{fact.name} unknown"
    assert [each.reason for each in held if not each.handed_on] == [first]
    behind = {each.reason for each in held if each.handed_on}
    assert behind == {f"waits for “{launch.name}”: {first}"}
