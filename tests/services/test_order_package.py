"""Ordering a package: copied whole or not at all, options on and off, facts with dates, one network a boat."""

from datetime import UTC, date, datetime

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.services.ordering import JANUARY, ordered
from tests.services.package_walk import FOLDER
from yard.models import (
    Boat,
    Fact,
    FactsRevision,
    Job,
    JobLink,
    JobWay,
    Mooring,
    Order,
    Package,
    Season,
    Stay,
    YardSettings,
)
from yard.services.order_package import (
    OrderDates,
    OrderRefused,
    Terms,
    WalkIn,
    default_options,
)
from yard.services.packages import load_packages

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]


@pytest.fixture
def wren() -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


def keys(order: Order) -> list[str]:
    return list(order.jobs.values_list("key", flat=True))


def link(order: Order, before: str, after: str) -> JobLink | None:
    return JobLink.objects.filter(before__order=order, before__key=before, after__order=order, after__key=after).first()


# ---- copying


def test_jobs_ways_links_stays_are_copied_with_what_their_kinds_say(wren: Boat, ada: User) -> None:
    order = ordered(wren, "spring_commissioning", by=ada)
    launch = order.jobs.get(key="launch")
    assert (launch.water_need, launch.weather_class, launch.outdoor, launch.needs_light) == (
        "ramp",
        "afloat",
        True,
        True,
    )
    assert launch.cautions == launch.kind.cautions != ""
    ways = list(launch.ways.order_by("sequence"))
    assert [way.duration_min for way in ways] == [90, 150]
    assert ways[0].crew == [
        {"skill": "operator", "level": 1, "count": 1},
        {"skill": "hand", "level": 1, "count": 2},
    ]
    assert ways[0].place_kinds == ["trailer", "ramp"]
    assert [part["name"] for part in ways[1].parts] == ["load", "wait for water", "float off", "trailer back"]
    wait = link(order, "first_coat", "launch")
    assert wait is not None
    assert (wait.min_wait_min, wait.max_wait_min, wait.product_kind) == (16 * 60, 14 * 24 * 60, "paint")
    stay = Stay.objects.get(order=order)
    assert (stay.from_job.key, stay.until_job.key, stay.place_kind, stay.counted_by_night) == (
        "launch",
        "deliver",
        "berth",
        True,
    )


def test_who_and_when_stand_on_the_order_and_in_every_history(wren: Boat, ada: User) -> None:
    order = ordered(wren, "halyard", by=ada)
    assert (order.ref, order.made_by, order.made_at) == ("27-001", ada, JANUARY)
    for row in (order, order.jobs.get(), order.jobs.get().ways.first()):
        written = row.history.get()
        assert (written.history_user, written.history_date, written.history_change_reason) == (
            ada,
            JANUARY,
            "ordered: Halyard",
        )


def test_references_count_on_within_the_year_of_the_yards_own_date(wren: Boat) -> None:
    """1 January 03:00 UTC is still 31 December in New York."""
    YardSettings.objects.create(name="Quill's Yard", time_zone="America/New_York")
    Order.objects.create(ref="26-999", boat=wren, name="old", made_at=JANUARY)
    Order.objects.create(ref="26-x", boat=wren, name="by hand", made_at=JANUARY)
    assert ordered(wren, "halyard", now=datetime(2027, 1, 1, 3, tzinfo=UTC)).ref == "26-1000"
    assert ordered(wren, "halyard", now=datetime(2027, 1, 1, 6, tzinfo=UTC)).ref == "27-001"


def test_the_copy_does_not_change_with_the_package(wren: Boat) -> None:
    order = ordered(wren, "halyard")
    Package.objects.get(key="halyard").jobs.get().ways.update(duration_min=240)
    load_packages(FOLDER, now=JANUARY, overwrite=True)
    assert set(JobWay.objects.filter(job__order=order).values_list("duration_min", flat=True)) == {60}


def test_a_break_point_joins_the_parts_of_one_work(wren: Boat) -> None:
    order = ordered(wren, "furler")
    assert order.jobs.get(key="fit").split_of == order.jobs.get(key="prepare")


def test_ordering_raises_the_count_of_changed_facts_once(wren: Boat) -> None:
    before = FactsRevision.objects.get().count
    ordered(wren, "spring_commissioning")
    assert FactsRevision.objects.get().count == before + 1


def test_the_day_to_finish_by_is_the_next_one(wren: Boat) -> None:
    autumn = OrderDates(earliest=date(2027, 9, 15))
    order = ordered(wren, "autumn_lay_up", dates=autumn)
    late = ordered(wren, "autumn_lay_up", dates=OrderDates(earliest=date(2027, 11, 21)))
    assert order.jobs.get(key="winterise").finish_by_date == date(2027, 11, 20)
    assert late.jobs.get(key="winterise").finish_by_date == date(2028, 11, 20)


