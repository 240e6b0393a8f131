"""Days held for callers: nobody else is told them, and they are taken, let go or run out by the yard's clock."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest

from yard.models import Boat, FactsRevision, HeldDays, Order, Package, StaleRow, YardSettings
from yard.queries.letters_due import letters_due
from yard.queries.plans import posted_plan
from yard.services.hold_days import HELD_FOR, Caller, OtherDay, hold_days, let_go, let_go_of_run_out, take_held
from yard.services.order_package import OrderDates, OrderRefused, Terms, WalkIn, default_options, order_package
from yard.services.plan_in_memory import plan_in_memory
from yard.services.read_problem import read_problem
from yard.services.when_done import Asked, EarliestDays, Fit, earliest_days, fit, read_with

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("posted_in_january")]


def clock():
    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    return now


def ordering(key: str, boat: Boat | None = None, form_key=None, **dates):
    package = Package.objects.get(key=key)
    terms = Terms(form_key=form_key, walk_in=None if boat else WalkIn(name="Mr Alder", phone="555 0142"))
    options = default_options(package, boat)
    return lambda: order_package(
        boat, package, options=options, dates=OrderDates(**dates), by=None, now=clock(), terms=terms
    )


def told(key: str, boat: Boat | None = None) -> EarliestDays:
    found = earliest_days(ordering(key, boat), now=clock())
    assert isinstance(found, EarliestDays)
    return found


def hold(cast, key: str = "sail_repair", form_key=None, seen: date | None = None, boat: Boat | None = None) -> HeldDays:
    seen = seen or told(key, boat).ends_at.date()
    caller = Caller(seen_day=seen, sentence=lambda told: f"by {told.ends_at:%d %B}")
    return hold_days(ordering(key, boat, form_key), caller, by=cast.cy, now=clock())


def a_boat(**fields) -> Boat:
    known = {"name": "Quiet", "length_m": 7.0, "beam_m": 2.3, "draft_m": 1.1, **fields}
    return Boat.objects.get_or_create(ref="quiet", defaults=known)[0]


def said_of(asked: Asked):
    """All that the Problem says of the order's jobs, in words that no numbering changes."""
    problem, names = asked.read.problem, {f"job-{row.pk}" for row in asked.rows}
    keys = [job.key for job in problem.jobs]

    def way(each):
        inside = [
            (problem.window_sets[row.window_set], row.offset_quarters, row.length_quarters) for row in each.inside
        ]
        able = [{person.key for person in problem.people if need.skill in person.skills} for need in each.crew]
        return inside, able

    jobs = {
        job.key: (
            replace(job, boat=0, order=0, ways=tuple(replace(each, inside=()) for each in job.ways)),
            [way(each) for each in job.ways],
        )
        for job in problem.jobs
        if job.key in names
    }
    links = {
        (keys[link.before], keys[link.after], link.min_wait, link.max_wait)
        for link in problem.links
        if {keys[link.before], keys[link.after]} & names
    }
    stays = {
        (keys[stay.from_job], None if stay.until_job is None else keys[stay.until_job], stay.any_of)
        for stay in problem.stays
        if stay.from_job is not None and keys[stay.from_job] in names
    }
    return jobs, links, stays


FITTED_AT_ONCE = ("halyard", "sail_repair", "furler")  # the others ask a second method for half a minute


@pytest.mark.parametrize("key", ["halyard", "canvas_order", "spring_commissioning"])
def test_laid_beside_what_was_read_an_order_gets_the_answer_of_reading_all_anew(key):
    """For boats with open orders of their own, in the store and not, and for a stranger."""
    memory = plan_in_memory(now=clock())
    assert memory is not None
    compared = 0
    for boat in (None, *Boat.objects.filter(draft_m__isnull=False).order_by("id")[:3]):
        try:
            order = ordering(key, boat)()
        except OrderRefused:
            continue  # work on a boat, for nobody's boat
        quick = read_with(memory, order, now=clock())
        anew = read_with(replace(memory, kept=None), order, now=clock())
        order.delete()
        if not isinstance(quick, Asked) or not isinstance(anew, Asked):
            assert quick == anew
            continue
        assert said_of(quick) == said_of(anew)
        compared += 1
        if key in FITTED_AT_ONCE:
            one, other = fit(quick), fit(anew)
            assert isinstance(one, Fit)
            assert isinstance(other, Fit)
            assert one.told.ends_at.date() == other.told.ends_at.date()
    assert compared >= 2


def test_the_day_at_90_is_no_sooner_than_at_80_and_than_the_plan_has_it():
    found = told("canvas_order", a_boat())
    assert found.day_80 is not None
    assert found.day_90 is not None
    assert found.day_80 <= found.day_90
    assert found.day_90 >= found.ends_at.date()


def test_two_callers_are_not_told_the_same_hands_at_the_same_time(cast):
    held = hold(cast)
    assert held.until == clock() + timedelta(hours=48)
    taken = {(job["starts_at"], person) for job in held.jobs for person in job["people"]}
    other = hold(cast)
    assert not taken & {(job["starts_at"], person) for job in other.jobs for person in job["people"]}
    spans = [(row["starts_at"], row["ends_at"], set(row["people"])) for one in (held, other) for row in one.jobs]
    for number, (starts, ends, people) in enumerate(spans):
        for begins, finishes, others in spans[number + 1 :]:
            assert ends <= begins or finishes <= starts or not people & others


