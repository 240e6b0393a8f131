"""What calendars remember: identities, revisions, cancellations, in whose calendar a thing stands."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client

from tests.feeds import raw
from tests.feeds.feed_yard import HOUR, NOW, FeedYard, Placed, at
from yard.models import (
    BoatOwner,
    Closure,
    FeedEntry,
    FeedMember,
    FeedState,
    GaugeReading,
    Job,
    JobWork,
    Mooring,
    Order,
    Telling,
    YardHoliday,
)
from yard.models.packages import Package, PackageFact
from yard.services.feeds.jobs import DECIDES, caution_words

pytestmark = pytest.mark.django_db


@pytest.fixture
def read(make, path, reader: Client):
    """`read("person", arne)`: the events of a calendar, newly fetched, as tests/feeds/raw.py reads them."""

    def fetched(kind: str, subject=None, **wish) -> list[raw.Part]:
        body = reader.get(path(make(kind, subject, **wish))).content
        return raw.read(body).inside("VEVENT")

    return fetched


def seen(parts: list[raw.Part]) -> list[str]:
    return sorted(part.text("SUMMARY") for part in parts)


def entry_of(job: Job) -> FeedEntry:
    return FeedEntry.objects.get(job=job, owners=False)


def test_point_01_the_identity_stays_when_everything_else_changes(feed_yard: FeedYard) -> None:
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(10, 9), people=[feed_yard.arne]))
    first = entry_of(tune)
    assert first.uid.version == 4  # random
    Job.objects.filter(pk=tune.pk).update(name="Dock tune")
    feed_yard.post(Placed(tune, at(12, 9), people=[feed_yard.wren]))
    assert entry_of(tune).uid == first.uid


def test_point_03_nothing_rises_where_nothing_changed(feed_yard: FeedYard) -> None:
    tune, rig = feed_yard.job("Tune"), feed_yard.job("Rig")
    placed = [Placed(tune, at(10, 9), people=[feed_yard.arne]), Placed(rig, at(10, 11))]
    feed_yard.post(*placed)
    before = list(FeedEntry.objects.order_by("id").values())
    count = FeedState.objects.get().count
    feed_yard.later(hours=3)
    assert not feed_yard.post(*placed).anything
    assert not feed_yard.fact_changed().anything
    assert list(FeedEntry.objects.order_by("id").values()) == before
    assert FeedState.objects.get().count == count


def test_point_03_a_move_raises_all_three_and_only_of_what_moved(feed_yard: FeedYard) -> None:
    tune, rig = feed_yard.job("Tune"), feed_yard.job("Rig")
    feed_yard.post(Placed(tune, at(10, 9)), Placed(rig, at(10, 11)))
    feed_yard.later(hours=2)
    brought = feed_yard.post(Placed(tune, at(10, 10)), Placed(rig, at(10, 11)))
    assert brought.changed == 1  # owners see days, and the day is the same
    moved, same = entry_of(tune), entry_of(rig)
    assert (moved.sequence, moved.made_at, moved.revised_at) == (1, NOW, NOW + 2 * HOUR)
    assert (same.sequence, same.revised_at) == (0, NOW)
    (found,) = raw.read(_alone(moved)).inside("VEVENT")
    assert [found.one(name).value for name in ("SEQUENCE", "DTSTAMP", "LAST-MODIFIED", "CREATED")] == [
        "1",
        "20270506T160000Z",
        "20270506T160000Z",
        "20270506T140000Z",
    ]
    assert found.text("DESCRIPTION").endswith("Changed: was Mon 10 May 09:00 to 10:00.")


def _alone(entry: FeedEntry) -> bytes:
    return b"BEGIN:VCALENDAR\r\n" + entry.lines.encode() + b"END:VCALENDAR\r\n"


def test_point_03_revisions_rise_though_the_clock_stands_still(feed_yard: FeedYard) -> None:
    tune = feed_yard.job("Tune")
    stamps = []
    for hour in (9, 10, 11):
        feed_yard.post(Placed(tune, at(10, hour)))
        stamps.append((entry_of(tune).sequence, entry_of(tune).revised_at))
    assert stamps == [(0, NOW), (1, NOW + timedelta(seconds=1)), (2, NOW + timedelta(seconds=2))]


def test_point_04_what_leaves_the_plan_is_cancelled_for_two_weeks(feed_yard: FeedYard, read) -> None:
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(30, 9), people=[feed_yard.arne]))
    feed_yard.post()
    (found,) = read("person", feed_yard.arne)
    assert (found.one("STATUS").value, found.one("SEQUENCE").value) == ("CANCELLED", "1")
    assert found.text("SUMMARY") == "CANCELLED: Tune, Wagtail"
    feed_yard.later(days=13, hours=23)
    feed_yard.fact_changed()
    assert seen(read("person", feed_yard.arne)) == ["CANCELLED: Tune, Wagtail"]
    feed_yard.later(hours=1)
    assert seen(read("person", feed_yard.arne)) == ["Nothing is planned yet"]
    feed_yard.later(days=2)
    feed_yard.fact_changed()
    assert not FeedEntry.objects.exists()  # nobody shows it any more


def test_point_04_a_cancelled_job_that_comes_back_is_the_same_event_revised(feed_yard: FeedYard) -> None:
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(20, 9)))
    first = entry_of(tune)
    feed_yard.withdraw()
    assert entry_of(tune).cancelled_at == NOW
    feed_yard.post(Placed(tune, at(20, 9)))
    again = entry_of(tune)
    assert (again.uid, again.sequence, again.cancelled_at) == (first.uid, 2, None)
    assert "Changed: it takes place again." in again.lines.replace("\r\n ", "")


def test_whoever_is_taken_off_reads_that_it_is_cancelled_and_the_others_do_not(feed_yard: FeedYard, read) -> None:
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(10, 9), people=[feed_yard.arne, feed_yard.wren]))
    feed_yard.post(Placed(tune, at(11, 9), people=[feed_yard.wren]))
    (his,) = read("person", feed_yard.arne)
    assert (his.one("STATUS").value, his.one("SEQUENCE").value) == ("CANCELLED", "1")
    assert raw.moment(his.one("DTSTART")) == at(10, 9)  # where he knows it
    assert "you are no longer on it" in his.text("DESCRIPTION")
    (hers,) = read("person", feed_yard.wren)
    assert (hers.text("SUMMARY"), raw.moment(hers.one("DTSTART"))) == ("Tune, Wagtail", at(11, 9))
    feed_yard.post(Placed(tune, at(11, 9), people=[feed_yard.arne, feed_yard.wren]))
    (back,) = read("person", feed_yard.arne)
    assert (back.one("STATUS").value, back.one("SEQUENCE").value) == ("CONFIRMED", "2")


def test_a_boat_that_is_sold_and_bought_back_never_falls_behind_its_sequence(feed_yard: FeedYard, read) -> None:
    """The event is the same all the while; the former owner's copy was revised, so the event must pass it."""
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(20, 9)))
    sold = BoatOwner.objects.get(boat=feed_yard.wagtail)
    BoatOwner.objects.filter(pk=sold.pk).update(ends_on=date(2027, 5, 1))
    feed_yard.fact_changed()
    (off,) = read("owner", feed_yard.cy)
    assert (off.one("STATUS").value, off.one("SEQUENCE").value) == ("CANCELLED", "1")
    assert off.one("DTSTAMP").value == "20270506T140001Z"
    BoatOwner.objects.filter(pk=sold.pk).update(ends_on=None)
    feed_yard.fact_changed()
    (back,) = read("owner", feed_yard.cy)
    assert (back.one("STATUS").value, back.one("SEQUENCE").value) == ("TENTATIVE", "2")
    assert back.one("DTSTAMP").value == "20270506T140002Z"  # though the yard's clock stands still


