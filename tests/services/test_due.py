"""What falls due by interval: reckoned from what is on file, made into orders, and never twice.

Months are counted by the calendar: a year on from 29 February is the 28th (ISO 8601 leaves it to agreement; the last
day of the month is common practice).
"""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import Cast
from yard.models import (
    Boat,
    DueOrder,
    Gear,
    Inspection,
    Interval,
    Item,
    ItemWhereabouts,
    Job,
    JobKind,
    Mooring,
    Order,
    Package,
    PackageJob,
    PackageWay,
    Place,
    TacklePart,
    YardSettings,
)
from yard.queries.due import Due, Subject, all_due, months_on
from yard.services.inspections import InspectionRefused, Looked, record_inspection, withdraw_inspection
from yard.services.order_due import YARD_ITSELF, order_due, take_back_due
from yard.services.shipped_intervals import bring_in_intervals
from yard.web.due.page import SENT_AT_ONCE

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
TODAY, SOON = date(2027, 5, 6), date(2027, 8, 1)

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(db: None) -> YardSettings:
    """Packages of one job each, and the intervals that the tool comes with."""
    for key, kind in (
        ("rig_survey", "rig_survey"),
        ("standing_rigging", "wire"),
        ("mooring_tackle", "tackle_inspect"),
        ("yard_gear", "gear_inspect"),
        ("yard_extinguishers", "extinguisher_check"),
    ):
        made = JobKind.objects.create(key=kind, name=kind, short_name=kind[:8], letter="J", trade="rig")
        package = Package.objects.create(key=key, name=key.replace("_", " ").capitalize(), needs_boat=False)
        job = PackageJob.objects.create(package=package, key="job", kind=made, name=kind)
        PackageWay.objects.create(job=job, duration_min=30)
    bring_in_intervals(by=None, now=NOW)
    return YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", tide_station="8418150", latitude=43.66, longitude=-70.25
    )


def boat(name: str = "Wren") -> Boat:
    return Boat.objects.create(ref=name.lower(), name=name, length_m=7.0, beam_m=2.3, mast_height_m=10.0)


def sling(name: str = "Sling", since: date | None = date(2026, 1, 1)) -> Gear:
    return Gear.objects.create(ref=name.lower(), kind="sling", name=name, in_use_since=since)


def due(yard: YardSettings, by_day: date = SOON) -> dict[tuple[str, str], Due]:
    return {(row.interval.key, str(row.subject)): row for row in all_due(by_day=by_day, today=TODAY, yard=yard)}


def looked(interval: str, subject: Subject, day: date, result: str = "good") -> Inspection:
    row = Interval.objects.get(key=interval)
    said = Looked(day, "Ada Finch", result)
    return record_inspection(row, subject, said, form_key=None, by=None, now=NOW, today=TODAY)


def order(yard: YardSettings, *keys: str, by_day: date = SOON) -> list[Order]:
    return list(order_due(keys, by_day=by_day, by=None, now=NOW, today=TODAY, yard=yard).orders)


def tick(interval: str, subject: str) -> str:
    return f"{Interval.objects.get(key=interval).pk}:{subject}"


