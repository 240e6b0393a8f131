"""What the example yard is made of, read from fixtures/example: plain values, nothing of the database."""

from __future__ import annotations

import tomllib
from datetime import date, time
from pathlib import Path
from typing import Literal, TypeVar

import msgspec
from django.conf import settings

Size = Literal["S", "M", "L"]
SIZES: tuple[Size, ...] = ("S", "M", "L")
FOLDER = settings.BASE_DIR / "fixtures" / "example"
PACKAGES = settings.BASE_DIR / "fixtures" / "packages"

BySize = tuple[int, int, int]
Span = tuple[date, date]


class Strict(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of a file: an unknown name in it is a fault."""


class Yard(Strict, frozen=True):
    """Fields as yard.models.YardSettings."""

    name: str
    phone: str
    email: str
    address: str
    time_zone: str
    latitude: float
    longitude: float
    units: str
    tide_station: str
    datum: str
    ramp_time_min: int
    mooring_field_time_min: int
    ramp_toe_m_above_datum: float
    trailer_height_m: float
    light_rule: str


class Shop(Strict, frozen=True):
    weekdays: tuple[int, ...]
    starts: time
    ends: time


class Holiday(Strict, frozen=True):
    day: date
    name: str


class SeasonLabel(Strict, frozen=True):
    name: str
    starts_on: date
    ends_on: date


class Place(Strict, frozen=True):
    """Fields as yard.models.Place; capacity and length of line by size of yard."""

    ref: str
    name: str
    kind: str
    capacity: BySize
    line_m: BySize | None = None
    seats: int | None = None
    short_name: str = ""
    max_length_m: float | None = None
    max_beam_m: float | None = None
    max_displacement_kg: float | None = None
    max_draft_m: float | None = None
    level_m_above_datum: float | None = None
    counted_by_night: bool = False
    outdoor: bool = False
    wind_factor: float = 1.0
    wind_limits: tuple[dict[str, int], ...] = ()
    operators: tuple[str, ...] = ()
    notes: str = ""


class Store(Strict, frozen=True):
    row_capacity: BySize
    max_length_m: float


class YardFile(Strict, frozen=True):
    yard: Yard
    shop: tuple[Shop, ...]
    holiday: tuple[Holiday, ...]
    season: tuple[SeasonLabel, ...]
    place: tuple[Place, ...]
    store: Store


class Away(Strict, frozen=True):
    """Days away, both ends included."""

    first: date
    last: date
    reason: str


class Person(Strict, frozen=True):
    """meal: [starts, ends) without pay and work; absent for a half day."""

    name: str
    short_name: str
    sizes: str
    skills: dict[str, int]
    starts: time
    ends: time
    account: str = ""
    meal: tuple[time, time] | None = None
    saturday: tuple[time, time] | None = None
    early_slide_min: int = 0
    late_slide_min: int = 0
    slides_per_week: int = 0
    away: tuple[Away, ...] = ()
    notes: str = ""

    def stretches(self, weekday: int) -> tuple[tuple[time, time], ...]:
        """The working stretches of a day; Monday is 0."""
        if weekday > 4:
            return (self.saturday,) if weekday == 5 and self.saturday is not None else ()
        if self.meal is None:
            return ((self.starts, self.ends),)
        return ((self.starts, self.meal[0]), (self.meal[1], self.ends))

    def is_away(self, day: date) -> bool:
        return any(away.first <= day <= away.last for away in self.away)


class Contractor(Strict, frozen=True):
    name: str
    short_name: str
    sizes: str
    skills: dict[str, int]
    usual_slip_days: int


class ContractorDates(Strict, frozen=True):
    starts: time
    ends: time
    days: tuple[date, ...]


class PeopleFile(Strict, frozen=True):
    person: tuple[Person, ...]
    contractor: tuple[Contractor, ...]
    contractor_dates: ContractorDates


class Design(Strict, frozen=True):
    """A shape of boat. share: how often she comes, by comparison."""

    design: str
    kind: Literal["sail", "motor", "open", "multihull"]
    length_m: float
    beam_m: float
    draft_m: float
    displacement_kg: float
    share: int
    mast_height_m: float | None = None
    planked: bool = False


class DesignsFile(Strict, frozen=True):
    design: tuple[Design, ...]


class Names(Strict, frozen=True):
    boats: tuple[str, ...]
    boat_adjectives: tuple[str, ...]
    boat_nouns: tuple[str, ...]
    first_names: tuple[str, ...]
    last_names: tuple[str, ...]
    walk_ins: tuple[str, ...]


class SizeOfYard(Strict, frozen=True):
    """How many of what; window: the days over which the load is counted, both ends included."""

    boats: int
    window: Span
    commissioned: float
    owner_prepares: float
    loft_only: float
    temporary_moorings: int
    new_boats: int
    autumn: int
    walk_ins: int
    unknown_drafts: int
    extra: dict[str, float]
    loft: dict[str, float]


class Load(Strict, frozen=True):
    """gangs: how much of their hours people who work in gangs out of doors can fill."""

    most: float
    least: float
    gangs: float


class Dates(Strict, frozen=True):
    before_memorial_day: Span
    before_independence_day: Span
    memorial_share: float
    independence_share: float
    first_finish_share: float
    earliest_share: tuple[float, float]
    latest_weeks: tuple[int, int]
    promised: float
    earlier_promise: float


class SeasonFile(Strict, frozen=True):
    size: dict[Size, SizeOfYard]
    load: Load
    dates: Dates


class Supplier(Strict, frozen=True):
    """Fields as yard.models.Supplier."""

    name: str
    reached_by: str
    lead_days_least: int
    lead_days_usual: int
    lead_days_most: int
    source: str


class Material(Strict, frozen=True):
    """Fields as yard.models.Material; supplier: by name."""

    name: str
    supplier: str
    width_mm: int
    price: str
    kind: Literal["cloth", "foam"] = "cloth"
    length_mm: int | None = None
    thickness_mm: int | None = None
    selvage_mm: int = 0
    repeat_mm: int = 0
    gap_mm: int = 0
    sold_by_mm: int = 100
    spare_pct: int = 0


class Shelf(Strict, frozen=True):
    """What lies in the yard for nobody yet: left in millimetres of the roll, or sheets."""

    material: str
    label: str
    left: int


class Panel(Strict, frozen=True):
    """Fields as yard.models.CanvasPanel, for a beam of 2.5 m; material: by name."""

    name: str
    material: str
    length_mm: int
    width_mm: int
    count: int = 1
    ends_mm: int = 0
    sides_mm: int = 0
    grain: Literal["along", "across", "any"] = "along"
    matched: bool = False


class MadePiece(Strict, frozen=True):
    """What an order of this package makes for boats of these kinds. sent_to: who sews it elsewhere."""

    package: str
    boats: tuple[str, ...]
    kind: str
    name: str
    panels: tuple[Panel, ...] = ()
    sent_to: str = ""


class CanvasFile(Strict, frozen=True):
    supplier: tuple[Supplier, ...]
    material: tuple[Material, ...]
    stock: tuple[Shelf, ...]
    piece: tuple[MadePiece, ...]


class PastJob(Strict, frozen=True):
    kind: str
    name: str
    minutes: int
    people: int
    skill: str


class PastMaterial(Strict, frozen=True):
    name: str
    quantity: float
    unit: str


class PastExtra(Strict, frozen=True):
    what: str
    minutes: int


class PastWork(Strict, frozen=True):
    """An order of a season that is over, with its jobs in turn."""

    key: str
    name: str
    package: str
    jobs: tuple[PastJob, ...]
    used: PastMaterial | None = None
    extra: PastExtra | None = None


class PastSeason(Strict, frozen=True):
    """works: keys. window: its first and last day of work. share, late: 0 to 1. hours: factor on what works say."""

    name: str
    starts_on: date
    ends_on: date
    closed_on: date
    works: tuple[str, ...]
    window: tuple[date, date]
    share: float
    late: float
    hours: float
    lost: int
    moves: int


class PastFile(Strict, frozen=True):
    season: tuple[PastSeason, ...]
    work: tuple[PastWork, ...]


class Description(Strict, frozen=True):
    yard: YardFile
    people: PeopleFile
    designs: tuple[Design, ...]
    names: Names
    season: SeasonFile
    canvas: CanvasFile
    past: PastFile

    def people_of(self, size: Size) -> tuple[Person, ...]:
        return tuple(person for person in self.people.person if size in person.sizes)


Read = TypeVar("Read")


def read_description(folder: Path = FOLDER) -> Description:
    """Raises msgspec.ValidationError, or tomllib.TOMLDecodeError, where a file does not say what it should."""
    return Description(
        yard=_read(folder / "yard.toml", YardFile),
        people=_read(folder / "people.toml", PeopleFile),
        designs=_read(folder / "designs.toml", DesignsFile).design,
        names=_read(folder / "names.toml", Names),
        season=_read(folder / "season.toml", SeasonFile),
        canvas=_read(folder / "canvas.toml", CanvasFile),
        past=_read(folder / "past.toml", PastFile),
    )


def _read(path: Path, kind: type[Read]) -> Read:
    return msgspec.convert(tomllib.loads(path.read_text(encoding="utf-8")), kind)
