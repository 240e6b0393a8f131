"""Work packages from files into the yard's own rows."""

from dataclasses import dataclass
from pathlib import Path

import msgspec
from django.db import transaction

from yard.models import (
    JobKind,
    Package,
    PackageFact,
    PackageJob,
    PackageLink,
    PackageOption,
    PackageStay,
    PackageWay,
    PlaceKind,
    Skill,
)
from yard.services import package_files as files


@dataclass(frozen=True)
class Loaded:
    """What loading did: how many rows are new, and the keys that stood there already and were left alone."""

    skills: int
    kinds: int
    packages: int
    kept: tuple[str, ...]


def load_packages(folder: Path, *, overwrite: bool = False) -> Loaded:
    """Load every package of a folder, all or nothing; loading twice changes nothing.

    A skill, kind or package whose key is known keeps the yard's own figures, unless overwrite is set. Orders
    made from a package are never touched: they hold copies.
    Raises PackageFileInvalid with every fault of every file.
    """
    folder_read = files.read_folder(folder, PlaceKind.values)
    with transaction.atomic():
        kept: list[str] = []
        skills = sum(_load_skill(skill, kept, overwrite) for skill in folder_read.kinds.skill)
        kinds = sum(_load_kind(kind, kept, overwrite) for kind in folder_read.kinds.kind)
        packages = sum(_load_package(package, kept, overwrite) for package in folder_read.packages)
    return Loaded(skills, kinds, packages, tuple(kept))


def _load_skill(skill: files.Skill, kept: list[str], overwrite: bool) -> int:
    row, new = Skill.objects.get_or_create(key=skill.key, defaults={"name": skill.name})
    if new:
        return 1
    if overwrite and row.name != skill.name:
        row.name = skill.name
        row.save()
    kept.append(f"skill {skill.key}")
    return 0


def _load_kind(kind: files.Kind, kept: list[str], overwrite: bool) -> int:
    fields = msgspec.to_builtins(kind)
    row = JobKind.objects.filter(key=kind.key).first()
    if row is None:
        JobKind.objects.create(**fields)
        return 1
    if overwrite and any(getattr(row, name) != value for name, value in fields.items()):
        for name, value in fields.items():
            setattr(row, name, value)
        row.save()
    kept.append(f"kind {kind.key}")
    return 0


def _load_package(file: files.PackageFile, kept: list[str], overwrite: bool) -> int:
    head = msgspec.to_builtins(file.package)
    row = Package.objects.filter(key=file.package.key).first()
    if row is not None and not overwrite:
        kept.append(f"package {row.key}")
        return 0
    if row is None:
        _write_content(Package.objects.create(**head), file)
        return 1
    for name, value in head.items():
        setattr(row, name, value)
    row.save()
    for family in (row.stays, row.facts, row.links, row.jobs, row.options):
        family.all().delete()
    _write_content(row, file)
    kept.append(f"package {row.key}")
    return 0


def _write_content(package: Package, file: files.PackageFile) -> None:
    options = {
        option.key: PackageOption.objects.create(package=package, sequence=sequence, **msgspec.to_builtins(option))
        for sequence, option in enumerate(file.option)
    }
    jobs = _write_jobs(package, file, options)
    for link in file.links():
        fields = msgspec.to_builtins(link)
        _name_rows(fields, {"before": jobs, "after": jobs, "option": options, "unless_option": options})
        PackageLink.objects.create(package=package, **fields)
    for fact in file.fact:
        fields = msgspec.to_builtins(fact)
        waiting = [jobs[key] for key in fields.pop("jobs")]
        _name_rows(fields, {"option": options})
        PackageFact.objects.create(package=package, **fields).jobs.set(waiting)
    for stay in file.stay:
        fields = msgspec.to_builtins(stay)
        _name_rows(fields, {"from_job": jobs, "until_job": jobs, "option": options, "unless_option": options})
        PackageStay.objects.create(package=package, **fields)


def _write_jobs(package: Package, file: files.PackageFile, options: dict[str, PackageOption]) -> dict[str, PackageJob]:
    kinds = {kind.key: kind for kind in JobKind.objects.filter(key__in={job.kind for job in file.job})}
    jobs: dict[str, PackageJob] = {}
    for sequence, job in enumerate(file.job):
        fields = msgspec.to_builtins(job)
        ways = fields.pop("ways")
        del fields["after"]
        split_of = fields.pop("split_of")
        _name_rows(fields, {"kind": kinds, "option": options})
        jobs[job.key] = PackageJob.objects.create(
            package=package, sequence=sequence, split_of=jobs[split_of] if split_of else None, **fields
        )
        for number, way in enumerate(ways):
            PackageWay.objects.create(
                job=jobs[job.key],
                sequence=number,
                duration_min=way["minutes"],
                crew=way["crew"],
                place_kinds=way["places"],
                boat_at=way["boat_at"],
                parts=way["parts"],
            )
    return jobs


def _name_rows(fields: dict, families: dict[str, dict]) -> None:
    """Put the row in the place of each key; an empty key is no row."""
    for name, rows in families.items():
        fields[name] = rows[fields[name]] if fields[name] else None
