"""What is new for an owner: from what was told last and the posted plan, to one letter."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import told_yard
from told_yard import NOW, fact_of, make_order, make_owner, move, read, tell

from yard.models import (
    Closure,
    DatedHours,
    Item,
    ItemWhereabouts,
    Job,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    YardSettings,
)
from yard.notices.news import Situation
from yard.queries.letters_due import letters_due, still_told
from yard.queries.plans import posted_plan
from yard.services.letters.reading import owners_to_tell

IN_NINE_DAYS = NOW + timedelta(days=9)  # Saturday 15 May


def test_two_changes_to_one_owner_are_one_letter(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    make_order(plan, pia, "Gull", NOW + timedelta(days=40))
    make_order(plan, make_owner("Gus"), "Other", IN_NINE_DAYS)
    told = owners_to_tell(plan, yard, now=NOW)
    assert [(each.owner.name, len(each.rows)) for each in told if each.owner] == [("Pia", 2), ("Gus", 1)]
    reading = read(pia, yard)
    assert reading is not None
    text = reading.written.as_text()
    assert "Tern" in text
    assert "Gull" in text
    assert "Other" not in text


def test_a_change_taken_back_before_sending_leaves_nothing_to_send(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    tell(order, "day", date(2027, 5, 15), plan=plan)
    assert read(pia, yard) is None
    later = move(order, plan, 2)
    reading = read(pia, yard)
    assert reading is not None
    assert [news.situation for news in reading.facts.news] == [Situation.MOVED]
    move(order, later, -2, number=3)
    assert read(pia, yard) is None


def test_the_reason_is_the_closed_day_and_names_no_other_boat_and_nobody_of_the_crew(
    yard: YardSettings, plan: Plan
) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    tell(order, "day", date(2027, 5, 15), plan=plan)
    move(order, plan, 2)
    closure = Closure.objects.create(
        covers="outdoors",
        starts_at=IN_NINE_DAYS - timedelta(hours=3),
        ends_at=IN_NINE_DAYS + timedelta(hours=6),
        reason="gale, gusts to 34 knots",
        state="accepted",
        made_at=NOW,
    )
    reading = read(pia, yard)
    assert reading is not None
    assert reading.facts.news[0].reason == "the weather closed that day (gale, gusts to 34 knots)"
    closure.delete()
    sam = Person.objects.create(name="Sam Reed", short_name="Sam")
    PlannedPerson.objects.create(planned_job=plan.planned_jobs.get(), person=sam, name="Sam")
    away = DatedHours.objects.create(
        person=sam, kind="away", starts_at=IN_NINE_DAYS.replace(hour=4), ends_at=IN_NINE_DAYS.replace(hour=20)
    )
    reading = read(pia, yard)
    assert reading is not None
    assert reading.facts.news[0].reason == "one of the people it needs was away"
    assert "Sam" not in reading.written.as_text()
    away.delete()


def test_another_boat_that_goes_first_is_not_named(yard: YardSettings, plan: Plan) -> None:
    pia, gus = make_owner("Pia"), make_owner("Gus")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    other = make_order(plan, gus, "Secret", IN_NINE_DAYS + timedelta(days=2))
    sam = Person.objects.create(name="Sam Reed", short_name="Sam")
    for row in plan.planned_jobs.all():
        PlannedPerson.objects.create(planned_job=row, person=sam, name="Sam")
    tell(order, "day", date(2027, 5, 15), plan=plan)
    after = move(order, plan, 2)
    row = after.planned_jobs.get(job__order=other)
    row.starts_at, row.ends_at = IN_NINE_DAYS, IN_NINE_DAYS + timedelta(hours=2)
    row.save()
    for row in after.planned_jobs.all():
        PlannedPerson.objects.create(planned_job=row, person=sam, name="Sam")
    reading = read(pia, yard)
    assert reading is not None
    assert reading.facts.news[0].reason == "another boat had to go first that day"
    assert "Secret" not in reading.written.as_text()


def test_a_date_told_without_a_plan_needs_a_persons_reason(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    tell(order, "day", date(2027, 5, 12))
    reading = read(pia, yard)
    assert reading is not None
    assert reading.wants_reason


def test_what_the_owner_must_do_and_what_the_yard_waits_for(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    for kind, name in (
        ("approval", "owner's approval of the repair list"),
        ("deposit", "deposit"),
        ("permit", "mooring permit"),
        ("draft", "draft"),
        ("cloth", "cloth"),
        ("tackle_set", "mooring tackle set"),
        ("data_sheet", "paint's data sheet"),
    ):
        fact_of(order, kind, name)
    owned = order.boat.ownerships.get()
    owned.insurance_expires_on = date(2027, 5, 10)
    owned.save()
    cushions = Item.objects.create(boat=order.boat, kind="cushions", name="Saloon cushions")
    ItemWhereabouts.objects.create(item=cushions, kind="owner", since=NOW - timedelta(days=100))
    reading = read(pia, yard)
    assert reading is not None
    news = reading.facts.news[0]
    assert {wish.what for wish in news.from_owner} == {
        "give us your approval of the repair list",
        "pay the deposit",
        "send us the mooring permit",
        "tell us her draft",
        "bring the saloon cushions",
        "send us your new certificate of insurance",
    }
    assert {wish.by for wish in news.from_owner if wish.what == "pay the deposit"} == {date(2027, 5, 14)}
    assert set(news.waits) == {"the cloth", "the tackle of her mooring"}
    ItemWhereabouts.objects.create(item=cushions, kind="aboard", since=NOW)
    again = read(pia, yard)
    assert again is not None
    assert "cushions" not in again.written.as_text()


def test_the_reserve_day_is_open_not_closed_and_after_the_day(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", NOW + timedelta(days=8))  # Friday 14 May
    tell(order, "week", date(2027, 5, 10))
    reading = read(pia, yard)
    assert reading is not None
    assert reading.facts.news[0].reserve == date(2027, 5, 15), "Saturday is a yard day here"
    Closure.objects.create(
        covers="outdoors",
        starts_at=NOW + timedelta(days=9, hours=-12),
        ends_at=NOW + timedelta(days=9, hours=12),
        reason="gale",
        made_at=NOW,
    )
    again = read(pia, yard)
    assert again is not None
    assert again.facts.news[0].reserve == date(2027, 5, 17), "not the closed Saturday, not Sunday"


def test_firm_again_provisional_says_what_it_waits_for(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", NOW + timedelta(days=5))
    tell(order, "firm", date(2027, 5, 11))
    fact_of(order, "permit", "mooring permit")
    reading = read(pia, yard)
    assert reading is not None
    news = reading.facts.news[0]
    assert news.situation is Situation.NOT_FIRM
    assert news.reason == "we are waiting for the mooring permit"


def test_a_telling_that_was_taken_back_counts_no_more(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    told = tell(order, "day", date(2027, 5, 15))
    assert read(pia, yard) is None
    told.taken_back_at = NOW
    told.save()
    reading = read(pia, yard)
    assert reading is not None
    assert reading.facts.news[0].situation is Situation.DAY


def test_the_morning_list_asks_as_often_for_many_as_for_few(
    yard: YardSettings, plan: Plan, django_assert_num_queries
) -> None:
    for number in range(3):
        make_order(plan, make_owner(f"O{number}"), f"Boat {number}", IN_NINE_DAYS)
    with django_assert_num_queries(11):
        assert len(owners_to_tell(posted_plan(), yard, now=NOW)) == 3
    for number in range(3, 12):
        make_order(plan, make_owner(f"O{number}"), f"Boat {number}", IN_NINE_DAYS)
    with django_assert_num_queries(11):
        assert len(owners_to_tell(posted_plan(), yard, now=NOW)) == 12


def test_the_list_of_all_boats_says_what_a_letter_reads_of_each(yard: YardSettings, plan: Plan) -> None:
    """The list reads the last job of each order alone; a letter reads all of its boats' jobs."""
    orders = [make_order(plan, make_owner(f"O{number}"), f"Boat {number}", IN_NINE_DAYS) for number in range(5)]
    kind = orders[0].jobs.get().kind
    for days, state in ((-3, "done"), (2, "open"), (3, "done"), (4, "cancelled")):
        for number, order in enumerate(orders[1:]):
            ended = NOW if state == "done" else None
            about = {"key": f"more{days}", "name": "More", "state": state, "actual_ends_at": ended}
            job = Job.objects.create(order=order, kind=kind, **about)
            at = IN_NINE_DAYS + timedelta(days=days + number)
            PlannedJob.objects.create(plan=plan, job=job, starts_at=at, ends_at=at + timedelta(hours=1))
    orders[4].jobs.exclude(state="cancelled").update(state="done", actual_ends_at=NOW)
    tell(orders[1], "firm", date(2027, 5, 20), at=NOW - timedelta(days=2))
    tell(orders[1], "day", date(2027, 5, 17), at=NOW - timedelta(days=9))
    back = tell(orders[2], "day", date(2027, 5, 18), at=NOW - timedelta(days=1))
    tell(orders[2], "week", date(2027, 5, 10), at=NOW - timedelta(days=3))
    tell(orders[2], "day", date(2027, 5, 19), at=NOW - timedelta(days=3))
    back.taken_back_at = NOW
    back.save()
    boats = [order.boat_id or 0 for order in orders]
    for asked in (letters_due, still_told):
        listed, each = asked(plan, yard, now=NOW), asked(plan, yard, now=NOW, boats=boats)
        assert [replace(row, planned=row.planned[-1:]) for row in each] == listed
    assert len(letters_due(plan, yard, now=NOW)) > 3


def test_a_boat_without_an_owner_on_file_still_stands_in_the_list(yard: YardSettings, plan: Plan) -> None:
    make_order(plan, None, "Orphan", IN_NINE_DAYS)
    (told,) = owners_to_tell(plan, yard, now=NOW)
    assert told.owner is None
    assert date(2027, 5, 6) == told_yard.TODAY
