"""Load, how good a plan is, ways back and what if: asked, worked out as the worker does it, and told on their pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from tests.planning.tiny import calendar, crew, every_day, job, person, plan, put, way, yard
from tests.web.made_creek import BACKEND, text_of
from yard.models import (
    BackAnswer,
    BackSearch,
    Boat,
    Order,
    Package,
    Plan,
    PlanBound,
    PlannedJob,
    PlanRun,
    WhatIf,
    YardSettings,
)
from yard.planning.plan import Planned, read_plan_json, score
from yard.planning.problem import Link, read_problem_json
from yard.planning.what_if import PlannedBeside
from yard.services import back_search, how_good
from yard.services.back_search import ask_ways_back
from yard.services.facts_revision import bump_facts
from yard.services.how_good import Proved, ask_how_good
from yard.services.read_problem import read_problem
from yard.services.stored_plan import plan_to_mend
from yard.services.what_if import WhatIfRefused, ask_what_if, throw_away
from yard.services.what_if_run import keep_what_if, planners_change
from yard.web.answers.how_good import good_page

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("posted_in_january")]


@pytest.fixture
def ada(cast) -> Client:
    client = Client()
    client.force_login(cast.ada, BACKEND)
    return client


def posted() -> Plan:
    return Plan.objects.get(state=Plan.State.POSTED)


def never() -> bool:
    return False


# load ----------------------------------------------------------------------------------------------------------------
def test_load_of_the_posted_plan(ada):
    text = text_of(ada.get(f"/plans/{posted().pk}/load/"))
    assert f"Load of plan {posted().number}" in text
    for part in ("People", "Places and drying lines", "Berths", "Tides at the ramp", "Everybody"):
        assert part in text


def test_a_plan_whose_season_is_not_kept_has_no_load(ada):
    bare = Plan.objects.create(made_at=timezone.now(), facts_revision=0)
    assert ada.get(f"/plans/{bare.pk}/load/").status_code == 404
    assert ada.get(f"/plans/{bare.pk}/how-good/").status_code == 404


# how good ------------------------------------------------------------------------------------------------------------
def proved(monkeypatch, **figures) -> None:
    found = Proved(**({"cost": 0, "weighted_days_late": 0, "days_of_flow": 0, "by": "alone"} | figures))
    monkeypatch.setattr(how_good, "prove", lambda *given: found)
    row = PlanBound.objects.filter(plan=posted(), state="asked").get()
    how_good.work_out(row.pk, clock=timezone.now, should_leave=never)


def test_posting_asks_for_a_proof_and_asking_twice_asks_once(cast):
    assert PlanBound.objects.filter(plan=posted(), state="asked").count() == 1
    again = [ask_how_good(posted(), by=cast.ada, now=timezone.now()) for _ in range(2)]
    assert again[0] == again[1] == PlanBound.objects.get(plan=posted())


def test_a_proof_is_told_and_never_as_more_than_it_is(ada, monkeypatch):
    found = score(read_problem_json(posted().problem), read_plan_json(posted().plan))
    assert "It is not proved yet" in text_of(ada.get(f"/plans/{posted().pk}/how-good/"))
    proved(monkeypatch, cost=1, days_of_flow=found.days_of_flow)
    page = good_page(posted(), now=timezone.now())
    assert [line.gap for line in page.lines] == [found.cost - 1, found.weighted_days_late, 0]
    assert not page.going
    text = text_of(ada.get(f"/plans/{posted().pk}/how-good/"))
    assert f"Days of flow: {found.days_of_flow}, and no plan has fewer. This is proved." in text
    assert "It is proved: no plan of this season costs less" not in text


def test_the_best_of_two_proofs_counts_and_the_gap_closes(ada, monkeypatch):
    found = score(read_problem_json(posted().problem), read_plan_json(posted().plan))
    proved(monkeypatch, cost=found.cost)
    ask_how_good(posted(), by=None, now=timezone.now())
    proved(monkeypatch, cost=3, weighted_days_late=found.weighted_days_late)
    page = good_page(posted(), now=timezone.now())
    assert [line.gap for line in page.lines][:2] == [0, 0]
    assert "no plan of this season costs less" in page.verdict
    assert not page.can_ask
    shown = ada.get(f"/plans/{posted().pk}/how-good/").content.decode()
    assert "and this plan meets it" in shown
    assert "nobody knows" not in shown


def test_a_plan_that_somebody_waits_for_goes_first(monkeypatch):
    def interrupted(problem, known, seconds, should_stop):
        PlanRun.objects.create(asked_at=timezone.now())
        monkeypatch.setattr(how_good, "LOOK_S", 0.0)
        assert should_stop()
        return Proved(0, 0, 0, "nothing")

    monkeypatch.setattr(how_good, "prove", interrupted)
    row = PlanBound.objects.get(plan=posted())
    how_good.work_out(row.pk, clock=timezone.now, should_leave=never)
    row.refresh_from_db()
    assert row.state == "asked"
    assert DBTaskResult.objects.filter(task_path="yard.tasks.prove_bound").count() == 2


def test_bounds_of_days_and_flow_apart():
    """Two boats want Jo for a day each, both due on the first: what each needs alone is proved."""
    problem = yard(
        job("rig Wren", way(8, crew=crew(1))),
        replace(job("rig Teal", way(8, crew=crew(1))), boat=1, order=1),
        replace(job("tune Teal", way(8, crew=crew(1))), boat=1, order=1),
        people=(person("Jo", hours=every_day(days=3)),),
        calendar=calendar(3),
        links=(Link(before=1, after=2),),
    )
    found = plan(put(0, 16, 24, people=(0,)), put(1, 0, 8, people=(0,)), put(2, 8, 16, people=(0,)))
    known = score(problem, found)
    assert (known.weighted_days_late, known.days_of_flow) == (3, 1)
    told = how_good.prove(problem, known, 0.2, lambda: True, backend="python")
    assert (told.weighted_days_late, told.days_of_flow) == (1, 1)  # Teal needs two days, whoever else is there
    assert 101 <= told.cost <= known.cost


# ways back -----------------------------------------------------------------------------------------------------------
@pytest.fixture
def late():
    """The order of the posted plan that ends last is promised four weeks before; nobody else has a date to miss."""
    Order.objects.update(promised_date=None, latest_date=None, wanted_date=None)
    last = PlannedJob.objects.exclude(job__order__boat=None).order_by("-ends_at").first()
    first = PlannedJob.objects.filter(job__order__boat=last.job.order.boat).order_by("starts_at").first()
    wanted = max(first.starts_at.date(), last.ends_at.date() - timedelta(weeks=4))
    last.job.order.boat.orders.update(promised_date=wanted, latest_date=None, wanted_date=None)
    return last.job.order


def test_ways_back_are_asked_once_tried_and_told(late, ada, cast, monkeypatch):
    assert "Try the ways back" in text_of(ada.get("/ways-back/"))
    ada.post("/ways-back/")
    ada.post("/ways-back/")
    search = BackSearch.objects.get()
    assert "Waiting to begin." in text_of(ada.get("/ways-back/"))
    before = (Plan.objects.count(), PlannedJob.objects.count())
    monkeypatch.setattr(back_search, "WITHIN_S", 1.0)
    back_search.work_out(search.pk, clock=timezone.now, should_leave=never)
    search.refresh_from_db()
    assert (search.state, search.error) == ("done", "")
    assert BackAnswer.objects.filter(search=search).count() == search.boats > 0
    assert (Plan.objects.count(), PlannedJob.objects.count()) == before
    assert ask_ways_back(by=cast.ada, now=timezone.now()) == search  # told once for this plan and these facts
    text = text_of(ada.get("/ways-back/"))
    assert late.boat.name in text
    assert "Try the ways back" not in text


def test_an_answer_without_ways_says_so_and_a_changed_fact_asks_anew(late, ada):
    search = ask_ways_back(by=None, now=timezone.now())
    BackAnswer.objects.create(search=search, order=late, days_late=3, seconds=1.0)
    BackSearch.objects.update(state="done", ended_at=timezone.now())
    assert "None of these helps her" in text_of(ada.get("/ways-back/"))
    BackAnswer.objects.update(whole=False)
    assert "not everything was tried" in text_of(ada.get("/ways-back/"))
    bump_facts()
    assert "Try the ways back" in text_of(ada.get("/ways-back/"))


def test_one_that_was_cut_off_may_be_asked_again(late, ada):
    search = ask_ways_back(by=None, now=timezone.now())
    BackSearch.objects.update(state="working", heartbeat_at=timezone.now() - timedelta(minutes=5))
    assert "cut off" in text_of(ada.get("/ways-back/"))
    assert ask_ways_back(by=None, now=timezone.now()) != search


# what if -------------------------------------------------------------------------------------------------------------
CLOSED = {"type": "dates", "weeks": 2}


def asked_and_planned(change=CLOSED, says="All orders 2 weeks later") -> WhatIf:
    """As the worker does it, with the posted plan as what it found for both seasons."""
    row = ask_what_if(change=change, says=says, form_key=uuid4(), by=None, now=timezone.now())
    read = read_problem(now=YardSettings.objects.get().clock_frozen_at)
    laid = plan_to_mend(posted(), read)
    planned = Planned(laid, score(read.problem, laid), 0, False, 1.0, "time")
    keep_what_if(row.run, read, PlannedBeside(planned, planned, 2.0))
    PlanRun.objects.filter(pk=row.run.pk).update(state="done")
    row.refresh_from_db()
    return row


def test_a_what_if_is_asked_once_by_a_double_press(ada):
    sent = {"form": "dates", "dates-form_key": str(uuid4()), "dates-weeks": "-2"}
    first, second = ada.post("/what-if/", sent), ada.post("/what-if/", sent)
    row = WhatIf.objects.get()
    assert first.headers["Location"] == second.headers["Location"] == f"/what-if/{row.pk}/"
    assert (row.says, row.change) == ("All orders 2 weeks earlier", {"type": "dates", "weeks": -2})
    assert PlanRun.objects.get(pk=row.run_id).request == {"what_if": row.pk}
    assert "Waiting to begin." in text_of(ada.get(f"/what-if/{row.pk}/"))


def test_a_second_one_waits_for_the_planner(ada):
    ask_what_if(change=CLOSED, says="one", form_key=uuid4(), by=None, now=timezone.now())
    answer = ada.post("/what-if/", {"form": "dates", "dates-form_key": str(uuid4()), "dates-weeks": "1"})
    assert answer.status_code == 422
    assert "The planner is at work already" in text_of(answer)
    assert WhatIf.objects.count() == 1


def test_what_is_wrong_is_said_at_its_field(ada):
    key = str(uuid4())
    days = {"person-first": "2027-03-10", "person-last": "2027-03-01"}
    answer = ada.post("/what-if/", {"form": "person", "person-form_key": key, **days})
    assert "The last day is before the first." in text_of(answer)
    assert not WhatIf.objects.exists()


def test_side_by_side_and_the_posted_plan_untouched(ada):
    before = (posted().pk, PlannedJob.objects.count(), Plan.objects.count())
    row = asked_and_planned()
    assert row.state == "ready"
    assert row.figures["same"]["weighted_days_late"] >= row.figures["changed"]["weighted_days_late"]
    text = text_of(ada.get(f"/what-if/{row.pk}/"))
    for words in ("Side by side", "As it is, planned again", "Load by skill and week", "Everybody"):
        assert words in text
    assert (posted().pk, PlannedJob.objects.count(), Plan.objects.count()) == before
    bump_facts()
    assert "Facts have changed since" in text_of(ada.get(f"/what-if/{row.pk}/"))


def test_kept_thrown_away_and_decided_once(ada):
    row = asked_and_planned()
    ada.post(f"/what-if/{row.pk}/keep/")
    row.refresh_from_db()
    assert (row.state, row.decided_by.username) == ("kept", "ada")
    ada.post(f"/what-if/{row.pk}/throw-away/")
    row.refresh_from_db()
    assert (row.state, row.plan) == ("dropped", "")
    with pytest.raises(WhatIfRefused, match="decided it already"):
        throw_away(row, by=None, now=timezone.now())


def test_a_draft_is_made_of_one_that_holds(ada):
    row = asked_and_planned()
    wall = posted().pk
    ada.post(f"/what-if/{row.pk}/draft/")
    row.refresh_from_db()
    assert (row.made.state, row.made.note) == ("draft", "What if: All orders 2 weeks later")
    assert row.made.planned_jobs.count() == posted().planned_jobs.count()
    assert posted().pk == wall


def test_no_draft_of_one_with_somebody_whom_the_yard_does_not_have(ada):
    change = {"type": "person", "skills": {"rigger": 1}, "first": "2027-03-01", "last": "2027-03-31"}
    row = WhatIf.objects.create(
        says="One more", change=change, form_key=uuid4(), asked_at=timezone.now(), state="ready", plan="{}"
    )
    answer = ada.post(f"/what-if/{row.pk}/draft/", follow=True)
    assert "enter the person" in answer.content.decode()
    assert not Plan.objects.filter(state="draft").exists()


def test_dates_of_a_change_become_days_of_the_axis():
    problem = read_problem(now=YardSettings.objects.get().clock_frozen_at).problem
    names = problem.calendar.day_names
    stored = {"type": "place", "place": problem.places[0].key, "first": names[20], "last": names[24]}
    change = planners_change(stored, problem)
    assert (change.first_day, change.until_day) == (20, 25)


# what the pages ask -------------------------------------------------------------------------------------------------
def test_the_answers_pages_ask_as_often_as_ever(ada):
    """The yard of the fixture has two dozen boats; a second what if makes no page ask more."""
    plan, (what_if, _) = posted().pk, [asked_and_planned().pk for _ in range(2)]
    counts = {
        f"/plans/{plan}/load/": 7,
        f"/plans/{plan}/how-good/": 8,
        "/ways-back/": 16,
        "/what-if/": 9,
        f"/what-if/{what_if}/": 9,
    }
    asked = {}
    for path in counts:
        ada.get(path)
        with CaptureQueriesContext(connection) as queries:
            ada.get(path)
        asked[path] = len(queries)
    assert asked == counts


def test_when_it_could_be_done_asks_as_often_as_ever(ada, django_assert_max_num_queries):
    package, boat = Package.objects.get(key="halyard"), Boat.objects.exclude(draft_m=None).first()
    sent = {"boat": boat.name, "package": package.pk, "goes_first": "1", "when": "1"}
    ada.post("/orders/new/", sent)
    with django_assert_max_num_queries(109):  # the order is taken, the season read, and the order given back
        assert "Done by" in ada.post("/orders/new/", sent).content.decode()