def test_only_the_drive_keeps_the_road_date_and_only_where_there_is_one(wren: Boat) -> None:
    at = datetime(2027, 5, 20, 11, tzinfo=UTC)
    fixed = ordered(wren, "new_boat_delivery", dates=OrderDates(fixed_delivery_at=at))
    free = ordered(wren, "new_boat_delivery", dates=OrderDates())
    assert list(fixed.jobs.filter(on_fixed_date=True).values_list("key", flat=True)) == ["road_out"]
    assert not free.jobs.filter(on_fixed_date=True).exists()


# ---- options


def test_default_options_know_a_planked_hull(wren: Boat) -> None:
    spring = Package.objects.get(key="spring_commissioning")
    usual = {"check_sails", "dress_mast", "covers_and_cushions"}
    assert default_options(spring, wren) == usual
    wren.planked = True
    assert default_options(spring, wren) == usual | {"take_up"}
    assert default_options(spring, None) == usual


def test_options_bring_and_leave_out_jobs_and_links(wren: Boat) -> None:
    bare = ordered(wren, "spring_commissioning", options=[])
    full = ordered(wren, "spring_commissioning", options=["second_coat", "sea_trial", "check_sails"])
    assert not {"second_coat", "sails", "dress", "rig_look", "fit_covers", "sea_trial", "take_up"} & set(keys(bare))
    assert {"second_coat", "sails", "sea_trial"} <= set(keys(full))
    # With a second coat it is the second that must dry before the launch, and goes stale.
    assert link(bare, "first_coat", "launch") is not None
    assert link(full, "first_coat", "launch") is None
    assert link(full, "second_coat", "launch").min_wait_min == 960
    assert link(full, "sea_trial", "deliver") is not None


def test_covers_gate_the_delivery_only_where_the_order_says_so(wren: Boat) -> None:
    follows = ordered(wren, "spring_commissioning")
    gates = ordered(wren, "spring_commissioning", terms=Terms(covers_gate_delivery=True))
    assert link(follows, "fit_covers", "deliver") is None
    assert link(gates, "fit_covers", "deliver").covers_gate


# ---- what is refused


@pytest.mark.parametrize(
    ("key", "options", "terms", "says"),
    [
        ("halyard", [], Terms(walk_in=WalkIn(name="Fay")), "work on a boat"),
        ("sail_repair", [], Terms(), "person who walked in"),
        ("sail_repair", [], Terms(walk_in=WalkIn(name="  ")), "person who walked in"),
        ("sail_clean", ["off_the_boat"], Terms(walk_in=WalkIn(name="Fay")), "Unbend sails.*leave that option out"),
        ("sail_clean", ["gold"], Terms(walk_in=WalkIn(name="Fay")), "has no option gold; it has off_the_boat"),
    ],
)
def test_an_order_that_cannot_be_is_refused_whole(key: str, options: list[str], terms: Terms, says: str) -> None:
    before = FactsRevision.objects.get().count
    with pytest.raises(OrderRefused, match=says):
        ordered(None, key, options=options, terms=terms)
    assert not Order.objects.exists()
    assert not Job.objects.exists()
    assert FactsRevision.objects.get().count == before


def test_dates_that_cannot_be_are_refused_whole(wren: Boat) -> None:
    backwards = OrderDates(earliest=date(2027, 5, 2), latest=date(2027, 5, 1))
    with pytest.raises(ValidationError, match="latest date lies before"):
        ordered(wren, "halyard", dates=backwards)
    assert not Order.objects.exists()


def test_an_archived_boat_or_package_is_refused(wren: Boat) -> None:
    Package.objects.filter(key="furler").update(archived=True)
    with pytest.raises(OrderRefused, match="Furler is archived"):
        ordered(wren, "furler")
    wren.archived = True
    with pytest.raises(OrderRefused, match="Wren is archived"):
        ordered(wren, "halyard")


def test_a_walk_in_has_a_name_a_tag_and_a_price_and_no_boat() -> None:
    fay = WalkIn(name="Fay Marsh", phone="555 0117", bag_tag="R41", price_said="80 to 120")
    order = ordered(None, "sail_repair", dates=OrderDates(), terms=Terms(walk_in=fay))
    assert (order.boat, order.walk_in_name, order.bag_tag, order.price_said) == (None, "Fay Marsh", "R41", "80 to 120")
    assert keys(order) == ["inspect", "repair", "hand_over"]
    assert Fact.objects.get().order == order


# ---- facts


