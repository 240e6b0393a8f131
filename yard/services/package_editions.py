"""Editions of a package: what it was, whole, with who changed it, when and why; and the shipped one beside them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache

import msgspec
from django.conf import settings
from django.contrib.auth.models import User
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Package, PackageEdition, PlaceKind
from yard.services.package_files import PackageFile
from yard.services.package_folder import read_folder
from yard.services.package_rows import content_of

SHIPPED_FOLDER = settings.BASE_DIR / "fixtures" / "packages"
AS_IT_STOOD = gettext_noop("as it stood before the first change on a page")


@cache
def shipped() -> Mapping[str, PackageFile]:
    """The packages as they are shipped, by key. The files are read once: they change with the program alone."""
    return {file.package.key: file.plain() for file in read_folder(SHIPPED_FOLDER, PlaceKind.values).packages}


def file_of(edition: PackageEdition) -> PackageFile:
    return msgspec.convert(edition.content, PackageFile)


def latest_edition(package: Package) -> PackageEdition | None:
    return package.editions.order_by("-number").first()


def first_edition(package: Package, *, now: datetime) -> PackageEdition:
    """The newest edition; where there is none yet, what stands now becomes the first. Call it before changing rows."""
    if (newest := latest_edition(package)) is not None:
        return newest
    stands = content_of(package)
    origin = PackageEdition.Origin.SHIPPED if stands == shipped().get(package.key) else PackageEdition.Origin.YARD
    return add_edition(package, stands, origin=origin, reason=_(AS_IT_STOOD), by=None, now=now)


def add_edition(
    package: Package, file: PackageFile, *, origin: PackageEdition.Origin, reason: str, by: User | None, now: datetime
) -> PackageEdition:
    newest = latest_edition(package)
    return PackageEdition.objects.create(
        package=package,
        number=newest.number + 1 if newest else 1,
        content=msgspec.to_builtins(file.plain()),
        origin=origin,
        reason=reason[:200],
        made_by=by,
        made_at=now,
    )


def is_the_yards_own(package: Package) -> bool:
    """Whether its newest edition is the yard's own. One that was never changed on a page has the shipped one alone."""
    newest = latest_edition(package)
    return newest is not None and newest.origin == PackageEdition.Origin.YARD
