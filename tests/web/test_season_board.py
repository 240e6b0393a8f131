"""The season board as an address answers it: verdict, groups, reasons, an opened row, places, people, table, runs."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.web.made_creek import (
    BACKEND,
    FRIDAY,
    MONDAY,
    NOW,
    THURSDAY,
    at,
    job,
    launch,
    person,
    post,
    text_of,
)
from yard.models import (
    Boat,
    Fact,
    LeftOut,
    Order,
    Place,
    Plan,
    PlannedCause,
    PlannedPlace,
    PlannedStay,
    PlannedWeek,
    PlanRun,
    Skill,
    Stay,
)
from yard.queries.season_board import boat_rows, working_days_between


@pytest.fixture
def yard(cast, creek):
    return creek


@pytest.fixture
def ada(cast, yard) -> Client:
    client = Client()
    client.force_login(cast.ada, BACKEND)
    return client


def promised(boat: str, day: date) -> Order:
    Order.objects.filter(boat__name=boat).update(promised_date=day)
    return Order.objects.get(boat__name=boat)


def four_boats() -> Plan:
    """Knot a day late, Dunlin waiting on cloth, Teal without a day in hand, Wren on time."""
    plan, ines = post(), person("Ines")
    for boat in ("Knot", "Dunlin", "Teal", "Wren"):
        job(plan, boat, "Tune", FRIDAY, "09:00", "11:00", ines)
    promised("Knot", THURSDAY)
    promised("Teal", FRIDAY)
    promised("Wren", MONDAY)
    cloth = Fact.objects.create(
        kind="cloth", name="Cloth", order=promised("Dunlin", MONDAY), state="expected", expected_date=FRIDAY, set_at=NOW
    )
    cloth.jobs.add(plan.planned_jobs.get(job__order__boat__name="Dunlin").job)
    plan.planned_jobs.filter(job__order__boat__name="Dunlin").update(provisional=True)
    return plan


def standing(plan: Plan) -> dict[str, str]:
    return {row.name: row.state for row in boat_rows(plan)}


def cause(plan: Plan, boat: str, kind: str, detail: str = "", **more) -> PlannedCause:
    """Knot's tune was ready Thursday 6 May 09:00 and could start then; it starts on Friday."""
    planned = plan.planned_jobs.get(job__order__boat__name=boat)
    values = {
        "sequence": plan.causes.count(),
        "ready_at": at(THURSDAY, "09:00"),
        "starts_at": at(FRIDAY, "09:00"),
        "days": 1,
        "could_start_at": at(THURSDAY, "09:00"),
    }
    return PlannedCause.objects.create(
        plan=plan, order=planned.job.order, job=planned.job, kind=kind, detail=detail, **(values | more)
    )


def test_each_boat_stands_in_her_group(yard):
    assert standing(four_boats()) == {
        "Knot": "late",
        "Dunlin": "waiting-on",
        "Teal": "no-day-in-hand",
        "Wren": "on-time",
    }


def test_a_boat_left_out_for_want_of_room_is_late_and_for_want_of_a_fact_waits(yard):
    plan = four_boats()
    for boat, rule in (("Teal", "places"), ("Wren", "facts")):
        order = Order.objects.get(boat__name=boat)
        LeftOut.objects.create(plan=plan, boat=order.boat, order=order, rule=rule, reason="because")
    assert (standing(plan)["Teal"], standing(plan)["Wren"]) == ("late", "waiting-on")


def test_a_boat_stands_where_her_worst_order_stands(yard):
    plan = four_boats()
    wren = Boat.objects.get(name="Wren")
    late = Order.objects.create(ref="O2", boat=wren, name="Sail", promised_date=THURSDAY, made_at=NOW)
    row = plan.planned_jobs.get(job__order__boat=wren)
    row.pk, row.job = None, Order.objects.get(pk=late.pk).jobs.create(kind=row.job.kind, key="x", name="Sew")
    row.save()
    rows = [row for row in boat_rows(plan) if row.name == "Wren"]
    assert [(row.state, len(row.orders), row.worst.order.name) for row in rows] == [("late", 2, "Sail")]


