"""Who could take a free tide, and the gauge's reading. It is Thursday 6 May 2027, 10:00; made tides at 00 and 12."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from tests.web.made_creek import BACKEND, FRIDAY, MONDAY, NOW, THURSDAY, at, job, launch, post, text_of
from yard.models import Boat, GaugeReading, Job, JobKind, JobLink, Order, Place, PlannedJob, YardSettings

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("creek")]
NOON = 720


@pytest.fixture
def ben(cast, client):
    client.force_login(cast.ben, BACKEND)
    return client


def waiting(boat: str, draft_m: float | None = 1.2, **more) -> Job:
    """A boat with a launch to come that no plan has."""
    hull = Boat.objects.create(ref=boat.lower(), name=boat, length_m=7, beam_m=2, draft_m=draft_m)
    order = Order.objects.create(ref=f"W-{boat}", boat=hull, name="Spring", made_at=NOW, **more)
    values = {"name": "Launch", "short_name": "launch", "letter": "L", "trade": "launch", "water_need": "ramp"}
    kind, _ = JobKind.objects.get_or_create(key="launch", defaults=values)
    return Job.objects.create(order=order, kind=kind, key="launch", name="Launch", water_need="ramp")


def before(launch_job: Job, name: str, **more) -> JobLink:
    values = {"short_name": "x", "letter": "X", "trade": "yard", "name": name}
    kind, _ = JobKind.objects.get_or_create(key=name.lower(), defaults=values)
    row = Job.objects.create(order=launch_job.order, kind=kind, key=name.lower(), name=name)
    return JobLink.objects.create(before=row, after=launch_job, **more)


def asked(client, day=FRIDAY, minute: int = NOON) -> str:
    return text_of(client.get(reverse("tide_boats", args=[day.isoformat(), minute])))


def test_a_free_tide_leads_to_the_boats_it_could_take(dee):
    post()
    waiting("Sanderling")
    page = dee.get(reverse("launches")).content.decode()
    assert '<a href="/launches/2027-05-07/720/">Put a boat here</a>' in page
    text = asked(dee)
    assert "Which boat on Fri 7 May, high water 12:00, 3.0 m?" in text
    assert "1 boat is ready by then." in text
    assert "Sanderling" in text.partition("Ready by then")[2]


def test_a_taken_tide_offers_no_place(dee):
    launch(post(), "Sanderling", FRIDAY, "10:30")
    assert '<a href="/launches/2027-05-07/720/">' not in dee.get(reverse("launches")).content.decode()


def test_the_water_decides_who_is_listed(dee):
    """Half an hour about noon stands at 2.987 m: less 0.75 m of toe and trailer and 0.3 m of margin, a draft of
    1.93 m floats and one of 1.95 m does not."""
    post()
    waiting("Fits", draft_m=1.93)
    waiting("Deepling", draft_m=1.95)
    waiting("Cuttle", draft_m=None)
    page = asked(dee)
    assert "Fits" in page
    assert "Deepling" not in page
    assert "1 boat needs more water than this tide has in light." in page
    assert "Not judged: Cuttle: her draft is unknown." in page


def test_launched_and_closed_orders_are_not_listed(dee):
    post()
    done, shut = waiting("Afloat"), waiting("Gone")
    Job.objects.filter(pk=done.pk).update(state="done", actual_ends_at=NOW)
    Order.objects.filter(pk=shut.order_id).update(state="cancelled")
    assert "No boat waits to be launched." in asked(dee)


def test_what_would_have_to_move_is_said(dee):
    """The coat ends Thursday 15:00 and dries 16 h, so it is ready on Friday 07:00; painted on Friday it is not. A wash
    that is not planned keeps her too; a mast that must follow within a day and stands on Monday would come sooner."""
    plan = post()
    ready, late, unplanned, followed = waiting("Ready"), waiting("Late"), waiting("Unplanned"), waiting("Followed")
    for one, day in ((ready, THURSDAY), (late, FRIDAY)):
        link = before(one, "Coat", min_wait_min=16 * 60)
        PlannedJob.objects.create(plan=plan, job=link.before, starts_at=at(day, "13:00"), ends_at=at(day, "15:00"))
    before(unplanned, "Wash")
    mast = before(followed, "Mast")
    JobLink.objects.filter(pk=mast.pk).update(before=followed, after=mast.before, max_wait_min=24 * 60)
    PlannedJob.objects.create(plan=plan, job=mast.before, starts_at=at(MONDAY, "08:00"), ends_at=at(MONDAY, "09:00"))
    page = asked(dee)
    first, _, rest = page.partition("Something would have to move")
    assert "2 boats are ready by then." in first
    assert "Mast would have to come sooner: it is planned for Mon 10 May 08:00." in first
    assert "Coat would have to end sooner: it is planned until Fri 7 May 15:00, with its wait Sat 8 May 07:00." in rest
    assert "Wash is not planned yet." in rest
    assert "Ready" not in rest


def test_done_work_may_still_be_drying(dee):
    """27 h after Wednesday 04:00 it is dry; after Thursday 09:00 it is on Friday 12:00, past loading at 11:30."""
    post()
    for name, hours_ago in (("Dry", 30), ("Wet", 1)):
        link = before(waiting(name), "Coat", min_wait_min=27 * 60)
        Job.objects.filter(pk=link.before_id).update(state="done", actual_ends_at=NOW - timedelta(hours=hours_ago))
    first, _, rest = asked(dee).partition("Something would have to move")
    assert "Dry" in first
    assert "Wet" not in first
    assert "Wet" in rest
    assert "Coat is done, but its wait ends Fri 7 May 12:00." in rest


def test_berths_and_who_wants_the_trailer_are_said(dee):
    plan = post()
    Place.objects.create(ref="b1", name="Berth 1", kind="berth", counted_by_night=True)
    launch(plan, "Merganser", FRIDAY, "08:30")
    waiting("Sanderling")
    page = asked(dee)
    assert "0 of 1 berths are taken that night." in page
    assert "The trailer and the ramp are wanted by Merganser about then." in page


def test_no_such_tide(dee):
    assert dee.get(reverse("tide_boats", args=["2027-05-07", 721])).status_code == 404
    assert dee.get(reverse("tide_boats", args=["2030-05-07", 720])).status_code == 404
    YardSettings.objects.update(tide_station="")
    assert dee.get(reverse("tide_boats", args=["2027-05-07", 720])).status_code == 404


def test_candidates_cost_as_many_queries_for_many_boats(dee, django_assert_num_queries):
    plan = post()
    for count in (1, 8):
        for number in range(count):
            link = before(waiting(f"B{count}{number}"), "Coat")
            PlannedJob.objects.create(
                plan=plan, job=link.before, starts_at=at(THURSDAY, "13:00"), ends_at=at(THURSDAY, "15:00")
            )
            launch(plan, f"L{count}{number}", MONDAY, "10:30")
        with django_assert_num_queries(26):
            asked(dee)


# the gauge


def read(client, typed: str, follow: bool = True):
    return client.post(reverse("tides_gauge", args=["2027-05-06"]), {"height": typed}, follow=follow)


def day_page(client, day: str = "2027-05-06") -> str:
    return text_of(client.get(reverse("tides_day", args=[day]), {"draft": "1.2"}))


def test_a_reading_moves_todays_windows_with_a_warning(ben):
    """At 10:00 the made tide stands at 2.25 m. Read 2.5 m, it is 0.25 m higher: 1.5 - 1.5 cos(x) + 0.25 = 2.25 at
    cos(x) = -1/3, 109.47 degrees of 180 in 6 h, which is 219 min after 06:00 and so past already: there is water at
    10:00, when the reading begins to hold, till 219 min before 18:00, 14:21."""
    page = text_of(read(ben, "2.5 m"))
    assert "The gauge read 2.5 m at 10:00, 0.2 m above the prediction." in page or "0.3 m above" in page
    page = day_page(ben)
    assert (
        "With the gauge, water at the ramp for a draft of 1.2 m: 10:00 to 14:21; as predicted: 10:00 to 14:00" in page
    )
    assert "Read by Ben." in page
    assert "The gauge read 2.5" not in day_page(ben, "2027-05-07")  # for today alone
    assert GaugeReading.objects.get().predicted_m_above_datum == pytest.approx(2.25, abs=0.002)


def test_lower_water_shortens_the_window(ben):
    """0.25 m lower: 1.5 - 1.5 cos(x) - 0.25 = 2.25 at cos(x) = -2/3, 131.81 degrees, 263.6 min after 06:00: 10:24
    to 13:36."""
    read(ben, "2.0")
    assert "draft of 1.2 m: 10:24 to 13:36; as predicted" in day_page(ben)


def test_a_reading_holds_for_half_a_day(ben):
    read(ben, "2.5")
    GaugeReading.objects.update(at=NOW - timedelta(hours=11, minutes=59))
    assert "The gauge read 2.5" in day_page(ben)
    GaugeReading.objects.update(at=NOW - timedelta(hours=12, minutes=1))
    assert "The gauge read 2.5" not in day_page(ben)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("deep", "is no height"),
        ("", "is no height"),
        ("nan", "A gauge reads between"),
        ("1e9", "A gauge reads"),
        ("9", "read the gauge again"),
    ],
)
def test_a_slip_is_refused_and_nothing_is_kept(ben, typed, said):
    assert said in read(ben, typed).content.decode()
    assert not GaugeReading.objects.exists()


def test_feet_are_read_as_feet(ben):
    """8.2 ft are 2.499 m."""
    YardSettings.objects.update(units="feet")
    read(ben, "8.2")
    assert GaugeReading.objects.get().observed_m_above_datum == pytest.approx(2.49936)


def test_a_reading_is_taken_back_but_not_where_a_boat_floated(ben):
    read(ben, "2.5")
    row = GaugeReading.objects.get()
    assert (
        "The reading is taken back."
        in ben.post(reverse("tides_gauge_back", args=[row.pk]), follow=True).content.decode()
    )
    assert not GaugeReading.objects.exists()
    hull = Boat.objects.create(ref="x", name="X", length_m=7, beam_m=2)
    kept = GaugeReading.objects.create(at=NOW, observed_m_above_datum=2.3, boat=hull)
    old = GaugeReading.objects.create(at=NOW - timedelta(days=2), observed_m_above_datum=2.3)
    for row, said in ((kept, "really floated"), (old, "more than a day old")):
        answer = ben.post(reverse("tides_gauge_back", args=[row.pk]), follow=True).content.decode()
        assert said in answer
    assert GaugeReading.objects.count() == 2
    assert ben.post(reverse("tides_gauge_back", args=[10**9])).status_code == 404


def test_a_viewer_reads_the_warning_and_has_no_form(dee, cast):
    GaugeReading.objects.create(at=NOW, observed_m_above_datum=2.5, read_by=cast.ben)
    page = dee.get(reverse("tides_day", args=["2027-05-06"])).content.decode()
    assert "The gauge read 2.5 m" in page
    assert "Keep the reading" not in page
    assert "Take it back" not in page


def test_without_a_tide_a_reading_says_why_not(ben):
    YardSettings.objects.update(tide_station="")
    assert "No tide station is chosen yet" in read(ben, "2.5").content.decode()
    assert job(post(), "Dunlin", "Tune", THURSDAY, "09:00", "10:00").pk  # the plan stands without a tide