def test_missing_facts_are_guesses_with_a_date_and_the_draft_is_unknown(wren: Boat) -> None:
    wren.draft_m = None
    wren.save()
    order = ordered(wren, "spring_commissioning")
    facts = {fact.kind: fact for fact in Fact.objects.all()}
    assert set(facts) == {"draft", "permit", "tackle_set", "data_sheet"}
    # Ordered on 11 January: 60 days later is 12 March, 90 days 11 April, 30 days 10 February.
    dated = {kind: (fact.state, fact.expected_date, fact.guess) for kind, fact in facts.items()}
    assert dated == {
        "draft": ("unknown", None, False),
        "permit": ("expected", date(2027, 3, 12), True),
        "tackle_set": ("expected", date(2027, 4, 11), True),
        "data_sheet": ("expected", date(2027, 2, 10), True),
    }
    assert set(facts["draft"].jobs.values_list("key", flat=True)) == {"launch", "deliver"}
    assert set(facts["permit"].jobs.values_list("key", flat=True)) == {"deliver"}
    assert (facts["permit"].boat, facts["permit"].order) == (wren, None)
    assert (facts["data_sheet"].boat, facts["data_sheet"].order) == (None, order)


def test_a_known_draft_is_nothing_to_wait_for(wren: Boat) -> None:
    ordered(wren, "spring_commissioning")
    assert not Fact.objects.filter(kind="draft").exists()


def test_a_guess_hurries_where_people_can_but_cloth_does_not(wren: Boat) -> None:
    """Ordered on 1 April, wanted on 20 April: approval in 14 days would be the 15th, a week before is the 13th."""
    soon = OrderDates(wanted=date(2027, 4, 20))
    ordered(wren, "canvas_order", dates=soon, now=datetime(2027, 4, 1, 15, tzinfo=UTC))
    dates = dict(Fact.objects.values_list("kind", "expected_date"))
    assert dates["approval"] == date(2027, 4, 13)
    assert dates["cloth"] == date(2027, 5, 6)  # 35 days


def test_a_guess_is_never_in_the_past(wren: Boat) -> None:
    ordered(wren, "canvas_order", dates=OrderDates(wanted=date(2027, 4, 3)), now=datetime(2027, 4, 1, 15, tzinfo=UTC))
    assert Fact.objects.get(kind="deposit").expected_date == date(2027, 4, 2)


def test_the_mooring_tells_what_is_here_already(wren: Boat) -> None:
    Season.objects.create(name="2027", starts_on=date(2027, 1, 1), ends_on=date(2028, 1, 1))
    Mooring.objects.create(
        ref="41", permit_boat=wren, permit_expires_on=date(2027, 12, 31), tackle_set_on=date(2027, 1, 5)
    )
    ordered(wren, "spring_commissioning")
    states = dict(Fact.objects.values_list("kind", "state"))
    assert (states["permit"], states["tackle_set"]) == ("here", "here")


@pytest.mark.parametrize(
    ("expires", "set_on"), [(date(2027, 5, 27), date(2026, 4, 20)), (None, None)], ids=["last year's", "none"]
)
def test_last_years_permit_and_tackle_are_not_here(wren: Boat, expires: date | None, set_on: date | None) -> None:
    """She may be delivered until 28 May: a permit up to the 27th does not do."""
    Season.objects.create(name="2027", starts_on=date(2027, 1, 1), ends_on=date(2028, 1, 1))
    Mooring.objects.create(ref="41", permit_boat=wren, permit_expires_on=expires, tackle_set_on=set_on)
    ordered(wren, "spring_commissioning")
    assert set(Fact.objects.filter(kind__in=["permit", "tackle_set"]).values_list("state", flat=True)) == {"expected"}


def test_another_boats_permit_is_not_hers(wren: Boat) -> None:
    tern = Boat.objects.create(ref="tern", name="Tern", length_m=8.0, beam_m=2.5, draft_m=1.2)
    lent = Mooring.objects.create(ref="7", permit_boat=tern, permit_expires_on=date(2030, 1, 1), temporary=True)
    ordered(wren, "spring_commissioning", terms=Terms(to_mooring=lent))
    assert Fact.objects.get(kind="permit").state == "expected"


def test_two_orders_wait_for_one_permit(wren: Boat) -> None:
    spring = ordered(wren, "spring_commissioning")
    tackle = ordered(wren, "mooring_tackle")
    permit = Fact.objects.get(kind="permit")
    assert set(permit.jobs.all()) == {spring.jobs.get(key="deliver"), tackle.jobs.get(key="set")}


def test_a_closed_orders_permit_is_not_used_again(wren: Boat) -> None:
    last_year = ordered(wren, "mooring_tackle")
    Order.objects.filter(pk=last_year.pk).update(state="done")
    ordered(wren, "mooring_tackle")
    assert Fact.objects.filter(kind="permit").count() == 2


# ---- one network a boat


def test_ordering_takes_as_many_queries_whatever_the_boat_has_ordered(wren: Boat) -> None:
    def taken() -> int:
        with CaptureQueriesContext(connection) as seen:
            ordered(wren, "sail_repair")
        return len(seen)

    first = taken()
    for _ in range(5):
        ordered(wren, "sail_repair")
    assert taken() == first
