"""Build the example yard from nothing, all of it or nothing."""

from __future__ import annotations

import random
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime

from django.conf import settings
from django.db import transaction

from yard.models import Boat, Job, Order, Person, YardSettings
from yard.services.example_yard.fleet import write_fleet, write_store
from yard.services.example_yard.ground import (
    SIZES,
    YEAR,
    read_description,
    write_people,
    write_places,
    write_settings,
)
from yard.services.example_yard.wishes import write_orders
from yard.services.packages import load_packages

CLOCK = datetime(YEAR, 1, 14, 15, tzinfo=UTC)
"""A Thursday in January at 10:00 of the yard: nothing is done yet."""


class ExampleRefused(Exception):
    """There is a yard already; nothing was written."""


@dataclass(frozen=True)
class Built:
    """What was made, in numbers."""

    boats: int
    orders: int
    jobs: int
    people: int


@transaction.atomic
def build_example(size: str, seed: int) -> Built:
    """Make the yard of this size. One size and seed give the same rows, uids of jobs included.

    Raises ExampleRefused if a yard is here already.
    """
    if YardSettings.objects.exists() or Boat.objects.exists():
        raise ExampleRefused(
            "There is a yard in this database already, and an example is never written over it:"
            " name another database with DATABASE_URL or another folder with YARD_DATA."
        )
    rng = random.Random(f"{size}-{seed}")
    told, measure = read_description(), SIZES[size]
    load_packages(settings.BASE_DIR / "fixtures" / "packages")
    write_settings(told, CLOCK)
    write_people(told, measure)
    write_places(told, measure)
    boats = write_fleet(told, measure, rng)
    write_orders(boats, rng)
    write_store(boats, rng)
    _name_jobs(size, seed)
    return Built(Boat.objects.count(), Order.objects.count(), Job.objects.count(), Person.objects.count())


def _name_jobs(size: str, seed: int) -> None:
    """Calendars name a job by its uid for ever; in the example it follows from the seed."""
    space = uuid.uuid5(uuid.NAMESPACE_DNS, f"example-{size}-{seed}")
    jobs = list(Job.objects.order_by("id"))
    for number, job in enumerate(jobs):
        job.uid = uuid.uuid5(space, str(number))
    Job.objects.bulk_update(jobs, ["uid"], batch_size=500)
