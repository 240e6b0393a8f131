"""A package changed by the yard: all or nothing, checked as a file is, with its history and a way back.

Orders that are taken keep their copies; offer_package says what the change would do to them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import msgspec
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from yard.models import Package, PackageEdition, PlaceKind
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Writer, nothing_saved
from yard.services.package_editions import add_edition, file_of, first_edition, shipped
from yard.services.package_edits import free_key
from yard.services.package_faults import package_faults
from yard.services.package_files import Head, PackageFile
from yard.services.package_rows import content_of, kinds_of_yard
from yard.services.packages import write_package


@dataclass(frozen=True, slots=True)
class Changed:
    """Written, as this edition of the package."""

    package: Package
    edition: PackageEdition


@dataclass(frozen=True, slots=True)
class NothingChanged:
    """It stood so already; nothing was written."""

    package: Package


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was saved. faults: whole sentences, each with its remedy."""

    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SomebodyWasQuicker:
    """Nothing was saved: the package was changed since the page was read."""

    stored: Package


Outcome = Changed | NothingChanged | Refused | SomebodyWasQuicker
Edit = Callable[[PackageFile], PackageFile]


def change_package(pk: int, edit: Edit, *, seen_version: int, reason: str, writer: Writer) -> Outcome:
    """Put the edited content in the place of what stands. edit may raise ValueError with the reason why it cannot be.

    Raises Package.DoesNotExist.
    """
    with transaction.atomic():
        bump_facts()  # one writer at a time from here
        package = Package.objects.get(pk=pk)
        if package.version != seen_version:
            return nothing_saved(SomebodyWasQuicker(package))
        before = content_of(package)
        try:
            after = edit(before).plain()
        except ValueError as refused:
            return nothing_saved(Refused((str(refused),)))
        if after == before:
            return nothing_saved(NothingChanged(package))
        if faults := faults_of(after):
            return nothing_saved(Refused(faults))
        first_edition(package, now=writer.now)
        try:
            write_package(package, after)
            for row in (*package.jobs.all(), *package.facts.all(), package):
                row.full_clean()
        except ValidationError as wrong:
            return nothing_saved(Refused(tuple(wrong.messages)))
        origin = PackageEdition.Origin.SHIPPED if after == shipped().get(package.key) else PackageEdition.Origin.YARD
        edition = add_edition(package, after, origin=origin, reason=reason, by=writer.by, now=writer.now)
    return Changed(package, edition)


def add_package(name: str, summary: str, *, writer: Writer) -> Changed | Refused:
    """A package of the yard's own, without a job yet."""
    with transaction.atomic():
        bump_facts()
        taken = Package.objects.values_list("key", flat=True)
        key = free_key(taken, slugify(name).replace("-", "_") or "package")
        package = Package(key=key, name=name.strip(), summary=summary.strip())
        try:
            package.full_clean()
        except ValidationError as wrong:
            return nothing_saved(Refused(tuple(wrong.messages)))
        package.save()
        file = PackageFile(package=Head(key=key, name=package.name, summary=package.summary), job=())
        edition = add_edition(
            package, file, origin=PackageEdition.Origin.YARD, reason=_("added"), by=writer.by, now=writer.now
        )
    return Changed(package, edition)


def put_back(pk: int, number: int, *, seen_version: int, writer: Writer) -> Outcome:
    """Make the package what it was in an edition. Raises PackageEdition.DoesNotExist."""
    edition = PackageEdition.objects.get(package=pk, number=number)
    reason = _("as it was on {day} (edition {number})").format(day=f"{edition.made_at:%Y-%m-%d}", number=number)
    return change_package(pk, lambda _now: file_of(edition), seen_version=seen_version, reason=reason, writer=writer)


def as_shipped(pk: int, *, seen_version: int, writer: Writer) -> Outcome:
    """Make the package what it is shipped as; Refused for one of the yard's own. Raises Package.DoesNotExist."""
    package = Package.objects.get(pk=pk)
    file = shipped().get(package.key)
    if file is None:
        return Refused(
            (_("{package} is the yard's own: there is no shipped one to bring back.").format(package=package.name),)
        )
    return change_package(pk, lambda _now: file, seen_version=seen_version, reason=_("as shipped again"), writer=writer)


def archive_package(pk: int, archived: bool, *, seen_version: int, writer: Writer) -> Outcome:
    """Take it off what can be ordered, or put it back; orders that are taken are not touched."""
    with transaction.atomic():
        bump_facts()
        package = Package.objects.get(pk=pk)
        if package.version != seen_version:
            return nothing_saved(SomebodyWasQuicker(package))
        if package.archived == archived:
            return nothing_saved(NothingChanged(package))
        stood = first_edition(package, now=writer.now)
        package.archived = archived
        package.save_over(seen_version)
        edition = add_edition(
            package,
            file_of(stood),
            origin=PackageEdition.Origin(stood.origin),
            reason=_("archived") if archived else _("brought back"),
            by=writer.by,
            now=writer.now,
        )
    return Changed(package, edition)


def faults_of(file: PackageFile) -> tuple[str, ...]:
    """What is wrong with the package, in names as people read them. Two queries."""
    names = {option.key: option.name for option in file.option} | {job.key: job.name for job in file.job}
    faults = package_faults(file, kinds_of_yard(), PlaceKind.values)
    return tuple(_in_names(fault, names) for fault in faults)


def _in_names(fault: str, names: dict[str, str]) -> str:
    words = re.sub(r"'([a-z0-9_-]+)'", lambda found: f"“{names.get(found[1], found[1])}”", fault)
    return words[:1].upper() + words[1:]


def words_of_fields(before: msgspec.Struct, after: msgspec.Struct) -> Sequence[str]:
    """Names of the fields in which two values differ, in the yard's words."""
    return [
        name.replace("_", " ") for name in before.__struct_fields__ if getattr(before, name) != getattr(after, name)
    ]