def test_the_verdict_and_the_counts(ada):
    four_boats()
    text = text_of(ada.get(reverse("season")))
    assert "Plan 7 keeps 3 of 4 promised dates" in text
    assert "1 late 1 waiting on 1 no day in hand 1 on time" in text
    assert "Late 1 the plan brings them after their promised date" in text


def test_groups_come_in_the_order_of_danger(ada):
    four_boats()
    page = ada.get(reverse("season")).content.decode()
    groups = re.findall(r'<tbody id="group-([a-z-]+)"', page)
    assert groups == ["late", "waiting-on", "no-day-in-hand", "on-time"]


@pytest.mark.parametrize(
    ("kind", "detail", "said"),
    [
        ("water", "", "no tide in working hours Thu 6 May"),
        ("people", "rigger and 2 hand", "rigger and 2 yard hands at other work until Fri 7 May"),
        ("hours", "rigger", "rigger not at work Thu 6 May"),
        ("places", "Gin pole", "Gin pole taken until Fri 7 May"),
        ("berths", "Outer berths", "no berth free until Fri 7 May"),
        ("light", "", "no light long enough Thu 6 May"),
        ("closed", "", "closed Thu 6 May"),
        ("wait", "sealant cures", "sealant cures until Fri 7 May"),
        ("wait", "weather", "time kept for bad weather until Fri 7 May"),
        ("dates", "", "not before Fri 7 May"),
        ("follows", "Launch", "tune waits for the day of “Launch”"),
        ("boat", "", "other work on her until Fri 7 May"),
        ("crowded", "rigger", "people, places and water do not meet until Fri 7 May"),
    ],
)
def test_the_row_of_a_late_boat_says_how_much_and_why(ada, kind, detail, said):
    plan = four_boats()
    promised("Knot", THURSDAY)
    Skill.objects.create(key="hand", name="Yard hand")
    cause(plan, "Knot", kind, detail)
    page = text_of(ada.get(reverse("season")))
    assert f"Knot. 1 d late. {said}. Tune, Fri 7 May" in page


def test_the_costliest_reason_is_the_one(ada):
    plan = four_boats()
    cause(plan, "Knot", "water", days=1)
    cause(plan, "Knot", "places", "Gin pole", days=3)
    assert "Gin pole taken" in text_of(ada.get(reverse("season")))


def test_a_day_that_has_passed_is_said_first(ada):
    plan = four_boats()
    promised("Knot", THURSDAY - timedelta(days=2))
    cause(plan, "Knot", "water")
    assert "her day was Tue 4 May; no tide in working hours Thu 6 May" in text_of(ada.get(reverse("season")))


def test_a_waiting_boat_says_what_she_needs_and_by_when(ada):
    four_boats()
    page = ada.get(reverse("season"))
    assert "Dunlin. needs cloth by Fri 7 May" in text_of(page)
    assert "<title>needed by Fri 7 May</title>" in page.content.decode()


def test_her_water_is_drawn_and_needs_are_in_her_column(ada):
    """Toe 0.25 + trailer 0.5 + draft 1.15 + margin 0.3 = 2.2 m, reached by the noon tide each working day."""
    plan = post()
    launch(plan, "Knot", FRIDAY, "12:30", person("Ines"), draft_m=1.15)
    page = ada.get(reverse("season")).content.decode()
    row = page[page.index('<tr id="row-boat-') :].partition("</tr>")[0]
    assert '<td class="num">2.2</td>' in row
    assert 'class="floats"' in row


def test_without_a_draft_the_need_is_a_question(ada):
    plan = post()
    launch(plan, "Knot", FRIDAY, "12:30", person("Ines"), draft_m=None)
    row = ada.get(reverse("season")).content.decode().partition('<tr id="row-boat-')[2].partition("</tr>")[0]
    assert '<td class="num">?</td>' in row
    assert 'class="floats"' not in row


