"""Work packages as files: what a TOML file of skills and kinds, or of one package, may say.

Nothing here touches the database. Every fault names the file, where in it, and what to write instead.
"""

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import combinations
from pathlib import Path
from typing import Literal, TypeVar

import msgspec

KINDS_FILE = "kinds.toml"
MOST_OPTIONS = 10  # every choice of options is checked: 1,024 of them

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


File = TypeVar("File", bound=Strict)


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


@dataclass(frozen=True)
class Folder:
    """All files of a folder, read and checked together."""

    kinds: KindsFile
    packages: tuple[PackageFile, ...]


def read_folder(folder: Path, place_kinds: Sequence[str]) -> Folder:
    """Read kinds.toml and every other .toml file of the folder, in the order of their names.

    place_kinds: the kinds of place that a way or a stay may name.
    Raises PackageFileInvalid with every fault of every file.
    """
    if not (folder / KINDS_FILE).is_file():
        raise PackageFileInvalid([f"{folder}: there is no {KINDS_FILE}; it lists the skills and kinds of job."])
    kinds = _read(folder / KINDS_FILE, KindsFile)
    paths = sorted(path for path in folder.glob("*.toml") if path.name != KINDS_FILE)
    packages = tuple(_read(path, PackageFile) for path in paths)
    faults = [f"{KINDS_FILE}: {fault}" for fault in _kind_faults(kinds)]
    for path, package in zip(paths, packages, strict=True):
        faults += [f"{path.name}: {fault}" for fault in _package_faults(package, kinds, place_kinds)]
    faults += _twice("package", [package.package.key for package in packages])
    if faults:
        raise PackageFileInvalid(faults)
    return Folder(kinds, packages)


def _read(path: Path, form: type[File]) -> File:
    try:
        return msgspec.convert(tomllib.loads(path.read_text(encoding="utf-8")), form)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, msgspec.ValidationError) as error:
        raise PackageFileInvalid([f"{path.name}: {error}"]) from error


def _twice(what: str, keys: Sequence[str]) -> list[str]:
    return [
        f"{what} '{key}' stands twice: give each its own key." for key in sorted({k for k in keys if keys.count(k) > 1})
    ]


def _kind_faults(file: KindsFile) -> Iterator[str]:
    yield from _twice("skill", [skill.key for skill in file.skill])
    yield from _twice("kind", [kind.key for kind in file.kind])
    for kind in file.kind:
        if len(kind.short_name) > 8:
            yield f"kind '{kind.key}': the short name '{kind.short_name}' is longer than 8 characters."
        if kind.weather_class != "none" and not kind.outdoor:
            yield f"kind '{kind.key}' has weather limits but is not outdoors: set outdoor, or leave the class out."
        if kind.shares_boat and not kind.needs_boat:
            yield f"kind '{kind.key}' shares a boat it does not need: set needs_boat."


def _package_faults(file: PackageFile, kinds: KindsFile, place_kinds: Sequence[str]) -> Iterator[str]:
    yield from _twice("job", [job.key for job in file.job])
    yield from _twice("option", [option.key for option in file.option])
    yield from _twice("fact", [fact.key for fact in file.fact])
    pairs = [f"{link.before} before {link.after}" for link in file.links()]
    yield from _twice("link", pairs)
    for number, job in enumerate(file.job):
        if job.split_of in {later.key for later in file.job[number:]}:
            yield f"job '{job.key}' stands before '{job.split_of}', of which it is the later part: write it after."
    unknown = list(_unknown_names(file, kinds, place_kinds))
    yield from unknown
    for job in file.job:
        yield from _way_faults(job, kinds)
    yield from (
        f"link '{link.before}' before '{link.after}': the longest wait is shorter than the least."
        for link in file.link
        if link.max_wait_min is not None and link.max_wait_min < link.min_wait_min
    )
    if not unknown:
        yield from _order_faults(file)


def _unknown_names(file: PackageFile, kinds: KindsFile, place_kinds: Sequence[str]) -> Iterator[str]:
    jobs, options = {job.key for job in file.job}, {option.key for option in file.option}
    kind_keys, skills = {kind.key for kind in kinds.kind}, {skill.key for skill in kinds.skill}
    for where, what, name, known in _names(file):
        pool = {"job": jobs, "option": options, "kind": kind_keys, "skill": skills, "place": set(place_kinds)}[known]
        if name and name not in pool:
            yield f"{where} names the {what} '{name}', which is not there; known: {', '.join(sorted(pool)) or 'none'}."


