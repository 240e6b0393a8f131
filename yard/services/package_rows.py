"""A package's rows as one value and back: what stands is changed in place, by its key, so that rows keep their ids."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import msgspec

from yard.models import JobKind, Package, PackageFact, PackageJob, PackageOption, PackageWay
from yard.models import Skill as SkillRow
from yard.queries.packages import package_content
from yard.services import package_files as files

Value = TypeVar("Value", bound=files.Strict)


def content_of(package: Package) -> files.PackageFile:
    """The package as its rows say, with every link written out. Nine queries, however many jobs."""
    rows = package_content(package)
    keys = {job.pk: job.key for job in rows.jobs}
    return files.PackageFile(
        package=_value(package, files.Head),
        option=tuple(_value(option, files.Option) for option in rows.options),
        job=tuple(_job(job) for job in rows.jobs),
        link=tuple(
            _value(link, files.Link, before=keys[link.before_id], after=keys[link.after_id]) for link in rows.links
        ),
        fact=tuple(
            _value(fact, files.Fact, jobs=tuple(keys[job.pk] for job in fact.jobs.all())) for fact in rows.facts
        ),
        stay=tuple(
            _value(stay, files.Stay, from_job=keys[stay.from_job_id], until_job=keys[stay.until_job_id])
            for stay in rows.stays
        ),
    ).plain()


def _job(row: PackageJob) -> files.Job:
    ways = tuple(
        msgspec.convert(
            {
                "minutes": way.duration_min,
                "crew": way.crew,
                "places": way.place_kinds,
                "boat_at": way.boat_at,
                "parts": way.parts,
            },
            files.Way,
        )
        for way in row.ways.all()
    )
    return _value(row, files.Job, ways=ways, after=())


ROWS = {"option", "unless_option", "split_of", "kind"}
"""Fields of a row that are rows themselves: the value has their key, or an empty word."""


def _value(row: Any, form: type[Value], **given: Any) -> Value:
    """The fields of a row that the value has; given: those that are said otherwise."""
    fields = {name: _plain(name, getattr(row, name)) for name in form.__struct_fields__ if name not in given}
    return msgspec.convert(fields | msgspec.to_builtins(given), form)


def _plain(name: str, value: Any) -> Any:
    if name not in ROWS:
        return value
    return "" if value is None else getattr(value, "key", value)


def kinds_of_yard() -> files.KindsFile:
    """The yard's own skills and kinds of job, archived ones too: a package may still name them. Two queries."""
    return files.KindsFile(
        skill=tuple(files.Skill(key=key, name=name) for key, name in SkillRow.objects.values_list("key", "name")),
        kind=tuple(_value(kind, files.Kind, parts=_parts(kind)) for kind in JobKind.objects.all()),
    )


def _parts(kind: JobKind) -> tuple[files.Part, ...]:
    return msgspec.convert(kind.parts, tuple[files.Part, ...])


def write_content(package: Package, file: files.PackageFile) -> None:
    """Make the rows say what the file says; the head is the caller's. Call it in a transaction."""
    options = _settle(
        package.options, {option.key: _fields(option, sequence=n) for n, option in enumerate(file.option)}, _key
    )
    jobs = _write_jobs(package, file, options.rows)
    names: dict[str, Mapping[str, Any]] = {"option": options.rows, "unless_option": options.rows}
    links = _settle(
        package.links,
        {
            (link.before, link.after): _fields(link, **_named(link, names | {"before": jobs.rows, "after": jobs.rows}))
            for link in file.links()
        },
        lambda row: (row.before.key, row.after.key),
    )
    facts = _settle(
        package.facts,
        {fact.key: _fields(fact, **_named(fact, {"option": options.rows}), jobs=LEAVE) for fact in file.fact},
        _key,
    )
    for fact in file.fact:
        facts.rows[fact.key].jobs.set([jobs.rows[key] for key in fact.jobs])
    stays = _settle(
        package.stays,
        {
            (stay.from_job, stay.until_job, stay.place_kind): _fields(
                stay, **_named(stay, names | {"from_job": jobs.rows, "until_job": jobs.rows})
            )
            for stay in file.stay
        },
        lambda row: (row.from_job.key, row.until_job.key, row.place_kind),
    )
    for gone in (*links.gone, *facts.gone, *stays.gone, *jobs.gone, *options.gone):  # jobs after what names them
        gone.delete()


LEAVE = object()
"""A field that the row does not take from here."""


@dataclass(frozen=True)
class _Settled:
    """rows: those that stand, by key. gone: those that nothing names any more, not yet deleted."""

    rows: dict[Any, Any]
    gone: list[Any]


def _settle(manager: Any, wanted: Mapping[Any, dict[str, Any]], name_of: Callable[[Any], Hashable]) -> _Settled:
    there = {name_of(row): row for row in manager.all()}
    gone = [row for name, row in there.items() if name not in wanted]
    rows = {}
    for name, fields in wanted.items():
        row = there.get(name)
        if row is None:
            row = manager.create(**fields)
        elif any(getattr(row, field) != value for field, value in fields.items()):
            for field, value in fields.items():
                setattr(row, field, value)
            row.save()
        rows[name] = row
    return _Settled(rows, gone)


def _write_jobs(package: Package, file: files.PackageFile, options: Mapping[str, PackageOption]) -> _Settled:
    kinds = {kind.key: kind for kind in JobKind.objects.filter(key__in={job.kind for job in file.job})}
    wanted = {
        job.key: _fields(
            job,
            sequence=sequence,
            waits_for_open=list(job.waits_for_open),
            **_named(job, {"kind": kinds, "option": options}),
            split_of=LEAVE,
            ways=LEAVE,
            after=LEAVE,
        )
        for sequence, job in enumerate(file.job)
    }
    settled = _settle(package.jobs, wanted, _key)
    for job in file.job:
        row, whole = settled.rows[job.key], settled.rows[job.split_of] if job.split_of else None
        if row.split_of_id != (whole.pk if whole else None):
            row.split_of = whole
            row.save()
        ways = _settle(row.ways, {number: _way(way, number) for number, way in enumerate(job.ways)}, _sequence)
        for gone in ways.gone:
            gone.delete()
    return settled


def _way(way: files.Way, number: int) -> dict[str, Any]:
    fields = msgspec.to_builtins(way)
    return {
        "sequence": number,
        "duration_min": fields["minutes"],
        "crew": list(fields["crew"]),
        "place_kinds": list(fields["places"]),
        "boat_at": fields["boat_at"],
        "parts": list(fields["parts"]),
    }


def _key(row: PackageOption | PackageJob | PackageFact) -> str:
    return row.key


def _sequence(row: PackageWay) -> int:
    return row.sequence


def _named(value: Any, families: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """The row in the place of each key that the value has; an empty key is no row."""
    return {
        name: rows[getattr(value, name)] if getattr(value, name) else None
        for name, rows in families.items()
        if hasattr(value, name)
    }


def _fields(value: Any, **given: Any) -> dict[str, Any]:
    fields = msgspec.to_builtins(value) | given
    return {name: each for name, each in fields.items() if each is not LEAVE}