def test_an_opened_row_gives_reasons_ways_back_her_jobs_and_her_page(ada):
    plan = four_boats()
    cause(plan, "Knot", "water")
    boat = Boat.objects.get(name="Knot")
    address = reverse("season_why", args=[f"boat-{boat.pk}"])
    part = ada.get(address, HTTP_HX_REQUEST="true")
    words = " ".join(re.sub(r"<[^>]+>", " ", part.content.decode()).split())
    assert "Why Knot cannot keep Thu 6 May" in words
    assert (
        "Tune is ready Thu 6 May and starts Fri 7 May (1 working day): at the ramp there is not water enough" in words
    )
    assert "1 working day earlier" in words
    assert "Tune Fri 7 May 09:00 to 11:00 Ines" in words
    assert reverse("boat", args=[boat.pk]) in part.content.decode()
    assert "<html" not in part.content.decode()


def test_the_same_address_without_htmx_is_the_board_with_the_row_open(ada):
    four_boats()
    key = f"boat-{Boat.objects.get(name='Knot').pk}"
    page = ada.get(reverse("season_why", args=[key])).content.decode()
    assert "<html" in page
    assert f'id="why-{key}"' in page
    assert page.count('aria-expanded="true"') == 1


@pytest.mark.parametrize("key", ["boat-0", "walk-in-9", "nobody"])
def test_no_such_boat_is_not_found(ada, key):
    four_boats()
    assert ada.get(reverse("season_why", args=[key])).status_code == 404


def test_a_boats_name_cannot_bring_markup(ada):
    plan = four_boats()
    Boat.objects.filter(name="Knot").update(name="<b>Knot</b>")
    cause(plan, "<b>Knot</b>", "places", "<i>Pole</i>")
    key = f"boat-{Boat.objects.get(name='<b>Knot</b>').pk}"
    for address in (reverse("season"), reverse("season_why", args=[key]), f"{reverse('season')}?find=%3Cb%3E"):
        page = ada.get(address).content.decode()
        assert "<b>Knot" not in page
        assert "<i>Pole" not in page


def test_found_by_letters_and_by_state(ada):
    four_boats()
    assert rows_of(ada, "?find=kno") == ["Knot"]
    assert rows_of(ada, "?state=no-day-in-hand") == ["Teal"]
    assert rows_of(ada, "?find=zzz") == []
    assert "No boats to show here." in ada.get(f"{reverse('season')}?find=zzz").content.decode()


def rows_of(client: Client, query: str) -> list[str]:
    page = client.get(reverse("season") + query).content.decode()
    return re.findall(r'<a class="boat" href="[^"]+">([^<]+)</a>', page)


@pytest.mark.parametrize(
    "query", ["?state=torn&rows=clouds&view=film&from=1066-10-14&unfold=x", "?from=soon", "?page=9&view=table"]
)
def test_an_address_that_asks_for_what_is_not_there_is_as_usual(ada, query):
    four_boats()
    assert ada.get(reverse("season") + query).status_code == 200


def test_a_week_back_and_forth(ada):
    """Thu 6 May: the board begins on Monday of last week, 26 April."""
    four_boats()
    page = ada.get(reverse("season")).content.decode()
    assert ">26 Apr</text>" in page
    assert 'href="/?from=2027-04-19"' in page
    page = ada.get("/?from=2027-05-05").content.decode()  # a Wednesday: its Monday
    assert ">3 May</text>" in page
    assert ">26 Apr</text>" not in page


def test_on_time_is_folded_when_there_are_many_and_sent_when_asked(ada):
    plan, ines = post(), person("Ines")
    for number in range(14):
        job(plan, f"Boat {number:02}", "Tune", FRIDAY, "09:00", "11:00", ines)
        promised(f"Boat {number:02}", MONDAY)
    page = ada.get(reverse("season")).content.decode()
    assert "On time 14" in page
    assert "Show the 14" in page
    assert rows_of(ada, "") == []
    assert len(rows_of(ada, "?unfold=on-time")) == 14


