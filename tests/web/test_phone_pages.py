"""The crew's phone page, what is tapped on it, and closing a day."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, FRIDAY, NOW, THURSDAY, job, launch, person, post, text_of
from yard.models import (
    DayClosing,
    Event,
    ExtraWork,
    Fact,
    GaugeReading,
    Job,
    JobWork,
    MaterialUsed,
    Memo,
    Person,
    Place,
    Plan,
    PlannedPlace,
    PlannedStay,
    Proposal,
    Stay,
    Tap,
    Waiver,
    Whereabouts,
    YardSettings,
)
from yard.services.record_event import take_back

pytestmark = pytest.mark.django_db
ADDRESS, TAP = "/today/", "/today/tap/"
CLOSE = f"/today/close/{THURSDAY}/"


@pytest.fixture
def ben(cast: Cast, client: Client, creek: YardSettings) -> Client:
    """Ben of the crew, with a telephone."""
    client.force_login(cast.ben, BACKEND)
    return client


@pytest.fixture
def crew(cast: Cast, creek: YardSettings) -> dict[str, Person]:
    made = {name: person(name) for name in ("Ben", "Cal")}
    made["Ben"].user = cast.ben
    made["Ben"].save()
    return made


def tap(client: Client, kind: str, work: Job | None = None, **more: str):
    sent = {"kind": kind, "key": str(uuid4()), "job": str(work.pk) if work else "", **more}
    return client.post(TAP, sent, headers={"accept": "application/json"})


def test_his_own_jobs_the_second_person_and_the_caution(ben: Client, crew: dict[str, Person]) -> None:
    plan = post()
    launch(plan, "Tern", THURSDAY, "11:00", crew["Ben"], crew["Cal"])
    job(plan, "Dunlin", "Varnish", THURSDAY, "13:00", "14:00", crew["Cal"])
    text = text_of(ben.get(ADDRESS))
    assert "Next 1, 11:00 to 12:30 Tern Launch" in " ".join(text.split())
    assert "Nobody between boat and trailer. Not alone: with Cal." in text
    assert "Water 10:00 to 14:00" in text
    assert "Finished , for all 2" in text.replace("Finished, for", "Finished , for")
    assert "Varnish" not in text
    assert "Varnish" in text_of(ben.get(ADDRESS, {"all": 1}))


def test_alone_on_the_water_is_said(ben: Client, crew: dict[str, Person]) -> None:
    launch(post(), "Tern", THURSDAY, "11:00", crew["Ben"])
    assert "Nobody else is named: do not begin alone." in text_of(ben.get(ADDRESS))


def test_the_tide_of_another_day_is_one_press_away(ben: Client, crew: dict[str, Person]) -> None:
    post()
    page = ben.get(ADDRESS)
    assert f"?day={FRIDAY}" in page.content.decode()
    text = text_of(ben.get(ADDRESS, {"day": str(FRIDAY)}))
    assert "High 00:00, 2.0 m" in text
    assert "high 12:00, 3.0 m" in text
    assert "Nothing is planned for Ben on this day." in text


def test_one_finishes_for_the_gang_and_a_tap_sent_twice_is_one(ben: Client, crew: dict[str, Person]) -> None:
    plan = post()
    row = launch(plan, "Tern", THURSDAY, "09:00", crew["Ben"], crew["Cal"])
    key = str(uuid4())
    answers = [tap(ben, "finished", row.job, key=key) for _ in range(2)]
    assert [answer.json()["says"] for answer in answers] == ["Tern, Launch: done"] * 2
    row.job.refresh_from_db()
    assert row.job.state == Job.State.DONE
    assert set(JobWork.objects.values_list("person__short_name", flat=True)) == {"Ben", "Cal"}
    assert (Tap.objects.count(), Event.objects.count()) == (1, 1)
    other = tap(ben, "finished", row.job).json()
    assert other == {"refused": False, "says": "Tern, Launch was finished already, by Ben.", "plan": 7}
    assert Event.objects.count() == 1


def test_what_was_tapped_without_signal_is_of_then(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    tapped = NOW - timedelta(hours=1)
    tap(ben, "finished", row.job, at=tapped.isoformat())
    row.job.refresh_from_db()
    assert row.job.actual_ends_at == tapped
    later = job(row.plan, "Dunlin", "Varnish", THURSDAY, "09:00", "09:30", crew["Ben"])
    tap(ben, "finished", later.job, at=(NOW + timedelta(days=3)).isoformat())
    later.job.refresh_from_db()
    assert later.job.actual_ends_at == NOW  # a telephone's clock that runs ahead is not believed


def test_undo_puts_the_job_back(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    key = str(uuid4())
    tap(ben, "finished", row.job, key=key)
    assert tap(ben, "undo", row.job, of=key).json()["says"] == "taken back: Tern, Varnish: done"
    row.job.refresh_from_db()
    assert (row.job.state, row.job.actual_ends_at, JobWork.objects.count()) == (Job.State.OPEN, None, 0)


def test_stopped_says_why_what_is_left_and_where_she_lies(ben: Client, crew: dict[str, Person]) -> None:
    row = launch(post(), "Tern", THURSDAY, "09:00", crew["Ben"], crew["Cal"])
    berth = Place.objects.create(ref="b1", name="Berth 1", kind="berth")
    assert tap(ben, "stopped", row.job).json() == {"refused": True, "says": "Say why it was stopped.", "plan": 7}
    told = tap(ben, "stopped", row.job, reason="wind", words="gusts at the ramp", left="60", lies=f"place-{berth.pk}")
    assert told.json()["says"] == "Tern, Launch: stopped, 1 h left, wind: gusts at the ramp"
    row.job.refresh_from_db()
    assert (row.job.state, row.job.left_min, row.job.state_note) == ("open", 60, "wind: gusts at the ramp")
    assert Whereabouts.objects.get().place == berth
    assert "Stopped: wind: gusts at the ramp" in text_of(ben.get(ADDRESS))


def test_started_longer_and_a_note(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    tap(ben, "started", row.job)
    tap(ben, "longer", row.job, left="120")
    tap(ben, "note", row.job, words="two coats more")
    row.job.refresh_from_db()
    assert (row.job.state, row.job.left_min) == ("started", 120)
    assert Memo.objects.get().text == "two coats more"
    assert set(Event.objects.values_list("kind", flat=True)) == {"started", "longer"}


def test_what_waits_on_a_fact_is_not_started(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    fact = Fact.objects.create(kind="cloth", name="cloth", order=row.job.order, set_at=NOW)
    fact.jobs.add(row.job)
    told = tap(ben, "started", row.job).json()
    assert (told["refused"], "waits on cloth" in told["says"]) == (True, True)


def test_without_a_script_it_is_a_form_that_leads_back(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    sent = {"kind": "finished", "key": str(uuid4()), "job": row.job.pk, "back": "/today/?all=1"}
    assert ben.post(TAP, sent).headers["Location"] == "/today/?all=1"
    sent |= {"key": str(uuid4()), "back": "https://elsewhere.test/"}
    assert ben.post(TAP, sent).headers["Location"] == "/today/"


def test_nonsense_is_answered_and_not_written(ben: Client, crew: dict[str, Person]) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "08:00", "09:00", crew["Ben"])
    for more in ({"key": "x"}, {"kind": "sunk"}, {"left": "-5", "kind": "longer"}, {"job": "999999"}):
        assert ben.post(
            TAP,
            {"kind": "finished", "key": str(uuid4()), "job": row.job.pk} | more,
            headers={"accept": "application/json"},
        ).json()["refused"]
    assert Event.objects.count() == 0


def test_as_many_queries_for_ten_jobs_as_for_two(ben: Client, crew: dict[str, Person]) -> None:
    plan = post()
    for n in range(2):
        launch(plan, f"Tern {n}", THURSDAY, "11:00", crew["Ben"], crew["Cal"])
    with CaptureQueriesContext(connection) as few:
        ben.get(ADDRESS)
    for n in range(2, 10):
        launch(plan, f"Tern {n}", THURSDAY, "11:00", crew["Ben"], crew["Cal"])
    with CaptureQueriesContext(connection) as many:
        ben.get(ADDRESS)
    assert len(few) == len(many) <= 26


# Closing the day


def day_of_three(crew: dict[str, Person]) -> tuple[Plan, list[Job]]:
    plan = post()
    rows = [
        launch(plan, "Tern", THURSDAY, "09:00", crew["Ben"], crew["Cal"]),
        job(plan, "Dunlin", "Varnish", THURSDAY, "11:00", "12:00", crew["Ben"]),
        job(plan, "Auk", "Tune", THURSDAY, "13:00", "14:00", crew["Cal"], outdoor=True),
    ]
    return plan, [row.job for row in rows]


def test_what_is_not_touched_counts_as_done(ben: Client, crew: dict[str, Person]) -> None:
    day_of_three(crew)
    key = str(uuid4())
    for _ in range(2):  # pressed twice
        ben.post(CLOSE, {"form_key": key})
    assert set(Job.objects.values_list("state", flat=True)) == {"done"}
    assert DayClosing.objects.get().says == "Thu 6 May closed: 3 done"
    assert JobWork.objects.count() == 4
    text = text_of(ben.get(CLOSE))
    assert "Thursday 6 May is closed" in text
    assert "Tomorrow, Friday 7 May" in text


def test_the_second_of_two_who_close_is_told(ben: Client, crew: dict[str, Person], cast: Cast) -> None:
    day_of_three(crew)
    ben.post(CLOSE, {"form_key": str(uuid4())})
    cal = Client()
    cal.force_login(cast.ada, BACKEND)
    answer = cal.post(CLOSE, {"form_key": str(uuid4())})
    assert "was closed by Ben already" in answer.content.decode()
    assert DayClosing.objects.count() == 1


def test_a_number_touched_is_asked_for_what_happened(ben: Client, crew: dict[str, Person]) -> None:
    _, jobs = day_of_three(crew)
    answer = ben.post(CLOSE, {"form_key": str(uuid4()), "x": [jobs[2].pk], "mname0": "Paint"})
    text = text_of(answer)
    assert answer.status_code == 422
    assert "3: say what happened." in text
    assert 'value="Paint"' in answer.content.decode()  # what was typed is not lost
    assert not DayClosing.objects.exists()


def test_exceptions_hours_materials_extras_and_the_gauge(ben: Client, crew: dict[str, Person]) -> None:
    _, (tern, varnish, tune) = day_of_three(crew)
    sent = {
        "form_key": str(uuid4()),
        "x": [varnish.pk, tune.pk],
        f"h{tune.pk}": "part",
        f"w{tune.pk}": "wind",
        f"r{tune.pk}": "30",
        f"h{varnish.pk}": "longer",
        f"t{varnish.pk}": "2,5",
        f"hours{crew['Cal'].pk}": "3",
        "mjob0": "2",
        "mname0": "Varnish",
        "mqty0": "1.5",
        "munit0": "quarts",
        "xjob0": "1",
        "xwhat0": "New shackle",
        "xhours0": "0.5",
        "xyes0": "phone",
        f"g{tern.pk}": "2.31",
    }
    answer = ben.post(CLOSE, sent, follow=True)
    assert answer.status_code == 200, text_of(answer)
    tune.refresh_from_db()
    varnish.refresh_from_db()
    assert (tune.state, tune.left_min, tune.state_note) == ("open", 30, "wind")
    assert (varnish.state, varnish.worked_min, varnish.hours_as_planned) == ("done", 150, False)
    assert str(MaterialUsed.objects.get()) == "Varnish, 1.5 quarts"
    assert ExtraWork.objects.get().agreed == "phone"
    assert GaugeReading.objects.get().observed_m_above_datum == pytest.approx(2.31)
    assert JobWork.objects.get(job=tune, person=crew["Cal"]).worked_min == 60 + (180 - 150)
    assert Proposal.objects.get().events.get().kind == Event.Kind.DAY  # the rest asks for a proposal


def test_what_waits_on_a_fact_is_not_presumed(ben: Client, crew: dict[str, Person]) -> None:
    _, jobs = day_of_three(crew)
    Fact.objects.create(kind="permit", name="permit", order=jobs[0].order, set_at=NOW).jobs.add(jobs[0])
    ben.post(CLOSE, {"form_key": str(uuid4())})
    assert sorted(Job.objects.values_list("state", flat=True)) == ["done", "done", "open"]


def test_cut_off_while_closing_nothing_is_half_done(
    ben: Client, crew: dict[str, Person], monkeypatch: pytest.MonkeyPatch
) -> None:
    day_of_three(crew)

    def killed(*_args: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(DayClosing.objects, "create", killed)  # every job was written before
    with pytest.raises(KeyboardInterrupt):
        ben.post(CLOSE, {"form_key": str(uuid4())})
    assert set(Job.objects.values_list("state", flat=True)) == {"open"}
    assert (JobWork.objects.count(), Event.objects.count()) == (0, 0)


def test_what_was_waived_is_printed_with_its_reason(ben: Client, crew: dict[str, Person], cast: Cast) -> None:
    row = job(post(), "Tern", "Varnish", THURSDAY, "11:00", "12:00", crew["Ben"])
    Waiver.objects.create(
        rule="hours",
        job=row.job,
        limit="Ben works outside normal hours",
        reason="his wish",
        made_by=cast.ada,
        made_at=NOW,
    )
    words = "Waived: Ben works outside normal hours. Because: his wish."
    assert words in text_of(ben.get(ADDRESS))
    assert words in text_of(ben.get(f"/days/{THURSDAY}/"))


def test_undone_as_one_and_closed_again(ben: Client, crew: dict[str, Person]) -> None:
    day_of_three(crew)
    ben.post(CLOSE, {"form_key": str(uuid4())})
    ben.post(f"{CLOSE}undo/")
    assert set(Job.objects.values_list("state", flat=True)) == {"open"}
    assert JobWork.objects.count() == 0
    ben.post(CLOSE, {"form_key": str(uuid4())})
    assert set(Job.objects.values_list("state", flat=True)) == {"done"}


def test_taken_back_where_events_are_listed_the_day_is_open_too(
    ben: Client, crew: dict[str, Person], cast: Cast
) -> None:
    day_of_three(crew)
    ben.post(CLOSE, {"form_key": str(uuid4())})
    take_back(DayClosing.objects.get().event, by=cast.ada, now=NOW)
    assert DayClosing.objects.get().undone_by == cast.ada
    assert set(Job.objects.values_list("state", flat=True)) == {"open"}


def test_something_is_added_to_a_closed_day(ben: Client, crew: dict[str, Person]) -> None:
    day_of_three(crew)
    ben.post(CLOSE, {"form_key": str(uuid4())})
    sent = {"form_key": str(uuid4()), "mjob0": "2", "mname0": "Sandpaper", "mqty0": "4"}
    for _ in range(2):
        ben.post(f"{CLOSE}add/", sent)
    assert MaterialUsed.objects.get().name == "Sandpaper"
    assert "Sandpaper, 4: Dunlin" in text_of(ben.get(CLOSE))


def test_a_day_to_come_is_not_closed(ben: Client, crew: dict[str, Person]) -> None:
    job(post(), "Tern", "Varnish", FRIDAY, "08:00", "09:00", crew["Ben"])
    answer = ben.post(f"/today/close/{FRIDAY}/", {"form_key": str(uuid4())})
    assert "still to come" in answer.content.decode()


def test_a_tap_before_the_closing_stands(ben: Client, crew: dict[str, Person]) -> None:
    _, jobs = day_of_three(crew)
    tap(ben, "finished", jobs[0])
    ben.post(CLOSE, {"form_key": str(uuid4())})
    assert DayClosing.objects.get().says == "Thu 6 May closed: 2 done"
    assert JobWork.objects.filter(job=jobs[0]).count() == 2


def test_a_launched_boat_lies_at_the_berth_that_was_planned(ben: Client, crew: dict[str, Person]) -> None:
    plan = post()
    row = launch(plan, "Tern", THURSDAY, "09:00", crew["Ben"], crew["Cal"])
    away = job(plan, "Tern", "Deliver", FRIDAY, "09:00", "10:00", crew["Ben"])
    berth = Place.objects.create(ref="b1", name="Berth 1", kind="berth", counted_by_night=True)
    stay = Stay.objects.create(order=row.job.order, from_job=row.job, until_job=away.job, place_kind="berth")
    PlannedStay.objects.create(plan=plan, stay=stay, place=berth, starts_at=row.ends_at, ends_at=away.starts_at)
    PlannedPlace.objects.create(planned_job=row, place=Place.objects.create(ref="r", name="Ramp", kind="ramp"))
    tap(ben, "finished", row.job)
    assert Whereabouts.objects.get().place == berth


def test_the_script_that_kept_the_closing_is_answered_as_a_tap_is(ben: Client, crew: dict[str, Person]) -> None:
    plan, jobs = day_of_three(crew)
    sent = {"form_key": str(uuid4()), "x": [jobs[2].pk], f"h{jobs[2].pk}": "no"}
    ask = {"HTTP_ACCEPT": "application/json"}
    assert ben.post(CLOSE, sent, **ask).json() == {"refused": True, "says": "3: say why.", "plan": plan.number}
    assert DayClosing.objects.count() == 0
    sent[f"w{jobs[2].pk}"] = "weather"
    answers = [ben.post(CLOSE, sent, **ask).json() for _ in range(2)]  # the answer was lost, so it was sent again
    assert (
        answers[0]
        == answers[1]
        == {"refused": False, "says": "Thu 6 May closed: 2 done, 1 not done or part done.", "plan": plan.number}
    )
    assert DayClosing.objects.count() == 1
    told = ben.post(CLOSE, {"form_key": str(uuid4())}, **ask).json()
    assert told["refused"]
    assert "closed by Ben already" in told["says"]