def test_months_on_the_calendar() -> None:
    assert months_on(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert months_on(date(2026, 11, 30), 3) == date(2027, 2, 28)
    assert months_on(date(2026, 12, 15), 1) == date(2027, 1, 15)


def test_every_shipped_interval_says_where_it_comes_from(yard: YardSettings) -> None:
    rows = list(Interval.objects.all())
    assert len(rows) == 10  # rows of fixtures/intervals.toml
    assert all(row.source and row.package is not None for row in rows)
    assert bring_in_intervals(by=None, now=NOW) == 0  # a yard's own changes stay


def test_nothing_on_file_is_due_but_not_invented(yard: YardSettings) -> None:
    assert due(yard) == {}
    boat()
    row = due(yard)["rig_survey", "Wren"]
    assert (row.state, row.due_on, row.last) == ("unknown", None, None)


def test_a_record_sets_the_next_day_and_its_withdrawal_takes_it_back(yard: YardSettings) -> None:
    wren = boat()
    first = looked("rig_survey", wren, date(2026, 4, 1))
    assert (due(yard)["rig_survey", "Wren"].state, due(yard)["rig_survey", "Wren"].due_on) == (
        "overdue",
        date(2027, 4, 1),
    )
    second = looked("rig_survey", wren, date(2026, 7, 1))
    assert due(yard)["rig_survey", "Wren"].state == "due"
    withdraw_inspection(second, by=None, now=NOW)
    assert due(yard)["rig_survey", "Wren"].due_on == date(2027, 4, 1)
    with pytest.raises(InspectionRefused, match="withdrew it already"):
        withdraw_inspection(second, by=None, now=NOW)
    with pytest.raises(InspectionRefused, match="still to come"):
        looked("rig_survey", wren, date(2027, 5, 7))
    assert first.withdrawn_at is None


def test_a_job_that_is_done_counts_whoever_ordered_it(yard: YardSettings) -> None:
    wren = boat()
    mine = Order.objects.create(ref="O-1", boat=wren, name="Lay-up", made_at=NOW)
    kind = JobKind.objects.get(key="rig_survey")
    Job.objects.create(
        order=mine,
        kind=kind,
        key="s",
        name="Survey",
        state="done",
        actual_ends_at=datetime(2026, 11, 2, 15, tzinfo=UTC),
    )
    assert due(yard)["rig_survey", "Wren"].due_on == date(2027, 11, 2)


def test_an_open_job_of_hers_is_as_good_as_an_order(yard: YardSettings) -> None:
    wren = boat()
    mine = Order.objects.create(ref="O-1", boat=wren, name="Lay-up", made_at=NOW)
    Job.objects.create(order=mine, kind=JobKind.objects.get(key="rig_survey"), key="s", name="Survey")
    assert due(yard)["rig_survey", "Wren"].order == mine
    assert order(yard, tick("rig_survey", f"boat-{wren.pk}")) == []


def test_a_rig_is_surveyed_with_its_mast_down(yard: YardSettings) -> None:
    """Where the mast is stepped and nothing says when it comes off: from mid-September on (common practice)."""
    stepped, ashore = boat(), boat("Tern")
    mast = Item.objects.create(boat=ashore, kind="mast", name="mast")
    rack = Place.objects.create(ref="rack", name="Spar rack", kind="spar_rack")
    ItemWhereabouts.objects.create(item=mast, kind="place", place=rack, since=NOW)
    for each in (stepped, ashore):
        looked("rig_survey", each, date(2026, 4, 1))
    (first,) = order(yard, tick("rig_survey", f"boat-{stepped.pk}"))
    (second,) = order(yard, tick("rig_survey", f"boat-{ashore.pk}"))
    assert (first.earliest_date, first.wanted_date) == (date(2027, 9, 15), date(2027, 9, 15))
    assert (second.earliest_date, second.wanted_date) == (None, TODAY)


def test_tackle_by_the_harbormasters_day_and_parts_by_their_age(yard: YardSettings) -> None:
    row = Mooring.objects.create(
        ref="17", tackle_inspected_on=date(2026, 4, 20), tackle_inspection_due_on=date(2027, 6, 30)
    )
    TacklePart.objects.create(mooring=row, kind="top_chain", size="3/8 in", laid_on=date(2024, 4, 1))
    TacklePart.objects.create(mooring=row, kind="top_chain", size="1/2 in", laid_on=date(2026, 4, 1))
    found = due(yard)
    assert (found["tackle", "mooring 17"].state, found["tackle", "mooring 17"].due_on) == ("due", date(2027, 6, 30))
    chain = found["top_chain", "mooring 17"]
    assert (chain.state, chain.due_on, str(chain.part)) == ("overdue", date(2027, 4, 1), "top chain 3/8 in")
    looked("tackle", row, date(2027, 5, 1))  # before the day that was set, which still stands
    assert due(yard)["tackle", "mooring 17"].due_on == date(2027, 6, 30)


def test_one_order_for_a_mooring_however_much_of_it_is_due_and_pressing_twice_makes_one(yard: YardSettings) -> None:
    wren = boat()
    row = Mooring.objects.create(ref="17", permit_boat=wren)
    TacklePart.objects.create(mooring=row, kind="top_chain", laid_on=date(2020, 4, 1))
    keys = [tick("tackle", f"mooring-{row.pk}"), tick("top_chain", f"mooring-{row.pk}")]
    (made,) = order(yard, *keys)
    assert (made.boat, made.to_mooring, made.wanted_date) == (wren, row, TODAY)
    assert DueOrder.objects.filter(order=made).count() == 2
    assert order(yard, *keys) == []
    assert Order.objects.count() == 1
    assert due(yard)["top_chain", "mooring 17"].order == made


def test_the_yards_own_gear_is_one_order_for_each_interval(yard: YardSettings) -> None:
    one, two = sling("Sling A"), sling("Sling B")
    (made,) = order(yard, tick("slings", f"gear-{one.pk}"), tick("slings", f"gear-{two.pk}"))
    job = made.jobs.get()
    assert (made.boat, made.walk_in_name) == (None, YARD_ITSELF)
    assert (job.name, job.ways.get().duration_min) == ("gear_inspect: Sling A, Sling B", 60)
    assert "Nobody under a load" in job.cautions
    job.state, job.actual_ends_at = Job.State.DONE, NOW
    job.save()
    assert due(yard, date(2028, 6, 1))["slings", "Sling A"].due_on == date(2028, 5, 6)


def test_taken_back_it_may_be_ordered_again_and_what_is_begun_stays(yard: YardSettings) -> None:
    key = tick("slings", f"gear-{sling().pk}")
    (made,) = order(yard, key)
    assert take_back_due([made.pk], by=None, now=NOW) == (1, 0)
    (again,) = order(yard, key)
    Job.objects.filter(order=again).update(state="started", actual_starts_at=NOW)
    assert take_back_due([again.pk], by=None, now=NOW) == (0, 1)


def test_what_is_not_fit_is_out_of_use_until_it_is_found_good(yard: YardSettings) -> None:
    one = sling()
    looked("slings", one, date(2027, 5, 5), "failed")
    one.refresh_from_db()
    assert one.out_of_use
    assert due(yard)["slings", "Sling"].state == "failed"
    looked("slings", one, date(2027, 5, 6))
    one.refresh_from_db()
    assert not one.out_of_use
    assert due(yard)["slings", "Sling"].state == "later"


def test_a_later_day_and_no_package_make_no_order(yard: YardSettings) -> None:
    one = sling(since=date(2027, 4, 1))
    key = tick("slings", f"gear-{one.pk}")
    told = order_due([key], by_day=SOON, by=None, now=NOW, today=TODAY, yard=yard)
    assert told.left == (("Sling, Slings and straps inspected", "it is not due by that day"),)
    Interval.objects.update(package=None)
    told = order_due([key], by_day=date(2028, 6, 1), by=None, now=NOW, today=TODAY, yard=yard)
    assert "names no package" in told.left[0][1]


# The page


def test_as_many_queries_for_many_as_for_one(yard: YardSettings) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            due(yard)
        return len(asked)

    boat()
    sling()
    few = count()
    for number in range(6):
        boat(f"Boat {number}")
        sling(f"Sling {number}")
    assert count() == few


def test_the_page_orders_takes_back_and_writes_down(cast: Cast, client: Client, yard: YardSettings) -> None:
    YardSettings.objects.update(clock_frozen_at=NOW)
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    wren, one = boat(), sling()
    page = client.get("/due/").content.decode()
    assert "1 no day on file" in page
    assert "1 overdue" in page
    sent = client.post("/due/", {"due": [tick("slings", f"gear-{one.pk}"), tick("rig_survey", f"boat-{wren.pk}")]})
    assert "2 orders made." in sent.content.decode()
    made = [row.pk for row in Order.objects.all()]
    assert "2 orders made." not in client.post("/due/", {"act": "all"}).content.decode()  # both are ordered already
    client.post("/due/", {"act": "back", "order": made})
    of_slings = client.post("/due/", {"act": f"all-{Interval.objects.get(key='slings').pk}"})
    assert "1 order made." in of_slings.content.decode()
    again = Order.objects.get(state="open", boat=None)
    assert again.walk_in_name == YARD_ITSELF
    client.post("/due/", {"act": "back", "order": [again.pk, *Order.objects.values_list("pk", flat=True)]})
    assert set(Order.objects.values_list("state", flat=True)) == {"cancelled"}
    address = f"/due/{Interval.objects.get(key='slings').pk}/gear/{one.pk}/"
    assert client.get(address).status_code == 200
    assert client.get(address.replace("/gear/", "/boat/")).status_code == 404  # a sling has no rig
    answer = client.post(address, {"done_on": "2027-05-06", "by_whom": "Ada", "result": "failed"})
    assert answer.status_code == 302
    assert Gear.objects.get().out_of_use
    assert client.post(address, {"done_on": "2027-06-06", "by_whom": "", "result": "good"}).status_code == 422
    for path in ("/due/intervals/", "/due/gear/", "/due/gear/new/", "/due/intervals/new/", f"/due/?boat={wren.pk}"):
        assert client.get(path).status_code == 200, path
    row = Interval.objects.get(key="slings")
    values = {"name": "Slings", "covers": "gear", "kinds": ["sling"], "months": "6", "counts": "inspected",
              "origin": "yard", "version": row.version}  # fmt: skip
    assert client.post(f"/due/intervals/{row.pk}/", values).status_code == 302
    assert Interval.objects.get(key="slings").months == 6


def test_of_a_long_list_the_most_urgent_are_sent_and_all_when_asked_for(
    cast: Cast, client: Client, yard: YardSettings
) -> None:
    YardSettings.objects.update(clock_frozen_at=NOW)
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    for number in range(SENT_AT_ONCE + 1):
        sling(f"Sling {number}")
    slings = Interval.objects.get(key="slings")

    def shown(address: str) -> tuple[int, str]:
        page = client.get(address).content.decode()
        return page.count(f'name="due" value="{slings.pk}:'), page

    some, page = shown("/due/?covers=gear")
    assert some == SENT_AT_ONCE
    assert f'href="?covers=gear&amp;whole={slings.pk}">Show all {SENT_AT_ONCE + 1}<' in page
    assert "1 more is not printed here: “Show all” prints it." in page
    every, page = shown(f"/due/?covers=gear&whole={slings.pk}")
    assert every == SENT_AT_ONCE + 1
    assert "Show all" not in page
    assert [shown(f"/due/?whole={wrong}")[0] for wrong in ("", "x", "-1", "99999")] == [SENT_AT_ONCE] * 4
    sling("Sling 99")
    assert "2 more are not printed here: “Show all” prints them." in shown("/due/")[1]