def test_places_show_jobs_and_nights(ada):
    plan = four_boats()
    pole = Place.objects.create(ref="pole", name="Gin pole", kind="gin_pole")
    berth = Place.objects.create(ref="berth", name="Outer berths", kind="berth", capacity=3, counted_by_night=True)
    planned = plan.planned_jobs.get(job__order__boat__name="Knot")
    PlannedPlace.objects.create(planned_job=planned, place=pole)
    after = planned.job.order.jobs.create(kind=planned.job.kind, key="deliver", name="Deliver")
    stay = Stay.objects.create(order=planned.job.order, from_job=planned.job, until_job=after, place_kind="berth")
    PlannedStay.objects.create(
        plan=plan, stay=stay, place=berth, starts_at=at(FRIDAY, "11:00"), ends_at=at(MONDAY, "09:00")
    )
    text = text_of(ada.get("/?rows=places"))
    assert "Gin pole. Knot: Tune, Fri 7 May" in text
    assert (
        "the night after: Knot, Fri 7 May; the night after: Knot, Sat 8 May; the night after: Knot, Sun 9 May" in text
    )
    assert "the night after: Knot, Mon 10 May" not in text


def test_people_show_their_jobs(ada):
    four_boats()
    assert "Ines. Knot: Tune, Dunlin: Tune, Teal: Tune, Wren: Tune, Fri 7 May" in text_of(ada.get("/?rows=people"))


def test_the_load_of_a_week_by_trade(ada):
    """Ines rigs: 24 of 40 hours; 39 would be full (from 95 %)."""
    plan = four_boats()
    ines = plan.planned_jobs.first().people.get()
    week = PlannedWeek.objects.create(
        plan=plan, person=ines, monday=date(2027, 5, 10), planned_min=1440, available_min=2400
    )
    text = text_of(ada.get(reverse("season")))
    assert "Rigging: Ines" in text
    assert "24/40" in text
    PlannedWeek.objects.filter(pk=week.pk).update(planned_min=39 * 60)
    assert "39/40 full" in text_of(ada.get(reverse("season")))
    assert "39 of 40 full" in text_of(ada.get("/?view=table"))


def test_the_table_lists_every_job(ada):
    plan = four_boats()
    launch(plan, "Sanderling", MONDAY, "10:30", person("Cal"))
    text = text_of(ada.get("/?view=table"))
    assert "Every job of the plan" in text
    assert "Knot Tune Fri 7 May, 09:00 Fri 7 May, 11:00 Ines" in text
    assert "Sanderling Launch Mon 10 May, 10:30 Mon 10 May, 12:00 Cal at the ramp" in text
    assert "Water at the ramp" in text


def test_the_table_is_narrowed_and_sorted_as_the_board_is(ada):
    four_boats()
    table = ada.get("/?view=table&state=late").content.decode()
    assert re.findall(r'<a class="boat" href="[^"]+">([^<]+)</a>', table) == ["Knot"]
    table = ada.get("/?view=table&sort=-boat").content.decode()
    assert re.findall(r'<a class="boat" href="[^"]+">([^<]+)</a>', table) == ["Wren", "Teal", "Knot", "Dunlin"]
    assert ada.get("/?view=table&find=ines").content.decode().count('<th scope="row"') >= 4


def test_no_plan_shows_dates_and_water_and_offers_to_plan(ada, cast):
    four_boats()
    Plan.objects.all().delete()
    text = text_of(ada.get(reverse("season")))
    assert "No plan is posted yet" in text
    assert "Not planned yet 4" in text
    assert "Plan the season" in text
    ben = Client()
    ben.force_login(cast.ben, BACKEND)
    assert "Plan the season" not in text_of(ben.get(reverse("season"))).replace("plan the season", "")


def test_no_boats_says_what_comes_first_to_those_who_may(ada, cast):
    page = ada.get(reverse("season"))
    text = text_of(page)
    assert "No boats yet" in text
    assert "Bring in a list" in text
    assert {reverse("lists"), reverse("order_new")} <= set(re.findall(r'href="([^"]+)"', page.content.decode()))
    assert "Plan the season" not in text
    dee = Client()
    dee.force_login(cast.dee, BACKEND)
    links = re.findall(r'href="([^"]+)"', dee.get(reverse("season")).content.decode())
    assert not {reverse("lists"), reverse("order_new")} & set(links)