def test_a_boat_changes_hands_at_the_beginning_of_a_day_though_nobody_writes_anything(
    feed_yard: FeedYard, read
) -> None:
    BoatOwner.objects.filter(boat=feed_yard.wagtail).update(ends_on=date(2027, 5, 8))
    feed_yard.post(Placed(feed_yard.job("Tune"), at(20, 9)))
    feed_yard.later(days=1, hours=13)  # Friday, 23:00
    assert seen(read("owner", feed_yard.cy)) == ["Tune, Wagtail"]
    feed_yard.later(hours=2)
    assert seen(read("owner", feed_yard.cy)) == ["CANCELLED: Tune, Wagtail"]


def test_what_was_told_and_taken_back_is_firm_no_more(feed_yard: FeedYard, read) -> None:
    tune = feed_yard.job("Tune")
    told = Telling.objects.create(
        order=tune.order, boat=feed_yard.wagtail, state="firm", told_date=date(2027, 5, 20), how="call", told_at=NOW
    )
    feed_yard.post(Placed(tune, at(20, 9)))
    assert [part.one("STATUS").value for part in read("owner", feed_yard.cy)] == ["CONFIRMED"]
    Telling.objects.filter(pk=told.pk).update(taken_back_at=NOW)
    assert [part.one("STATUS").value for part in read("owner", feed_yard.cy)] == ["TENTATIVE"]


