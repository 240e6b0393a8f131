"""Work packages as values: what a TOML file of skills and kinds, or of one package, may say.

Nothing here touches the database. The pages on which a package is changed work on the same values (package_edits),
so that a file and a page are held to the same rules (package_faults).
"""

from collections.abc import Sequence
from typing import Literal

import msgspec

Trade = Literal["yard", "rig", "loft", "launch", "mooring"]
Weather = Literal["none", "sails", "pattern", "mast", "afloat", "coating", "wash"]
Water = Literal["none", "ramp", "route", "mooring", "below_maximum"]
Product = Literal["paint", "sealant", "varnish"]
FactOf = Literal["approval", "deposit", "cloth", "permit", "data_sheet", "draft", "tackle_set", "other"]


class PackageFileInvalid(ValueError):
    """Files that cannot be loaded; faults are whole sentences, one for each. Nothing was saved."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


class Strict(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of a file: an unknown name in it is a fault."""


class Skill(Strict, frozen=True):
    key: str
    name: str


class Part(Strict, frozen=True):
    name: str
    minutes: int
    water: bool


class Kind(Strict, frozen=True):
    """Fields as yard.models.JobKind."""

    key: str
    name: str
    short_name: str
    letter: str
    trade: Trade
    cautions: str = ""
    outdoor: bool = False
    needs_light: bool = False
    weather_class: Weather = "none"
    water_need: Water = "none"
    not_alone: bool = False
    needs_boat: bool = False
    shares_boat: bool = False
    pausing: Literal["fitted", "paused", "elapsed"] = "fitted"
    parts: tuple[Part, ...] = ()


class KindsFile(Strict, frozen=True):
    skill: tuple[Skill, ...]
    kind: tuple[Kind, ...]


class Head(Strict, frozen=True):
    key: str
    name: str
    summary: str = ""
    when: Literal["spring", "autumn", "any"] = "any"
    needs_boat: bool = True


class Option(Strict, frozen=True):
    key: str
    name: str
    on_by_default: bool = False
    on_if_planked: bool = False


class CrewLine(Strict, frozen=True):
    skill: str
    count: int = 1
    level: int = 1


class Way(Strict, frozen=True):
    """minutes: the median. places: kinds of place, one unit of each. parts: where they differ from the kind's."""

    minutes: int
    crew: tuple[CrewLine, ...] = ()
    places: tuple[str, ...] = ()
    boat_at: Literal["", "ashore", "berth", "mooring"] = ""
    parts: tuple[Part, ...] = ()


class Job(Strict, frozen=True):
    """after: keys of jobs it follows without a wait. source: where its hours come from."""

    key: str
    kind: str
    name: str
    source: str
    ways: tuple[Way, ...]
    after: tuple[str, ...] = ()
    option: str = ""
    split_of: str = ""
    waits_for_open: tuple[str, ...] = ()
    water_need: Water | Literal[""] = ""
    weather_class: Weather | Literal[""] = ""
    light: Literal["", "needed", "not_needed"] = ""
    on_fixed_date: bool = False
    finish_by: str = ""
    cautions: str = ""


class Link(Strict, frozen=True):
    before: str
    after: str
    source: str
    reason: str
    min_wait_min: int = 0
    max_wait_min: int | None = None
    product_kind: Product | Literal[""] = ""
    option: str = ""
    unless_option: str = ""
    only_if_covers_gate: bool = False

    def holds(self, options: frozenset[str]) -> bool:
        """Whether a choice of options brings it; covers that gate are taken as a choice that somebody makes."""
        return (not self.option or self.option in options) and self.unless_option not in options


class Fact(Strict, frozen=True):
    key: str
    kind: FactOf
    name: str
    jobs: tuple[str, ...]
    source: str
    of_boat: bool = False
    default_days: int | None = None
    option: str = ""


class Stay(Strict, frozen=True):
    from_job: str
    until_job: str
    place_kind: str
    counted_by_night: bool = False
    option: str = ""
    unless_option: str = ""


class PackageFile(Strict, frozen=True):
    """One package; `[package]`, `[[option]]`, `[[job]]`, `[[link]]`, `[[fact]]`, `[[stay]]`."""

    package: Head
    job: tuple[Job, ...]
    option: tuple[Option, ...] = ()
    link: tuple[Link, ...] = ()
    fact: tuple[Fact, ...] = ()
    stay: tuple[Stay, ...] = ()

    def links(self) -> tuple[Link, ...]:
        """Every link: those of `after`, then the written ones."""
        plain = (Link(before=b, after=job.key, reason="", source="") for job in self.job for b in job.after)
        return (*plain, *self.link)

    def plain(self) -> "PackageFile":
        """The same with every link written out, in one order: two that say the same are then equal."""
        return msgspec.structs.replace(
            self,
            job=tuple(msgspec.structs.replace(job, after=()) for job in self.job),
            link=tuple(sorted(self.links(), key=lambda link: (link.before, link.after))),
            fact=tuple(
                msgspec.structs.replace(fact, jobs=tuple(sorted(fact.jobs)))
                for fact in sorted(self.fact, key=lambda fact: fact.key)
            ),
            stay=tuple(sorted(self.stay, key=lambda stay: (stay.from_job, stay.until_job, stay.place_kind))),
        )