def test_no_tide_station_is_said_and_the_rest_stands(ada, yard):
    four_boats()
    yard.tide_station = ""
    yard.save()
    text = text_of(ada.get(reverse("season")))
    assert "No tide station is chosen yet" in text
    assert "Late 1" in text


def a_run(**more) -> PlanRun:
    now = timezone.now()
    return PlanRun.objects.create(**({"asked_at": now, "heartbeat_at": now, "seconds_limit": 60} | more))


def test_a_run_going_on_counts_and_can_be_stopped(ada, cast):
    four_boats()
    run = a_run(state="running", progress={"elapsed_s": 12.0, "late_orders": 3, "left_out": 1})
    page = ada.get(reverse("season"))
    text = text_of(page)
    assert "12 of 60 s; so far 3 orders late, 1 boat without a place" in text
    assert "Stop and keep the best" in text
    assert "Plan again" not in text
    assert reverse("run_stop", args=[run.pk]) in page.content.decode()
    dee = Client()
    dee.force_login(cast.dee, BACKEND)
    assert "Stop and keep the best" not in text_of(dee.get(reverse("season")))


def test_the_counter_alone_for_htmx_and_the_page_without(ada):
    four_boats()
    a_run(state="running", progress={"elapsed_s": 12.0})
    part = ada.get(reverse("season_run"), HTTP_HX_REQUEST="true").content.decode()
    assert 'hx-trigger="every 2s"' in part
    assert "<html" not in part
    assert "<html" in ada.get(reverse("season_run")).content.decode()


def test_a_failed_run_leaves_the_plan_and_says_so(ada):
    four_boats()
    a_run(state="failed", error="The yard's latitude and longitude are not entered.")
    text = text_of(ada.get(reverse("season")))
    assert (
        "The last planning run failed. The yard's latitude and longitude are not entered. Plan 7 stays on the wall."
        in text
    )


def test_a_draft_that_waits_is_offered(ada):
    four_boats()
    draft = Plan.objects.create(made_at=NOW, facts_revision=0, late_days=2, unplaced=0)
    page = ada.get(reverse("season"))
    assert "A draft waits." in text_of(page)
    assert reverse("plan", args=[draft.pk]) in page.content.decode()


def test_the_same_row_is_drawn_anew_as_soon_as_it_says_something_else(ada):
    """Rows are kept drawn; what they are kept under is all that they say."""
    plan = four_boats()
    assert "Knot. 1 d late. Tune" in text_of(ada.get(reverse("season")))
    cause(plan, "Knot", "water")
    assert "Knot. 1 d late. no tide" in text_of(ada.get(reverse("season")))


@pytest.mark.parametrize("address", ["/", "/?rows=places", "/?rows=people", "/?view=table", "/?unfold=on-time"])
def test_as_many_queries_for_forty_boats_as_for_four(ada, django_assert_max_num_queries, address):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    plan = four_boats()
    ada.get(address)
    with CaptureQueriesContext(connection) as few:
        ada.get(address)
    cal = person("Cal")
    for number in range(36):
        launch(plan, f"Boat {number}", MONDAY + timedelta(days=number), "10:30", cal)
        promised(f"Boat {number}", MONDAY + timedelta(days=9))
        cause(plan, f"Boat {number}", "water")
    with django_assert_max_num_queries(len(few)):
        ada.get(address)
    assert len(few) <= 23


@pytest.mark.parametrize(
    ("one", "two", "days"),
    [
        (date(2027, 5, 8), date(2027, 5, 10), 1),
        (date(2027, 5, 10), date(2027, 5, 8), -1),
        (date(2027, 5, 3), date(2027, 5, 31), 24),
        (date(2027, 5, 9), date(2027, 5, 9), 0),
    ],
)
def test_working_days_leave_sundays_out(one, two, days):
    """Sat to Mon: one. Four whole weeks: 24."""
    assert working_days_between(one, two) == days
