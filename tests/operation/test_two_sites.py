"""Two processes of the site, each with its own memory: what is written through one is seen by the other's next page."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import Cast
from tests.operation.background import Folder, address_of_test_database
from tests.operation.small_yard import make_small_yard
from yard.models import Boat, Job, JobKind, JobWay, Order, Person, PersonSkill, Plan, Skill, YardSettings
from yard.planning.plan import Planned
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services import plan_in_memory
from yard.services.read_problem import read_problem
from yard.services.save_plan import Making, post_plan, save_plan

pytestmark = pytest.mark.once
NOW = datetime(2027, 5, 6, 12, 0, tzinfo=UTC)
BACKEND = "yard.web.access.RoleBackend"
THE_OTHER_SITE = """
from django.contrib.auth.models import User
from django.test import Client
client = Client(SERVER_NAME="localhost")
client.force_login(User.objects.get(username="cy"), "yard.web.access.RoleBackend")
answer = client.post("{address}", {sent})
assert answer.status_code == 302, answer.content
"""


@pytest.fixture
def other_site(transactional_db: None, tmp_path: Path) -> Iterator[Folder]:
    made = Folder(tmp_path, database=address_of_test_database())
    yield made
    made.kill_all()


def post_a_plan() -> Plan:
    """One job for Ben on a plan that hangs; the yard's clock stands on Thursday, 6 May 2027, at 8 in the morning."""
    make_small_yard()
    YardSettings.objects.update(clock_frozen_at=NOW)
    kind = JobKind.objects.create(key="sew", name="Sew", short_name="sew", letter="S", trade="loft")
    boat = Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2)
    order = Order.objects.create(ref="27-1", boat=boat, name="Canvas", made_at=NOW)
    job = Job.objects.create(order=order, kind=kind, key="sew", name="Sew")
    JobWay.objects.create(job=job, duration_min=60, crew=[{"skill": "sail", "level": 1, "count": 1}])
    PersonSkill.objects.create(
        person=Person.objects.get(), skill=Skill.objects.create(key="sail", name="Sails"), level=1
    )
    read = read_problem(now=NOW)
    planned = solve(read.problem, stop=Rounds(1), workers=1, backend="python")
    assert isinstance(planned, Planned)
    return post_plan(save_plan(read, planned, Making(by=None, now=NOW, seed=1)), by=None, now=NOW)


def test_what_one_writes_the_other_shows(other_site: Folder, cast: Cast) -> None:
    post_a_plan()
    plan_in_memory.forget()
    ben, job = Person.objects.get(), Job.objects.get()
    here = Client()
    here.force_login(cast.ada, BACKEND)
    address = reverse("by_hand_job", args=[job.pk]) + f"?day=2027-05-10&at=09:00&people={ben.pk}"
    assert "It fits: " in here.get(address).content.decode()
    before = dict(plan_in_memory._kept)
    (season,) = before.values()  # this site keeps it in its memory
    assert "It fits: " in here.get(address).content.decode()
    assert all(kept is season for kept in plan_in_memory._kept.values()), "and does not read it anew for nothing"

    sent = {"day": "2027-05-10", "until": "2027-05-10", "reason": "jury", "kind": "away"}
    there = THE_OTHER_SITE.format(address=reverse("person_hours", args=[ben.pk]), sent=sent)
    other_site.python(there)

    page = here.get(address).content.decode()
    assert "It does not fit: " in page
    assert plan_in_memory._kept.keys().isdisjoint(before)
