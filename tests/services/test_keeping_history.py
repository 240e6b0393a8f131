"""Any sequence of adding, changing, archiving, bringing back and going back keeps every state of every kind of row."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from yard.models import Boat, CanvasPiece, FactsRevision, Material, Mooring, Order, Owner, Person, Skill
from yard.services import keeping
from yard.services.keep_boat import BOAT
from yard.services.keep_cloth import MATERIAL, OPTION, PANEL, PIECE, STOCK, SUPPLIER
from yard.services.keep_mooring import MOORING, TACKLE
from yard.services.keep_order import ORDER
from yard.services.keep_owner import OWNER, OWNERSHIP
from yard.services.keep_person import PERSON, SKILL, Held
from yard.services.keep_place import PLACE
from yard.services.keep_thing import THING
from yard.services.keeping import Keeper, Kept, Refused, SomebodyWasQuicker, Writer
from yard.services.product_sheets import PRODUCT, Wait

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)  # the clock stands still: what was, is told by order alone
WEEK = ((0, time(7), time(12)), (0, time(12, 30), time(15, 30)), (4, time(8), time(12)))
EASTERLY = {"from_deg": 45, "to_deg": 135, "gust_kn": 18}


@dataclass(frozen=True)
class Ground:
    """What rows name."""

    boats: tuple[Boat, Boat]
    owner: Owner
    mooring: Mooring
    people: tuple[Person, Person]
    skills: tuple[Skill, Skill]
    cloth: Material
    piece: CanvasPiece


@dataclass(frozen=True)
class Tried:
    """A kind of row: what the n-th new one says and stands on, and what is changed, some of it refused."""

    keeper: Keeper[Any]
    new: Callable[[Ground, int], Mapping[str, Any]]
    changes: Callable[[Ground], tuple[Mapping[str, Any], ...]]
    on: Callable[[Ground, int], Mapping[str, Any]] = lambda ground, number: {}
    archives: bool = True


KINDS = {
    "boat": Tried(
        BOAT,
        lambda ground, number: {"name": f"Teal {number}", "length_m": 8.0, "beam_m": 2.5},
        lambda ground: ({"draft_m": 1.2, "notes": "deep"}, {"draft_m": None}, {"beam_m": 9.0}, {"name": ""}),
    ),
    "order": Tried(
        ORDER,
        lambda ground, number: {"wanted_date": date(2027, 5, 1), "notes": f"{number} cushions"},
        lambda ground: (
            {"promised_date": date(2027, 5, 14), "goes_first": 3},
            {"earliest_date": date(2027, 6, 1), "latest_date": date(2027, 5, 1)},
            {"notes": "", "wanted_date": None},
        ),
        on=lambda ground, number: {
            "ref": f"27-1{number:03}",
            "boat": ground.boats[0],
            "name": "Spring",
            "made_at": NOW,
        },
        archives=False,
    ),
    "product": Tried(
        PRODUCT,
        lambda ground, number: {
            "kind": "paint",
            "name": f"Red {number}",
            "source": "made for tests",
            "waits": (Wait("dry", 10.0, 960),),
        },
        lambda ground: (
            {"max_wait_min": 4320, "waits": (Wait("dry", 10.0, 960), Wait("overcoat", 10.0, 480))},
            {"max_wait_min": 60, "waits": (Wait("dry", 10.0, 720),)},
            {"waits": (), "min_temp_c": 8.0},
        ),
        archives=False,
    ),
    "owner": Tried(
        OWNER,
        lambda ground, number: {"name": f"Ann {number}"},
        lambda ground: ({"phone": "401 555 0142"}, {"phone": "12"}, {"notes": "asks in writing", "phone": ""}),
    ),
    "share": Tried(
        OWNERSHIP,
        lambda ground, number: {"starts_on": date(2027, 1, 1 + number)},
        lambda ground: ({"insurance_expires_on": date(2028, 1, 1)}, {"ends_on": date(2020, 1, 1)}),
        on=lambda ground, number: {"owner": ground.owner, "boat": ground.boats[number % 2]},
        archives=False,
    ),
    "mooring": Tried(
        MOORING,
        lambda ground, number: {"ref": f"M-{number}"},
        lambda ground: (
            {"permit_boat": ground.boats[0], "depth_m_at_datum": 2.0},
            {"permit_boat": ground.boats[1]},
            {"depth_m_at_datum": 500.0},
        ),
    ),
    "tackle": Tried(
        TACKLE,
        lambda ground, number: {"kind": "anchor", "size": f"{number}00 lb"},
        lambda ground: ({"condition": "worn"}, {"laid_on": date(2027, 1, 2), "inspected_on": date(2027, 1, 1)}),
        on=lambda ground, number: {"mooring": ground.mooring},
        archives=False,
    ),
    "person": Tried(
        PERSON,
        lambda ground, number: {"name": f"Nell {number}", "short_name": f"Nell {number}", "hours": WEEK[:1]},
        lambda ground: (
            {"hours": WEEK, "skills": {ground.skills[0].pk: Held(3, "card 17", date(2028, 1, 31))}},
            {"skills": {ground.skills[0].pk: Held(2), ground.skills[1].pk: Held(1)}},
            {"hours": (), "contractor": True, "skills": {}},
            {"contractor": True, "hours": WEEK},
            {"hours": WEEK, "contractor": False, "notes": "left-handed"},
        ),
    ),
    "place": Tried(
        PLACE,
        lambda ground, number: {"name": "Ramp", "kind": "ramp", "outdoor": True, "hours": WEEK},
        lambda ground: (
            {"operators": frozenset(person.pk for person in ground.people), "hours": ()},
            {"operators": frozenset({ground.people[0].pk}), "wind_limits": [EASTERLY], "outdoor": True},
            {"operators": frozenset(), "max_length_m": 9.0},
            {"outdoor": False, "wind_limits": [EASTERLY]},
        ),
    ),
    "thing": Tried(
        THING,
        lambda ground, number: {"boat": ground.boats[0], "kind": "sail", "name": f"jib {number}"},
        lambda ground: ({"boat": ground.boats[1]}, {"bag_tag": "S-1", "area_m2": 12.5}, {"boat": None}),
    ),
    "skill": Tried(
        SKILL,
        lambda ground, number: {"name": f"Rope work {number}"},
        lambda ground: ({"name": "Splicing"}, {"name": "Varnish"}, {"name": ""}),
    ),
    "supplier": Tried(
        SUPPLIER,
        lambda ground, number: {"name": f"Cloth {number}", "source": "they said so"},
        lambda ground: ({"lead_days_usual": 8}, {"lead_days_usual": 0}, {"lead_days_most": 366}),
    ),
    "material": Tried(
        MATERIAL,
        lambda ground, number: {"name": f"navy {number}", "width_mm": 1500, "source": "the maker's card"},
        lambda ground: ({"width_mm": 1370, "price": Decimal("28.50")}, {"selvage_mm": 900}, {"kind": "foam"}),
    ),
    "stock": Tried(
        STOCK,
        lambda ground, number: {"length_mm": 3000 + number},
        lambda ground: ({"label": "roll 3"}, {"sheets": 4}, {"length_mm": 0}),
        on=lambda ground, number: {"material": ground.cloth},
    ),
    "canvas_option": Tried(
        OPTION,
        lambda ground, number: {"name": "Zips", "source": "our own hours", "extra_min": 90},
        lambda ground: ({"cloth_pct": 5}, {"cloth_pct": 101}, {"extra_min": 50}),
    ),
    "canvas_piece": Tried(
        PIECE,
        lambda ground, number: {"name": f"cover {number}"},
        lambda ground: ({"kind": "dodger"}, {"back_on": date(2027, 3, 1)}, {"notes": "as last year"}),
        on=lambda ground, number: {"order": ground.piece.order},
    ),
    "canvas_panel": Tried(
        PANEL,
        lambda ground, number: {
            "name": f"top {number}",
            "material": ground.cloth,
            "length_mm": 2000,
            "width_mm": 1400,
        },
        lambda ground: ({"ends_mm": 40, "grain": "across"}, {"count": 201}, {"width_mm": 900_000}),
        on=lambda ground, number: {"piece": ground.piece},
        archives=False,
    ),
}
"""Each with one change at least that is refused."""

STEPS = st.lists(
    st.tuples(st.sampled_from(["add", "again", "change", "stale", "archive", "back", "was"]), st.integers(0, 60)),
    min_size=1,
    max_size=10,
)


@dataclass
class Walk:
    """Rows of one kind as they are written, and what their history must tell: every state of each, in order."""

    tried: Tried
    ground: Ground
    writer: Writer
    rows: list[int] = field(default_factory=list)
    states: dict[int, list[tuple[dict[str, Any], bool]]] = field(default_factory=dict)
    made: int = 0

    def step(self, what: str, number: int) -> None:
        keeper = self.tried.keeper
        if what in ("add", "again") or not self.rows:
            self.add(twice=what == "again")
            return
        pk = self.rows[number % len(self.rows)]
        row = keeper.model._default_manager.get(pk=pk)
        count = FactsRevision.objects.get().count
        seen = {"seen_version": row.version, "writer": self.writer}
        offered = self.tried.changes(self.ground)
        match what:
            case "change":
                told = keeping.change(keeper, pk, offered[number % len(offered)], **seen)
            case "stale":
                told = keeping.change(keeper, pk, offered[0], seen_version=row.version - 1, writer=self.writer)
                assert isinstance(told, SomebodyWasQuicker)
            case "archive" | "back" if self.tried.archives:
                told = keeping.archive(keeper, pk, what == "archive", **seen)
            case _:
                past = list(row.history.order_by("history_date", "history_id"))[number % len(self.states[pk])]
                told = keeping.put_back(keeper, pk, past.history_id, **seen)
                if isinstance(told, Kept):
                    assert keeper.read(keeper.model._default_manager.get(pk=pk)) == keeper.was([past])[0]
        if isinstance(told, Kept) and told.changed:
            self.note(pk)
        else:
            assert FactsRevision.objects.get().count == count  # no plan is old for what was not saved

    def add(self, *, twice: bool) -> None:
        self.made += 1
        said, on = self.tried.new(self.ground, self.made), self.tried.on(self.ground, self.made)
        key = UUID(int=self.made)
        told = keeping.add(self.tried.keeper, said, writer=self.writer, form_key=key, **on)
        if isinstance(told, Refused):
            return
        self.rows.append(told.row.pk)
        self.note(told.row.pk)
        if twice:
            again = keeping.add(self.tried.keeper, said, writer=self.writer, form_key=key, **on)
            assert again == Kept(told.row, ())

    def note(self, pk: int) -> None:
        row = self.tried.keeper.model._default_manager.get(pk=pk)
        self.states.setdefault(pk, []).append((self.tried.keeper.read(row), getattr(row, "archived", False)))

    def check(self) -> None:
        """Nothing that was ever on file is lost, and each change says who, when and why."""
        keeper = self.tried.keeper
        assert keeper.model._default_manager.filter(pk__in=self.rows).count() == len(self.rows)
        for pk, states in self.states.items():
            row = keeper.model._default_manager.get(pk=pk)
            pasts = list(row.history.order_by("history_id"))
            told = [
                (kept, getattr(past, "archived", False)) for kept, past in zip(keeper.was(pasts), pasts, strict=True)
            ]
            assert told == states
            assert row.version == len(states)
            assert all(past.history_user == self.writer.by and past.history_change_reason for past in pasts)
            moments = [past.history_date for past in pasts]
            assert moments == sorted(set(moments))


class TestHistory(TestCase):
    @settings(max_examples=40, deadline=None)
    @given(kind=st.sampled_from(sorted(KINDS)), steps=STEPS)
    def test_every_state_is_kept(self, kind: str, steps: list[tuple[str, int]]) -> None:
        by = User.objects.create(username="cy")
        walk = Walk(KINDS[kind], _ground(), Writer(by, NOW, NOW.date()))
        for what, number in steps:
            walk.step(what, number)
        walk.check()

    def test_each_kind_refuses_something_and_saves_something(self) -> None:
        """The walk above could not pass by refusing all, or by refusing nothing."""
        ground, writer = _ground(), Writer(None, NOW, NOW.date())
        for name, tried in KINDS.items():
            told = keeping.add(tried.keeper, tried.new(ground, 1), writer=writer, **tried.on(ground, 1))
            assert isinstance(told, Kept), name
            seen, kinds = told.row.version, set()
            for values in tried.changes(ground):
                outcome = keeping.change(tried.keeper, told.row.pk, values, seen_version=seen, writer=writer)
                kinds.add(type(outcome))
                seen = tried.keeper.model._default_manager.get(pk=told.row.pk).version
            assert kinds == {Kept, Refused}, name


def _ground() -> Ground:
    teal, wren = (Boat.objects.create(ref=name, name=name, length_m=9, beam_m=3) for name in ("teal", "wren"))
    bo, kit = (Person.objects.create(name=name, short_name=name) for name in ("Bo", "Kit"))
    rig, sails = (Skill.objects.create(key=key, name=key.title()) for key in ("rig", "sails"))
    mooring = Mooring.objects.create(ref="M-100")
    FactsRevision.objects.get_or_create(pk=1)
    cloth = Material.objects.create(name="sand", width_mm=1500, source="made for tests")
    order = Order.objects.create(ref="27-0001", boat=wren, name="Canvas order", made_at=NOW)
    piece = CanvasPiece.objects.create(order=order, name="winter cover")
    owner = Owner.objects.create(ref="hale", name="Ann Hale")
    return Ground((teal, wren), owner, mooring, (bo, kit), (rig, sails), cloth, piece)