def test_where_she_really_floated_is_what_her_next_event_needs(feed_yard: FeedYard, read) -> None:
    """She floated at 2.00 m above datum; with the margin of a rising tide, 0.3048 m, that is 2.3048 m, 7.6 ft."""
    feed_yard.post(Placed(feed_yard.job("Launch", kind="launch"), at(10, 12.5)))
    assert "needs 7.6 ft" not in read("boat", feed_yard.wagtail)[0].text("DESCRIPTION")
    GaugeReading.objects.create(at=NOW, observed_m_above_datum=2.0, boat=feed_yard.wagtail)
    (found,) = read("boat", feed_yard.wagtail)
    assert "needs 7.6 ft" in found.text("DESCRIPTION")
    assert found.one("SEQUENCE").value == "1"


def test_point_09_a_yard_that_moves_to_another_zone_writes_everything_anew(feed_yard: FeedYard, read) -> None:
    """09:00 in New York is 14:00 in London. Whole days stay the days they are."""
    tune = feed_yard.job("Tune")
    YardHoliday.objects.create(day=date(2027, 5, 31), name="Memorial Day")
    feed_yard.post(Placed(tune, at(10, 9), people=[feed_yard.arne]), Placed(feed_yard.job("Rig"), at(10, 9)))
    feed_yard.post(Placed(tune, at(10, 9), people=[feed_yard.wren]))
    feed_yard.yard.time_zone = "Europe/London"
    feed_yard.yard.version += 1
    feed_yard.yard.save()
    found = [*read("yard", parts=["closures"]), *read("person", feed_yard.arne), *read("owner", feed_yard.cy)]
    zones = {part.one("DTSTART").params.get("TZID") for part in found}
    assert zones == {"Europe/London", None}  # None: whole days
    (moved,) = read("person", feed_yard.wren)
    assert moved.one("DTSTART").value == "20270510T140000"
    assert moved.one("SEQUENCE").value == "2"
    assert "20270531" in {part.one("DTSTART").value for part in read("closures")}


def test_each_calendar_has_its_own_jobs_and_no_other(feed_yard: FeedYard, read) -> None:
    tune = feed_yard.job("Tune", feed_yard.wagtail)
    sew = feed_yard.job("Sew", feed_yard.kittiwake, kind="sew")
    feed_yard.post(
        Placed(tune, at(10, 9), people=[feed_yard.arne], places=[feed_yard.ramp]),
        Placed(sew, at(10, 9), people=[feed_yard.wren], places=[feed_yard.loft]),
    )
    for kind, one, other in (
        ("person", feed_yard.arne, feed_yard.wren),
        ("boat", feed_yard.wagtail, feed_yard.kittiwake),
        ("owner", feed_yard.cy, feed_yard.dee),
        ("place", feed_yard.ramp, feed_yard.loft),
    ):
        assert seen(read(kind, one)) == ["Tune, Wagtail"], kind
        assert seen(read(kind, other)) == ["Sew, Kittiwake"], kind
    assert seen(read("yard")) == ["Sew, Kittiwake", "Tune, Wagtail"]