def test_the_next_plan_has_the_held_order_and_keeps_its_day(cast):
    held = hold(cast)
    read = read_problem(now=clock())
    assert held.order_id in read.orders
    held.order.refresh_from_db()
    assert held.order.promised_date is not None
    assert held.order.promised_date >= held.told_day


def test_a_day_that_another_caller_took_is_not_held_and_nothing_is_kept(cast):
    before = told("sail_repair").ends_at.date()
    while told("sail_repair").ends_at.date() == before:
        hold(cast)
    count, revision = Order.objects.count(), FactsRevision.objects.get().count
    with pytest.raises(OtherDay) as other:
        hold(cast, seen=before)
    assert isinstance(other.value.told, EarliestDays)
    assert other.value.told.ends_at.date() > before
    assert (Order.objects.count(), FactsRevision.objects.get().count) == (count, revision)


def test_the_same_form_sent_twice_holds_once(cast):
    key = uuid4()
    assert hold(cast, form_key=key).pk == hold(cast, form_key=key, seen=date(2027, 12, 1)).pk
    assert HeldDays.objects.count() == 1


def test_taken_in_one_press_and_only_once(cast):
    held = hold(cast)
    order = take_held(held, by=cast.cy, now=clock() + timedelta(hours=47))
    assert order.state == Order.State.OPEN
    held.refresh_from_db()
    assert (held.state, held.ended_by) == ("taken", cast.cy)
    with pytest.raises(StaleRow):
        let_go(held, by=cast.cy, now=clock())
    assert let_go_of_run_out(now=clock() + timedelta(days=9)) == 0
    assert order.pk in read_problem(now=clock()).orders


def test_let_go_its_days_are_free_again(cast):
    before = told("sail_repair")
    held = hold(cast)
    assert told("sail_repair").jobs != before.jobs
    order = let_go(held, by=cast.cy, now=clock())
    assert order.state == Order.State.CANCELLED
    assert told("sail_repair").jobs == before.jobs


def test_it_runs_out_by_the_clock_that_is_given(cast):
    held = hold(cast)
    end = clock() + HELD_FOR
    assert held.order_id in read_problem(now=end - timedelta(minutes=1)).orders
    assert held.order_id not in read_problem(now=end).orders, "nobody need have let it go"
    with pytest.raises(OrderRefused, match="run out"):
        take_held(held, by=cast.cy, now=end)
    assert let_go_of_run_out(now=end - timedelta(minutes=1)) == 0
    assert let_go_of_run_out(now=end) == 1
    assert let_go_of_run_out(now=end) == 0
    held.order.refresh_from_db()
    assert held.order.state == Order.State.CANCELLED


def test_nobody_is_written_to_about_what_is_only_held(cast):
    boat = a_boat()
    held = hold(cast, "halyard", boat=boat)
    yard = YardSettings.objects.get()
    assert not letters_due(posted_plan(), yard, now=clock(), boats=[boat.pk])
    take_held(held, by=cast.cy, now=clock())
    # still not planned, so still nothing to tell; but it is among those looked at once a plan has it
    assert Order.objects.get(pk=held.order_id).state == Order.State.OPEN


def test_asked_held_and_taken_on_the_page(client, cast):
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    package = Package.objects.get(key="sail_repair")
    sent = {"boat": "", "package": package.pk, "goes_first": "1"}
    page = client.post("/when/", {**sent, "act": "ask"})
    found = told("sail_repair")
    assert page.status_code == 200
    text = page.content.decode()
    assert f"Count on {found.day_90:%A} {found.day_90.day} {found.day_90:%B}" in text
    assert Order.objects.filter(walk_in_name="a caller").count() == 0
    seen = page.context["answer"].last_day
    nameless = client.post("/when/", {**sent, "act": "keep", "seen_day": seen, "form_key": uuid4()})
    assert nameless.status_code == 422, "held for whom?"
    named = {**sent, "walk_in_name": "Mr Alder", "walk_in_phone": "555 0142"}
    kept = client.post("/when/", {**named, "act": "keep", "seen_day": seen, "form_key": uuid4()}, follow=True)
    assert kept.redirect_chain[-1][0] == "/when/held/"
    assert "Mr Alder" in kept.content.decode()
    held = HeldDays.objects.get()
    assert "count on" in held.said.lower()
    assert b"Held for a caller" in client.get(f"/orders/{held.order_id}/").content
    done = client.post(f"/when/held/{held.pk}/take/", follow=True)
    assert done.redirect_chain[-1][0] == f"/orders/{held.order_id}/"
    again = client.post(f"/when/held/{held.pk}/let-go/", follow=True)
    assert "not held any more" in again.content.decode()
    assert Order.objects.get(pk=held.order_id).state == Order.State.OPEN


def test_a_day_gone_meanwhile_is_said_on_the_page(client, cast):
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    package = Package.objects.get(key="sail_repair")
    sent = {"walk_in_name": "Mr Alder", "package": package.pk, "goes_first": "1", "act": "keep"}
    page = client.post("/when/", {**sent, "seen_day": "2027-01-14", "form_key": uuid4()})
    assert page.status_code == 409
    assert "Somebody else has that day by now" in page.content.decode()
    assert not HeldDays.objects.exists()
    assert client.get("/when/ready/").content == b"The plan is at hand."
