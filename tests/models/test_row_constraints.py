"""What must never be is refused by the database itself, whoever writes. Each case has the row that is kept."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, models, transaction

from yard.models import (
    Boat,
    BoatOwner,
    CalendarAddress,
    Closure,
    Fact,
    FactsRevision,
    Item,
    Job,
    JobKind,
    JobLink,
    JobWay,
    Memo,
    Mooring,
    Order,
    Owner,
    Person,
    PersonSkill,
    Pin,
    Place,
    Plan,
    PlannedJob,
    ProductSheet,
    ProductWait,
    Season,
    ShopHours,
    Skill,
    Stay,
    Telling,
    Waiver,
    WeeklyHours,
    Whereabouts,
    YardSettings,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2027, 4, 5, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Yard:
    """A smallest yard to hang rows on."""

    boat: Boat
    order: Order
    one: Job
    two: Job
    place: Place
    row: Place
    mooring: Mooring
    person: Person
    skill: Skill
    owner: Owner
    plan: Plan
    sheet: ProductSheet
    user: User


@pytest.fixture
def yard() -> Yard:
    boat = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    order = Order.objects.create(ref="27-001", boat=boat, name="Spring", made_at=NOON)
    kind = JobKind.objects.create(key="wash", name="Wash", short_name="wash", letter="W", trade="yard")
    one, two = (Job.objects.create(order=order, kind=kind, key=key, name=key) for key in ("one", "two"))
    return Yard(
        boat=boat,
        order=order,
        one=one,
        two=two,
        place=Place.objects.create(ref="ramp", name="Ramp", kind="ramp"),
        row=Place.objects.create(ref="row-a", name="Row A", kind="store_row", capacity=5),
        mooring=Mooring.objects.create(ref="41"),
        person=Person.objects.create(name="Ada Quill", short_name="Ada"),
        skill=Skill.objects.create(key="hand", name="Yard hand"),
        owner=Owner.objects.create(name="Cy Thorne"),
        plan=Plan.objects.create(made_at=NOON, facts_revision=1),
        sheet=ProductSheet.objects.create(kind="paint", name="Red ablative", source="its data sheet"),
        user=User.objects.create(username="cal"),
    )


Make = Callable[..., models.Model]


def boat(_: Yard, **changed: Any) -> models.Model:
    return Boat(**{"ref": "tern", "name": "Tern", "length_m": 8.0, "beam_m": 2.5, "draft_m": 1.2} | changed)


def boat_owner(yard: Yard, **changed: Any) -> models.Model:
    return BoatOwner(**{"boat": yard.boat, "owner": yard.owner, "starts_on": date(2027, 1, 1)} | changed)


def whereabouts(yard: Yard, **changed: Any) -> models.Model:
    return Whereabouts(
        **{"boat": yard.boat, "kind": "store_row", "place": yard.row, "position": 2, "since": NOON} | changed
    )


def item(yard: Yard, **changed: Any) -> models.Model:
    return Item(**{"boat": yard.boat, "kind": "mast", "name": "mast"} | changed)


def person(_: Yard, **changed: Any) -> models.Model:
    return Person(**{"name": "Ben Oxley", "short_name": "Ben"} | changed)


def person_skill(yard: Yard, **changed: Any) -> models.Model:
    return PersonSkill(**{"person": yard.person, "skill": yard.skill, "level": 2} | changed)


def weekly_hours(yard: Yard, **changed: Any) -> models.Model:
    return WeeklyHours(**{"person": yard.person, "weekday": 0, "starts": time(8), "ends": time(12)} | changed)


def shop_hours(_: Yard, **changed: Any) -> models.Model:
    return ShopHours(**{"weekday": 0, "starts": time(8), "ends": time(12)} | changed)


def place(_: Yard, **changed: Any) -> models.Model:
    return Place(**{"ref": "pole", "name": "Gin pole", "kind": "gin_pole"} | changed)


def closure(_: Yard, **changed: Any) -> models.Model:
    given = {"covers": "outdoors", "starts_at": NOON, "ends_at": NOON + HOUR, "reason": "gale", "made_at": NOON}
    return Closure(**given | changed)


def order(yard: Yard, **changed: Any) -> models.Model:
    return Order(**{"ref": "27-002", "boat": yard.boat, "name": "Halyard", "made_at": NOON} | changed)


def job(yard: Yard, **changed: Any) -> models.Model:
    return Job(**{"order": yard.order, "kind": yard.one.kind, "key": "three", "name": "three"} | changed)


def job_way(yard: Yard, **changed: Any) -> models.Model:
    return JobWay(**{"job": yard.one, "duration_min": 60} | changed)


def job_link(yard: Yard, **changed: Any) -> models.Model:
    return JobLink(**{"before": yard.one, "after": yard.two, "min_wait_min": 60, "max_wait_min": 120} | changed)


def stay(yard: Yard, **changed: Any) -> models.Model:
    given = {"order": yard.order, "from_job": yard.one, "until_job": yard.two, "place_kind": "berth"}
    return Stay(**given | changed)


def waiver(yard: Yard, **changed: Any) -> models.Model:
    return Waiver(
        **{"rule": "light", "job": yard.one, "reason": "lamps", "made_by": yard.user, "made_at": NOON} | changed
    )


def fact(yard: Yard, **changed: Any) -> models.Model:
    given = {"kind": "permit", "name": "permit", "boat": yard.boat, "state": "expected", "set_at": NOON}
    return Fact(**given | {"expected_date": date(2027, 5, 4)} | changed)


def product_wait(yard: Yard, **changed: Any) -> models.Model:
    return ProductWait(**{"sheet": yard.sheet, "from_temp_c": 21.0, "min_wait_min": 960} | changed)


def plan(_: Yard, **changed: Any) -> models.Model:
    given = {"made_at": NOON, "facts_revision": 1, "state": "posted", "number": 14, "posted_at": NOON}
    return Plan(**given | changed)


def planned_job(yard: Yard, **changed: Any) -> models.Model:
    return PlannedJob(**{"plan": yard.plan, "job": yard.one, "starts_at": NOON, "ends_at": NOON + HOUR} | changed)


def telling(yard: Yard, **changed: Any) -> models.Model:
    given = {"order": yard.order, "state": "firm", "told_date": date(2027, 5, 7), "how": "call", "told_at": NOON}
    return Telling(**given | changed)


def address(yard: Yard, **changed: Any) -> models.Model:
    given = {"kind": "person", "person": yard.person, "name": "Ada", "made_at": NOON, "changed_at": NOON}
    return CalendarAddress(**given | {"token_sha256": "0" * 64} | changed)


def memo(yard: Yard, **changed: Any) -> models.Model:
    return Memo(**{"boat": yard.boat, "text": "keel bolts looked at", "made_at": NOON} | changed)


def season(_: Yard, **changed: Any) -> models.Model:
    return Season(**{"name": "2027", "starts_on": date(2027, 1, 1), "ends_on": date(2028, 1, 1)} | changed)


def settings(_: Yard, **changed: Any) -> models.Model:
    return YardSettings(**{"name": "Quill's Yard"} | changed)


def facts_revision(_: Yard, **changed: Any) -> models.Model:
    return FactsRevision(**{"id": 1} | changed)


REFUSED: list[tuple[Make, dict[str, Any], str]] = [
    (boat, {"draft_m": 12.5}, "boat_draft_in_range"),
    (boat, {"draft_m": 0.0}, "boat_draft_in_range"),
    (boat, {"length_m": 61.0}, "boat_length_in_range"),
    (boat, {"beam_m": -1.0}, "boat_beam_in_range"),
    (boat, {"displacement_kg": 0.0}, "boat_displacement_above_nothing"),
    (boat, {"mast_height_m": -2.0}, "boat_mast_above_nothing"),
    (boat_owner, {"ends_on": date(2027, 1, 1)}, "boat_owner_ends_after_start"),
    (whereabouts, {"position": None}, "whereabouts_position_in_row"),
    (whereabouts, {"place": None}, "whereabouts_names_where"),
    (whereabouts, {"kind": "mooring", "place": None, "position": None}, "whereabouts_names_where"),
    (item, {"boat": None}, "item_belongs_somewhere"),
    (item, {"area_m2": 0.0}, "item_area_above_nothing"),
    (person, {"slides_per_week": 8}, "person_slides_at_most_daily"),
    (person, {"early_slide_min": 361}, "person_slide_in_range"),
    (person, {"longest_day_min": 30}, "person_day_in_range"),
    (person_skill, {"level": 4}, "person_skill_level"),
    (weekly_hours, {"ends": time(8)}, "weekly_hours_end_after_start"),
    (weekly_hours, {"weekday": 7}, "weekly_hours_weekday"),
    (shop_hours, {"ends": time(7)}, "shop_hours_end_after_start"),
    (place, {"capacity": 0}, "place_holds_at_least_one"),
    (place, {"max_draft_m": 0.0}, "place_limits_above_nothing"),
    (place, {"wind_factor": 0.0}, "place_wind_factor_above_nothing"),
    (closure, {"ends_at": NOON}, "closure_ends_after_start"),
    (closure, {"covers": "place"}, "closure_names_its_place"),
    (order, {"boat": None}, "order_has_boat_or_name"),
    (order, {"goes_first": 4}, "order_goes_first_1_to_3"),
    (order, {"earliest_date": date(2027, 5, 2), "latest_date": date(2027, 5, 1)}, "order_latest_after_earliest"),
    (order, {"wanted_date": date(2027, 5, 2), "latest_date": date(2027, 5, 1)}, "order_wanted_between"),
    (job, {"state": "done"}, "job_done_has_an_end"),
    (job, {"actual_starts_at": NOON, "actual_ends_at": NOON - HOUR}, "job_ends_after_start"),
    (job_way, {"duration_min": 0}, "job_way_takes_time"),
    (job_link, {"max_wait_min": 30}, "job_link_waits"),
    (waiver, {"reason": ""}, "waiver_has_a_reason"),
    (fact, {"expected_date": None}, "fact_expected_has_its_date"),
    (fact, {"state": "here"}, "fact_expected_has_its_date"),
    (fact, {"boat": None}, "fact_of_boat_or_order"),
    (product_wait, {"from_temp_c": 70.0}, "product_wait_temperature"),
    (plan, {"number": None}, "plan_posted_has_number_and_time"),
    (planned_job, {"ends_at": NOON}, "planned_job_ends_after_start"),
    (planned_job, {"holds_until": NOON}, "planned_job_holds_after_end"),
    (telling, {"told_date": None}, "telling_names_its_date"),
    (address, {"person": None}, "calendar_address_of_its_kind"),
    (memo, {"boat": None}, "memo_is_about_something"),
    (season, {"ends_on": date(2027, 1, 1)}, "season_ends_after_start"),
    (settings, {"id": 2}, "settings_one_row"),
    (settings, {"ramp_ratio": 0.0}, "settings_ratio_above_nothing"),
    (settings, {"margin_rising_m": -0.1}, "settings_margin_not_negative"),
    (settings, {"duration_factor": 4.0}, "settings_factor_in_range"),
    (facts_revision, {"id": 2}, "facts_revision_one_row"),
]


@pytest.mark.parametrize(("make", "changed", "constraint"), REFUSED)
def test_the_database_refuses_it(yard: Yard, make: Make, changed: dict[str, Any], constraint: str) -> None:
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        make(yard, **changed).save()


@pytest.mark.parametrize("make", sorted({case[0] for case in REFUSED}, key=lambda make: make.__name__))
def test_the_unchanged_row_is_kept_and_clean(yard: Yard, make: Make) -> None:
    FactsRevision.objects.all().delete()
    row = make(yard)
    row.full_clean()
    row.save()
    assert type(row)._default_manager.filter(pk=row.pk).exists()


def test_a_link_or_stay_joins_two_jobs(yard: Yard) -> None:
    for row in (job_link(yard, after=yard.one), stay(yard, until_job=yard.one)):
        with pytest.raises(IntegrityError, match="joins_two"), transaction.atomic():
            row.save()


ONCE: list[tuple[Make, dict[str, Any]]] = [
    (boat_owner, {}),
    (boat_owner, {"starts_on": date(2027, 2, 1), "told_first": True}),
    (whereabouts, {}),
    (person, {}),
    (person_skill, {}),
    (weekly_hours, {}),
    (order, {}),
    (job, {}),
    (job_way, {}),
    (job_link, {}),
    (waiver, {}),
    (product_wait, {}),
    (plan, {"number": 15}),
    (planned_job, {}),
]


@pytest.mark.parametrize(("make", "second"), ONCE)
def test_the_second_of_a_kind_is_refused(yard: Yard, make: Make, second: dict[str, Any]) -> None:
    make(yard, **({"told_first": True} if "told_first" in second else {})).save()
    with pytest.raises(IntegrityError), transaction.atomic():
        make(yard, **second).save()


def test_a_withdrawn_pin_makes_room_for_the_next(yard: Yard) -> None:
    first = Pin.objects.create(job=yard.one, starts_at=NOON, reason="crane hired", made_at=NOON)
    with pytest.raises(IntegrityError), transaction.atomic():
        Pin.objects.create(job=yard.one, reason="again", made_at=NOON)
    first.withdrawn_at = NOON
    first.save()
    Pin.objects.create(job=yard.one, reason="again", made_at=NOON)
    assert yard.one.pins.count() == 2


def test_an_archived_short_name_may_be_used_again(yard: Yard) -> None:
    yard.person.archived = True
    yard.person.save()
    person(yard, short_name="Ada").save()
    assert Person.objects.filter(short_name="Ada").count() == 2


def test_a_second_plan_can_be_posted_when_the_first_is_superseded(yard: Yard) -> None:
    first = plan(yard)
    first.save()
    Plan.objects.filter(pk=first.pk).update(state="superseded")
    plan(yard, number=15).save()
    assert Plan.objects.get(state="posted").number == 15