def test_an_owners_calendar_has_days_and_neither_hours_nor_names_of_the_crew(feed_yard: FeedYard, read) -> None:
    launch = feed_yard.job("Launch", kind="launch")
    feed_yard.post(Placed(launch, at(10, 9), people=[feed_yard.arne]))
    (found,) = read("owner", feed_yard.cy)
    assert found.one("DTSTART").value == "20270510"
    assert found.one("DTEND").value == "20270511"
    assert found.one("STATUS").value == "TENTATIVE"
    assert found.all("URL") == []
    assert "Arne" not in found.text("DESCRIPTION")
    assert "What could move it: the weather, the tide." in found.text("DESCRIPTION")
    Telling.objects.create(
        order=launch.order, boat=feed_yard.wagtail, state="firm", told_date=date(2027, 5, 10), how="call", told_at=NOW
    )
    feed_yard.refresh()
    (found,) = read("owner", feed_yard.cy)
    assert (found.one("STATUS").value, found.one("SEQUENCE").value) == ("CONFIRMED", "1")


def test_work_without_a_boat_is_called_by_its_order_and_not_by_a_name(feed_yard: FeedYard, read) -> None:
    sew = feed_yard.job("Sew", kind="sew")
    Order.objects.filter(pk=sew.order_id).update(boat=None, walk_in_name="Mr Quill")
    feed_yard.post(Placed(sew, at(10, 9), people=[feed_yard.arne]))
    (found,) = read("person", feed_yard.arne)
    assert found.text("SUMMARY") == "Sew, order 27-001"
    assert "Quill" not in found.text("DESCRIPTION")
    assert found.one("URL").value.endswith(f"/orders/{sew.order_id}/")


def test_a_launch_says_what_helps_on_the_dock(feed_yard: FeedYard, read) -> None:
    """The height that she needs: toe -0.5 m, trailer 0.6 m, draft 1.0 m, margin 0.3048 m: 1.4048 m, 4.6 ft."""
    launch = feed_yard.job("Launch", kind="launch")
    feed_yard.post(Placed(launch, at(10, 12.5), people=[feed_yard.arne], places=[feed_yard.ramp], provisional=True))
    (found,) = read("person", feed_yard.arne)
    words = found.text("DESCRIPTION")
    assert found.text("LOCATION") == "Ramp"
    assert found.one("GEO").value == "43.66;-70.25"
    assert found.one("STATUS").value == "TENTATIVE"
    assert found.text("CATEGORIES") == "launch"
    assert found.one("URL").value.endswith(f"/boats/{feed_yard.wagtail.pk}/#jobs")
    for said in ("Provisional", "With Arne.", "above MLLW", "read the gauge", "gusts 22 kn", "Order 27-001"):
        assert said in words, said
    assert ("needs 4.6 ft" in words) or ("needs 5.1 ft" in words)  # on a rising or on a falling tide


@pytest.mark.parametrize(
    ("cautions", "said"),
    [
        ("Nobody under the mast.", f"Caution: Nobody under the mast. {DECIDES}"),
        (
            "Lifejackets. Predicted tides leave out wind, pressure and river flow. The person in charge may stop it.",
            "Caution: Lifejackets. The person in charge may stop it.",
        ),
    ],
)
def test_a_caution_says_once_who_decides_and_leaves_the_tide_to_its_own_line(cautions: str, said: str) -> None:
    assert caution_words(cautions, tides_said=True) == said
    assert ("wind, pressure" in caution_words(cautions, tides_said=False)) == ("wind, pressure" in cautions)