def _names(file: PackageFile) -> Iterator[tuple[str, str, str, str]]:
    """(where, what it is called there, the name, which pool it must be in)."""
    for job in file.job:
        where = f"job '{job.key}'"
        yield where, "kind of job", job.kind, "kind"
        yield where, "option", job.option, "option"
        yield where, "earlier part", job.split_of, "job"
        for key in job.after:
            yield where, "job before it", key, "job"
        for key in job.waits_for_open:
            yield where, "kind of job to wait for", key, "kind"
        for way in job.ways:
            for line in way.crew:
                yield where, "skill", line.skill, "skill"
            for kind in way.places:
                yield where, "kind of place", kind, "place"
    for link in file.link:
        where = f"link '{link.before}' before '{link.after}'"
        yield from ((where, "job", key, "job") for key in (link.before, link.after))
        yield from ((where, "option", key, "option") for key in (link.option, link.unless_option))
    for fact in file.fact:
        yield from ((f"fact '{fact.key}'", "job", key, "job") for key in fact.jobs)
        yield f"fact '{fact.key}'", "option", fact.option, "option"
    for stay in file.stay:
        where = f"stay from '{stay.from_job}'"
        yield from ((where, "job", key, "job") for key in (stay.from_job, stay.until_job))
        yield where, "kind of place", stay.place_kind, "place"
        yield from ((where, "option", key, "option") for key in (stay.option, stay.unless_option))


def _way_faults(job: Job, kinds: KindsFile) -> Iterator[str]:
    kind = next((kind for kind in kinds.kind if kind.key == job.kind), None)
    if not job.ways:
        yield f"job '{job.key}' has no way of doing it: give minutes, crew and places."
    for way in job.ways:
        if way.minutes <= 0 or way.minutes % 15:
            yield f"job '{job.key}': {way.minutes} min is not a whole number of quarters of an hour."
        if any(line.count < 1 or not 1 <= line.level <= 3 for line in way.crew):
            yield f"job '{job.key}': a crew line counts at least one, at level 1 to 3."
        if kind is None:
            continue
        parts = way.parts or kind.parts
        if parts and sum(part.minutes for part in parts) != way.minutes:
            yield f"job '{job.key}': its parts do not add up to {way.minutes} min."
        if kind.not_alone and sum(line.count for line in way.crew) < 2:
            yield f"job '{job.key}': nobody does this alone, but a way names fewer than two."
        if kind.pausing == "elapsed" and way.crew:
            yield f"job '{job.key}' runs on the clock without hands: leave the crew out."


def _order_faults(file: PackageFile) -> Iterator[str]:
    """What is wrong with the order of jobs for some choice of options; the choice with fewest options is told."""
    if len(file.option) > MOST_OPTIONS:
        yield f"it has {len(file.option)} options, more than {MOST_OPTIONS}: make two packages of it."
        return
    told: set[object] = set()
    for count in range(len(file.option) + 1):
        for chosen in combinations([option.key for option in file.option], count):
            for about, fault in _choice_faults(file, frozenset(chosen)):
                if about not in told:
                    told.add(about)
                    yield fault


def _choice_faults(file: PackageFile, options: frozenset[str]) -> Iterator[tuple[object, str]]:
    """(what it is about, the sentence) for one choice of options."""
    quickest = {
        job.key: min((way.minutes for way in job.ways), default=0)
        for job in file.job
        if not job.option or job.option in options
    }
    links = [link for link in file.links() if link.holds(options) and {link.before, link.after} <= quickest.keys()]
    network = TopologicalSorter[str](dict.fromkeys(quickest, ()))
    for link in links:
        network.add(link.after, link.before)
    try:
        network.prepare()
    except CycleError as circle:
        yield "circle", f"jobs wait for each other in a circle: {' after '.join(reversed(circle.args[1]))}."
        return
    for link in links:
        if link.max_wait_min is None:
            continue
        between = _least_between(link.before, link.after, links, quickest)
        if between > link.max_wait_min:
            yield (
                (link.before, link.after),
                f"link '{link.before}' before '{link.after}': at most {link.max_wait_min} min may pass,"
                f" but what lies between takes {between}.",
            )


def _least_between(start: str, end: str, links: Sequence[Link], quickest: dict[str, int]) -> int:
    """Minutes that must pass from the end of one job to the start of another, by the longest way round."""
    if start == end:
        return 0
    found = 0
    for link in links:
        if link.after == end and (link.before == start or _follows(link.before, start, links)):
            inner = 0 if link.before == start else quickest[link.before]
            found = max(found, _least_between(start, link.before, links, quickest) + inner + link.min_wait_min)
    return found


def _follows(key: str, start: str, links: Sequence[Link]) -> bool:
    return any(link.after == key and (link.before == start or _follows(link.before, start, links)) for link in links)
