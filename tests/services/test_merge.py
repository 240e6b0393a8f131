"""Two boats or owners that are one: everything that hangs on them goes over, and comes back as a whole."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User

from tests.services.ordering import ordered
from yard.models import (
    Boat,
    BoatOwner,
    CalendarAddress,
    DueOrder,
    Event,
    Fact,
    GaugeReading,
    Gear,
    Inspection,
    Interval,
    Item,
    JobLink,
    LeftOut,
    Letter,
    Measurement,
    Memo,
    Mooring,
    Order,
    Owner,
    OwnerAnswer,
    OwnerPage,
    Photograph,
    Place,
    Plan,
    Proposal,
    RepairList,
    RunWish,
    SaleToCome,
    Storm,
    StormLine,
    StowPlan,
    StowSpot,
    Telling,
    ToldApart,
    Whereabouts,
    WholeChange,
)
from yard.queries.duplicates import boats_twice, owners_twice
from yard.services.keeping import Refused, Writer
from yard.services.whole_change import relations
from yard.services.whole_change.apart import tell_apart
from yard.services.whole_change.merge import BOTH, GONES, ChangedMeanwhile, Merged, Wish, merge
from yard.services.whole_change.relations import (
    OF_BOATS,
    OF_OWNERS,
    GoesOver,
    UnknownRelation,
    relations_of,
    rows_that_hang,
)
from yard.services.whole_change.take_back import NotTakenBack, take_back

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
JANUARY, MARCH, TODAY = date(2027, 1, 1), date(2027, 3, 1), date(2027, 5, 6)


@pytest.fixture
def writer() -> Writer:
    return Writer(User.objects.create(username="cy"), NOW, TODAY)


def boat(name: str, ref: str, **more: Any) -> Boat:
    return Boat.objects.create(name=name, ref=ref, **{"length_m": 8.5, "beam_m": 2.8} | more)


def owner(name: str, **more: Any) -> Owner:
    return Owner.objects.create(name=name, ref=name.lower().replace(" ", "-"), **more)


@pytest.fixture
def teals() -> tuple[Boat, Boat]:
    return boat("Teal", "teal", draft_m=1.2), boat("Teal II", "teal-2", notes="leaks forward", sail_number="114")


def hang_everything_on(her: Boat, who: Owner) -> None:
    """One row of each kind that may name a boat or an owner, and goes over."""
    order = Order.objects.create(ref=f"27-{her.pk}", boat=her, name="Spring", made_at=NOW)
    about = {"boat": her, "made_at": NOW}
    BoatOwner.objects.create(boat=her, owner=who, starts_on=JANUARY, told_first=True)
    Mooring.objects.create(ref=f"M-{her.pk}", permit_boat=her)
    Whereabouts.objects.create(boat=her, kind="away", since=NOW)
    Item.objects.create(boat=her, kind="sail", name="Main")
    LeftOut.objects.create(plan=Plan.objects.create(made_at=NOW, facts_revision=0), boat=her, rule="water")
    Fact.objects.create(kind="permit", name="permit", boat=her, set_at=NOW)
    GaugeReading.objects.create(at=NOW, observed_m_above_datum=2.0, boat=her)
    Telling.objects.create(order=order, boat=her, owner=who, state="nothing", how="call", told_at=NOW)
    Memo.objects.create(text="stiff zip", **about)
    Photograph.objects.create(file="a.jpg", sha256="0", **about)
    Measurement.objects.create(name="boom", value=3.2, **about)
    RepairList.objects.create(name="Main", **about)
    warned = Event.objects.create(kind="storm", says="a storm", recorded_at=NOW)
    storm = Storm.objects.create(event=warned, name="Gale", comes_at=NOW, made_at=NOW)
    StormLine.objects.create(storm=storm, boat=her, sequence=1, todo="haul")
    Letter.objects.create(owner=who, made_at=NOW)
    OwnerPage.objects.create(owner=who, token_sha256=f"page{her.pk}", made_at=NOW)
    RunWish.objects.create(owner=who, boat=her, name="Ann", from_at=NOW, until_at=NOW, asked_at=NOW)
    OwnerAnswer.objects.create(owner=who, boat=her, kind="suits", made_at=NOW)
    SaleToCome.objects.create(boat=her, buyer=who, sold_on=TODAY, called_off_at=NOW, made_at=NOW)
    Gear.objects.create(ref=f"gear-{her.pk}", kind="extinguisher", name="extinguisher", boat=her)
    often, _ = Interval.objects.get_or_create(key="rig", defaults={"name": "Rig", "covers": "rig", "months": 12})
    seen = {"interval": often, "boat": her}
    Inspection.objects.create(done_on=JANUARY, by_whom="Ada", result="good", recorded_at=NOW, **seen)
    DueOrder.objects.create(order=order, **seen)
    store, _ = Place.objects.get_or_create(ref="row", defaults={"name": "Row", "kind": "store_row"})
    spot = {"place": store, "position": 1, "standing": True, "turn": 1, "leaves": TODAY}
    StowSpot.objects.create(plan=StowPlan.objects.create(kind="boats", state="dropped", made_at=NOW), boat=her, **spot)
    for kind, of in (("boat", {"boat": her}), ("owner", {"owner": who})):
        secret = f"{kind}{her.pk}"
        CalendarAddress.objects.create(kind=kind, name=secret, token_sha256=secret, made_at=NOW, changed_at=NOW, **of)


def hanging(one: Boat | Owner) -> dict[str, list[int]]:
    """Ids of the rows of each kind that name this one."""
    return {
        name: sorted(model._default_manager.filter(**{field: one}).values_list("pk", flat=True))
        for name, model, field in relations_of(type(one))
    }


def state() -> list[Any]:
    """Every row that a merge may touch, without versions."""
    models = (Boat, Owner, BoatOwner, Mooring, Whereabouts, Item, Order, Fact, Telling, Memo, CalendarAddress, JobLink)
    left_out = {"version", "tag", "written_for"}
    return [
        [
            {key: value for key, value in row.items() if key not in left_out}
            for row in model.objects.order_by("pk").values()
        ]
        for model in models
    ]


def done(kept: Boat | Owner, gone: Boat | Owner, writer: Writer, **takes: str) -> WholeChange:
    outcome = merge(kept, gone, Wish(takes, (kept.version, gone.version)), writer=writer)
    assert isinstance(outcome, Merged)
    return outcome.change


@pytest.mark.parametrize(("model", "table"), [(Boat, OF_BOATS), (Owner, OF_OWNERS)])
def test_what_becomes_of_every_relation_is_said(model, table):
    """A new model that names boats or owners fails here until relations.py says what becomes of its rows."""
    assert {name for name, _, _ in relations_of(model)} == set(table)


def test_a_relation_that_nobody_thought_of_stops_the_merge(teals, writer, monkeypatch):
    kept, gone = teals
    less = {name: becomes for name, becomes in OF_BOATS.items() if name != "Memo.boat"}
    monkeypatch.setattr(relations, "OF_BOATS", less)
    before = state()
    with pytest.raises(UnknownRelation, match=r"Memo\.boat"):
        merge(kept, gone, Wish({}, (kept.version, gone.version)), writer=writer)
    assert state() == before


def test_everything_that_hangs_on_a_boat_goes_over_and_comes_back(teals, writer):
    kept, gone = teals
    hang_everything_on(kept, owner("Ann Hale"))
    hang_everything_on(gone, owner("Bo Reed"))
    before, were, had = state(), hanging(gone), hanging(kept)
    for name, becomes in OF_BOATS.items():
        assert not isinstance(becomes, GoesOver) or were[name], f"the test hangs nothing on {name}"
    change = done(kept, gone, writer)
    now = hanging(kept)
    for name, becomes in OF_BOATS.items():
        if isinstance(becomes, GoesOver):
            assert hanging(gone)[name] == []
            assert now[name] == sorted(had[name] + were[name])
    gone.refresh_from_db()
    assert (gone.archived, gone.merged_into, gone.name) == (True, kept, "Teal II")
    take_back(change, writer=writer)
    assert state() == before
    assert "taken back" in gone.history.first().history_change_reason


def test_everything_that_hangs_on_an_owner_goes_over_and_comes_back(writer, teals):
    kept, gone = owner("Ann Hale"), owner("Anne Hale", phone="401 555 0142")
    hang_everything_on(teals[0], kept)
    hang_everything_on(teals[1], gone)
    before, were = state(), hanging(gone)
    change = done(kept, gone, writer, phone=GONES)
    for name, becomes in OF_OWNERS.items():
        if isinstance(becomes, GoesOver):
            assert were[name], f"the test hangs nothing on {name}"
            assert hanging(gone)[name] == []
            assert set(were[name]) <= set(hanging(kept)[name])
    kept.refresh_from_db()
    assert (kept.phone, kept.name) == ("401 555 0142", "Ann Hale")
    take_back(change, writer=writer)
    assert state() == before


def test_whose_value_stays_is_chosen_field_by_field(teals, writer):
    kept, gone = teals
    Boat.objects.filter(pk=kept.pk).update(notes="wants a new zip")
    done(kept, gone, writer, sail_number=GONES, notes=BOTH)
    kept.refresh_from_db()
    assert (kept.name, kept.sail_number, kept.draft_m) == ("Teal", "114", 1.2)
    assert kept.notes == "wants a new zip\nleaks forward"
    assert "merged with Teal II (teal-2)" in kept.history.first().history_change_reason


def test_values_that_cannot_be_one_boats_are_refused(teals, writer):
    kept, gone = teals
    Boat.objects.filter(pk=gone.pk).update(beam_m=9.0)
    before = state()
    gone.refresh_from_db()
    outcome = merge(kept, gone, Wish({"beam_m": GONES}, (kept.version, gone.version)), writer=writer)
    assert isinstance(outcome, Refused)
    assert "swapped" in outcome.words["beam_m"][0]
    assert state() == before


def test_a_share_said_twice_is_said_once(teals, writer):
    kept, gone = teals
    ann = owner("Ann Hale")
    BoatOwner.objects.create(boat=kept, owner=ann, starts_on=MARCH)
    BoatOwner.objects.create(
        boat=gone, owner=ann, starts_on=JANUARY, told_first=True, insurance_expires_on=date(2028, 1, 1)
    )
    before = state()
    change = done(kept, gone, writer)
    share = BoatOwner.objects.get()
    assert (share.boat, share.starts_on, share.told_first) == (kept, JANUARY, True)
    assert share.insurance_expires_on == date(2028, 1, 1)
    take_back(change, writer=writer)
    assert state() == before


def test_one_owner_is_called_first_of_a_boat_that_had_two(teals, writer):
    kept, gone = teals
    for her, name in ((kept, "Ann Hale"), (gone, "Bo Reed")):
        BoatOwner.objects.create(boat=her, owner=owner(name), starts_on=JANUARY, told_first=True)
    done(kept, gone, writer)
    assert [(row.owner.name, row.told_first) for row in kept.ownerships.order_by("id")] == [
        ("Ann Hale", True),
        ("Bo Reed", False),
    ]


def test_the_same_moment_twice_is_told_apart_by_a_microsecond(teals, writer):
    for her in teals:
        Whereabouts.objects.create(boat=her, kind="away", since=NOW)
    done(*teals, writer)
    since = list(Whereabouts.objects.filter(boat=teals[0]).order_by("since").values_list("since", flat=True))
    assert since == [NOW, NOW + timedelta(microseconds=1)]


def test_orders_of_the_two_are_one_network_and_two_again(packages, teals, writer):
    """Bending on waits for the repair of one boat's sails, and not for that of another's (waits_for_open, kinds)."""
    kept, gone = teals
    Boat.objects.filter(pk=gone.pk).update(draft_m=1.1)
    spring, repair = ordered(kept, "spring_commissioning"), ordered(gone, "sail_repair")
    across = JobLink.objects.filter(before__order=repair, after__order=spring)
    before = state()
    assert not across.exists()
    kept.refresh_from_db()
    gone.refresh_from_db()
    change = done(kept, gone, writer)
    assert set(across.values_list("before__key", "after__key")) == {("repair", "bend_on"), ("repair", "sails")}
    tackle = ordered(kept, "canvas_order", now=NOW)
    assert JobLink.objects.filter(before__order=repair, after__order=tackle).count() == 0
    again = ordered(kept, "spring_commissioning", now=NOW)
    with pytest.raises(NotTakenBack, match=f"Order {repair.ref} is tied to order {again.ref} since"):
        take_back(change, writer=writer)
    again.delete()
    tackle.delete()
    take_back(change, writer=writer)
    assert state() == before


def test_what_was_untied_by_hand_on_the_one_stays_untied(packages, teals, writer):
    kept, gone = teals
    ordered(gone, "spring_commissioning")
    ordered(gone, "sail_repair")
    JobLink.objects.filter(origin=JobLink.Origin.OTHER_ORDER).delete()
    done(kept, gone, writer)
    assert not JobLink.objects.filter(origin=JobLink.Origin.OTHER_ORDER).exists()


def test_not_taken_back_over_a_later_change_and_it_says_which(teals, writer):
    kept, gone = teals
    note = Memo.objects.create(text="stiff zip", boat=gone, made_at=NOW)
    change = done(kept, gone, writer, sail_number=GONES)
    Memo.objects.create(text="new since", boat=kept, made_at=NOW)
    kept.refresh_from_db()
    kept.sail_number = "7"
    kept.save()
    with pytest.raises(NotTakenBack, match="sail number was changed since"):
        take_back(change, writer=writer)
    note.refresh_from_db()
    assert note.boat == kept
    kept.sail_number = "114"
    kept.save()
    take_back(change, writer=writer)
    assert set(kept.memos.values_list("text", flat=True)) == {"new since"}  # what was added since stays
    with pytest.raises(NotTakenBack, match="already"):
        take_back(change, writer=writer)


def test_the_same_form_twice_is_one_merge_and_a_stale_page_is_told(teals, writer):
    kept, gone = teals
    wish = Wish({}, (kept.version, gone.version), form_key="0d4ef2a6-6d0c-4a5c-8f0a-2a1f6f5f7a11")
    first = merge(kept, gone, wish, writer=writer)
    assert merge(kept, gone, wish, writer=writer) == first
    assert WholeChange.objects.count() == 1
    third = boat("Teel", "teel")
    stale = merge(kept, third, Wish({}, (kept.version + 5, third.version)), writer=writer)
    assert isinstance(stale, ChangedMeanwhile)
    assert isinstance(merge(kept, gone, Wish({}, (kept.version, gone.version)), writer=writer), Refused)
    assert isinstance(merge(kept, kept, Wish({}, (kept.version, kept.version)), writer=writer), Refused)


def test_a_wish_to_leave_her_alone_is_a_wish_for_the_one(teals, writer):
    kept, gone = teals
    plan = Plan.objects.create(made_at=NOW, facts_revision=0)
    asked = Proposal.objects.create(based_on=plan, asked_at=NOW, wishes={"keep_boats": [gone.pk], "leave_people": [4]})
    done(kept, gone, writer)
    asked.refresh_from_db()
    assert asked.wishes == {"keep_boats": [kept.pk], "leave_people": [4]}


def test_what_hangs_is_counted_in_words(teals):
    hang_everything_on(teals[1], owner("Ann Hale"))
    assert all(becomes.words and rows.exists() for becomes, _, rows in rows_that_hang(teals[1]))


@pytest.mark.parametrize(
    ("first", "second", "why"),
    [
        ({"name": "Hale, Ann"}, {"name": "ann hale"}, "the same name"),
        ({"name": "Marguerite Duval"}, {"name": "Margerite Duval"}, "nearly the same name"),
        (
            {"name": "Bo Reed", "phone": "(401) 555-0142"},
            {"name": "R. Reed", "other_phones": "555 0142, at work"},
            "the same telephone number",
        ),
        (
            {"name": "Bo", "email": "Bo@creek.example"},
            {"name": "Robert", "email": "bo@creek.example"},
            "the same e-mail address, Bo@creek.example",
        ),
        ({"name": "Ann Hale"}, {"name": "Dan Vale"}, None),
        ({"name": "Bo Reed", "phone": "401 555 0142"}, {"name": "Dan Vale", "phone": "401 555 0143"}, None),
        ({"name": "Bo Reed", "phone": "401 555 0142"}, {"name": "Dan Vale", "phone": "609 555 0142"}, None),
    ],
)
def test_owners_that_look_like_one(first, second, why):
    one, other = Owner.objects.create(**first), Owner.objects.create(**second)
    assert [pair.why for pair in owners_twice()] == ([why] if why else [])
    assert [(pair.one, pair.other) for pair in owners_twice(other)] == ([(one, other)] if why else [])


def test_boats_that_look_like_one_until_they_are_told_apart(teals, writer):
    kept, gone = teals
    twin = boat("teal", "teal-3", length_m=8.6)
    boat("Teal", "long-teal", length_m=12.0)  # as her name, and no boat grows by a third
    boat("Smew", "smew", sail_number="114")
    assert [(pair.one, pair.other, pair.why) for pair in boats_twice()] == [
        (kept, twin, "the same name, and as long"),
        (gone, Boat.objects.get(ref="smew"), "the same sail number, 114"),
    ]
    assert writer.by is not None
    for _ in range(2):
        tell_apart(twin, kept, by=writer.by, now=NOW)
    assert ToldApart.objects.count() == 1
    assert boats_twice(twin) == []


def test_looking_for_pairs_asks_twice_however_many_boats(teals, django_assert_num_queries):
    for number in range(12):
        boat(f"Boat number {number * 7}", f"b-{number}", length_m=5 + number)
    with django_assert_num_queries(2):
        boats_twice()