def test_an_odd_row_keeps_nobody_from_reading(feed_yard: FeedYard, read) -> None:
    """A name without a letter, and a caution as long as a book: cut, and everything else as ever."""
    odd, tune = feed_yard.job("\x07", cautions="Mind the boom. " * 1000), feed_yard.job("Tune")
    feed_yard.post(Placed(odd, at(10, 9), people=[feed_yard.arne]), Placed(tune, at(10, 11), people=[feed_yard.arne]))
    Closure.objects.create(
        covers="outdoors",
        starts_at=at(7, 9) + timedelta(microseconds=5),
        ends_at=at(7, 12),
        reason="gale",
        state="accepted",
        made_at=NOW,
    )
    feed_yard.fact_changed()
    found = read("person", feed_yard.arne, parts=["closures"])
    assert {part.text("SUMMARY") for part in found} >= {"Tune, Wagtail", "Closed: all outdoor work (gale)"}
    (long,) = [part for part in found if part.text("SUMMARY") == "Wagtail"]
    assert len(long.text("DESCRIPTION")) < 8_200
    assert long.text("DESCRIPTION").endswith("…")


def test_bench_work_over_nights_is_a_visit_a_day(feed_yard: FeedYard, read) -> None:
    """Fri 7 May 13:00 to Tue 11 May 10:00, Arne works Monday to Friday 8 to 16: three visits."""
    sew = feed_yard.job("Sew", kind="sew")
    placed = Placed(sew, at(7, 13), lasts=timedelta(days=3, hours=21), people=[feed_yard.arne])
    feed_yard.post(placed)
    spans = sorted((raw.moment(part.one("DTSTART")), raw.moment(part.one("DTEND"))) for part in read("yard"))
    assert spans == [(at(7, 13), at(7, 16)), (at(10, 8), at(10, 16)), (at(11, 8), at(11, 10))]
    assert seen(read("yard"))[0] == "Sew (1 of 3), Wagtail"
    feed_yard.post(Placed(sew, at(7, 13), people=[feed_yard.arne]))
    assert seen(read("yard")) == [
        "CANCELLED: Sew (2 of 3), Wagtail",
        "CANCELLED: Sew (3 of 3), Wagtail",
        "Sew, Wagtail",
    ]


def test_point_05_work_that_is_done_stays_with_its_place_and_people_for_sixty_days(feed_yard: FeedYard, read) -> None:
    tune = feed_yard.job("Tune")
    feed_yard.post(Placed(tune, at(6, 8), people=[feed_yard.arne], places=[feed_yard.loft]))
    Job.objects.filter(pk=tune.pk).update(state="done", actual_starts_at=at(6, 8.5), actual_ends_at=at(6, 9.5))
    JobWork.objects.create(job=tune, person=feed_yard.arne, worked_on=date(2027, 5, 6))
    feed_yard.fact_changed()
    assert not feed_yard.post().cancelled  # a new plan does not name what is done
    (found,) = read("place", feed_yard.loft)
    assert (raw.moment(found.one("DTSTART")), found.text("LOCATION")) == (at(6, 8.5), "Loft floor")
    assert "Done." in found.text("DESCRIPTION")
    feed_yard.now = at(6, 9.4) + timedelta(days=60)
    feed_yard.later(seconds=0)
    feed_yard.fact_changed()
    assert seen(read("person", feed_yard.arne)) == ["Tune, Wagtail"]
    feed_yard.later(minutes=10)
    assert seen(read("person", feed_yard.arne)) == ["Nothing is planned yet"]


def test_closures_and_holidays(feed_yard: FeedYard, read) -> None:
    YardHoliday.objects.create(day=date(2027, 5, 31), name="Memorial Day")
    Closure.objects.create(
        covers="outdoors", starts_at=at(7, 0), ends_at=at(8, 0), reason="gale", state="accepted", made_at=NOW
    )
    Closure.objects.create(
        covers="water", starts_at=at(9, 7), ends_at=at(9, 12), reason="regatta", state="suggested", made_at=NOW
    )
    feed_yard.fact_changed()
    found = read("closures")
    assert seen(found) == ["Closed: all outdoor work (gale)", "Yard closed: Memorial Day"]
    assert {part.one("TRANSP").value for part in found} == {"TRANSPARENT"}
    assert sorted(part.one("DTSTART").value for part in found) == ["20270507", "20270531"]


