"""Work packages from files into the yard's own rows."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import msgspec
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import JobKind, Package, PackageEdition, PlaceKind, Skill
from yard.services import package_files as files
from yard.services.facts_revision import bump_facts
from yard.services.package_editions import add_edition, first_edition, is_the_yards_own
from yard.services.package_folder import read_folder
from yard.services.package_rows import content_of, write_content

LOADED = gettext_noop("as shipped")


@dataclass(frozen=True)
class Loaded:
    """What loading did: how many rows are new; by key, what stood there already (kept), what of it was written anew
    (overwritten), and which packages the yard had changed itself and keeps whatever was asked (own)."""

    skills: int
    kinds: int
    packages: int
    kept: tuple[str, ...]
    overwritten: tuple[str, ...]
    own: tuple[str, ...]


@dataclass(frozen=True)
class _Tally:
    kept: list[str]
    overwritten: list[str]
    own: list[str]


def load_packages(folder: Path, *, now: datetime, overwrite: bool = False) -> Loaded:
    """Load every package of a folder, all or nothing; loading twice changes nothing. now: aware.

    A skill, kind or package whose key is known keeps the yard's own figures, unless overwrite is set; a package that
    the yard changed on its page keeps them even then, and is named in `own`: its page brings back the shipped one.
    Orders made from a package are never touched: they hold copies.
    Raises PackageFileInvalid with every fault of every file.
    """
    folder_read = read_folder(folder, PlaceKind.values)
    tally = _Tally([], [], [])
    with transaction.atomic():
        bump_facts()
        skills = sum(_load_skill(skill, tally, overwrite) for skill in folder_read.kinds.skill)
        kinds = sum(_load_kind(kind, tally, overwrite) for kind in folder_read.kinds.kind)
        packages = sum(_load_package(package, tally, overwrite, now) for package in folder_read.packages)
    return Loaded(skills, kinds, packages, tuple(tally.kept), tuple(tally.overwritten), tuple(tally.own))


def _load_skill(skill: files.Skill, tally: _Tally, overwrite: bool) -> int:
    row, new = Skill.objects.get_or_create(key=skill.key, defaults={"name": skill.name})
    if new:
        return 1
    tally.kept.append(f"skill {skill.key}")
    if overwrite and row.name != skill.name:
        row.name = skill.name
        row.save()
        tally.overwritten.append(f"skill {skill.key}")
    return 0


def _load_kind(kind: files.Kind, tally: _Tally, overwrite: bool) -> int:
    fields = msgspec.to_builtins(kind) | {"parts": [msgspec.to_builtins(part) for part in kind.parts]}
    row = JobKind.objects.filter(key=kind.key).first()
    if row is None:
        JobKind.objects.create(**fields)
        return 1
    tally.kept.append(f"kind {kind.key}")
    if overwrite and any(getattr(row, name) != value for name, value in fields.items()):
        for name, value in fields.items():
            setattr(row, name, value)
        row.save()
        tally.overwritten.append(f"kind {kind.key}")
    return 0


def _load_package(file: files.PackageFile, tally: _Tally, overwrite: bool, now: datetime) -> int:
    row = Package.objects.filter(key=file.package.key).first()
    if row is None:
        row = Package.objects.create(**msgspec.to_builtins(file.package))
        write_content(row, file)
        add_edition(row, file, origin=PackageEdition.Origin.SHIPPED, reason=_(LOADED), by=None, now=now)
        return 1
    tally.kept.append(f"package {row.key}")
    if is_the_yards_own(row):
        tally.own.append(f"package {row.key}")
    elif overwrite and content_of(row) != file.plain():
        first_edition(row, now=now)
        write_package(row, file)
        add_edition(row, file, origin=PackageEdition.Origin.SHIPPED, reason=_(LOADED), by=None, now=now)
        tally.overwritten.append(f"package {row.key}")
    return 0


def write_package(row: Package, file: files.PackageFile) -> None:
    """The package's head and all that it says. Call it in a transaction; the edition is the caller's."""
    for name, value in msgspec.to_builtins(file.package).items():
        setattr(row, name, value)
    row.save()
    write_content(row, file)