def test_deadlines(feed_yard: FeedYard, read) -> None:
    """Cloth takes 10 days, the cover is sewn on 28 May: order by 18 May. The day is told 14 days before."""
    Mooring.objects.create(ref="41", permit_boat=feed_yard.wagtail, permit_expires_on=date(2027, 6, 1))
    package = Package.objects.create(key="canvas", name="Canvas order")
    PackageFact.objects.create(package=package, key="cloth", kind="cloth", name="cloth", default_days=10)
    sew = feed_yard.job("Sew", kind="sew")
    sew.order.package = package
    sew.order.save()
    cloth = sew.order.facts.create(
        kind="cloth", name="cloth", state="expected", expected_date=date(2027, 5, 20), guess=True, set_at=NOW
    )
    cloth.jobs.add(sew)
    feed_yard.post(Placed(sew, at(28, 9)))
    days = {part.text("SUMMARY"): part.one("DTSTART").value for part in read("deadlines")}
    assert days["Order by today: cloth, Wagtail"] == "20270518"
    assert days["Permit expires: mooring 41, Wagtail"] == "20270601"
    assert days["Tell the day, Wagtail: Spring commissioning, Fri 28 May"] == "20270514"
    assert days["Final call, Wagtail: Spring commissioning, Fri 28 May"] == "20270527T160000"
    assert not any("Cy" in title for title in days)


def test_tides_and_light_are_reckoned_for_three_months(feed_yard: FeedYard, read) -> None:
    """A tide of Portland, Maine: 28 highs and lows in a week (NOAA's own count is two of each a lunar day)."""
    feed_yard.refresh()
    found = read("tides", parts=["ramp"], draft_m=1.0)
    titles = [part.text("SUMMARY") for part in found]
    highs = [part for part in found if part.text("SUMMARY").startswith("High water")]
    assert 195 <= len(highs) <= 203  # 104 days of 24 h 50 min hold 201
    assert sum(title.startswith("Sun ") for title in titles) == 104
    ramps = [part for part in found if part.text("SUMMARY") == "Water at the ramp for 3.3 ft draft"]
    assert 190 <= len(ramps) <= 205
    for part in ramps:  # each window holds a high water
        starts, ends = raw.moment(part.one("DTSTART")), raw.moment(part.one("DTEND"))
        inside = [high for high in highs if starts <= raw.moment(high.one("DTSTART")) <= ends]
        assert len(inside) == 1 or starts.date() in {found_day(ramps, 0), found_day(ramps, -1)}
    assert len({part.one("UID").value for part in found}) == len(found)


def found_day(parts: list[raw.Part], place: int):
    return raw.moment(parts[place].one("DTSTART")).date()


def test_tides_are_revised_only_when_the_yards_tide_changes(feed_yard: FeedYard) -> None:
    feed_yard.refresh()
    state = FeedState.objects.get()
    feed_yard.yard.phone = "1"
    feed_yard.yard.save()
    feed_yard.refresh()
    assert FeedState.objects.get().tide_sequence == state.tide_sequence == 0
    feed_yard.yard.ramp_time_min = 20
    feed_yard.yard.save()
    feed_yard.refresh()
    assert FeedState.objects.get().tide_sequence == 1


def test_queries_do_not_grow_with_the_jobs(feed_yard: FeedYard, django_assert_max_num_queries) -> None:
    feed_yard.post(*(Placed(feed_yard.job(f"Job {n}"), at(10 + n % 9, 9), people=[feed_yard.arne]) for n in range(30)))
    with django_assert_max_num_queries(45):
        feed_yard.fact_changed()


def test_of_two_that_write_the_second_finds_nothing_to_do(feed_yard: FeedYard, django_assert_max_num_queries) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9)))
    with django_assert_max_num_queries(2):
        assert not feed_yard.refresh().anything


def test_members_are_rows_of_their_own_kind(feed_yard: FeedYard) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne], places=[feed_yard.loft]))
    assert set(FeedMember.objects.values_list("kind", "subject")) == {
        ("person", feed_yard.arne.pk),
        ("boat", feed_yard.wagtail.pk),
        ("place", feed_yard.loft.pk),
        ("owner", feed_yard.cy.pk),
    }
