"""Options sheets that the tool comes with: brought in on request, and never over what a yard made of them."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import msgspec
from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Material, OptionSheet, Package, SheetOption
from yard.services.new_boat.sheet_choice import faults_in_sheet
from yard.services.new_boat.sheet_values import SheetFile
from yard.services.pen import insert

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "option_sheets"
NOT_ON_FILE = gettext_noop("as its options sheet names it; price and supplier are still to be entered")


class SheetInvalid(ValueError):
    """A sheet that cannot be; faults are whole sentences. Nothing was saved."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__(" ".join(faults))
        self.faults = tuple(faults)


def read_sheet(text: str, *, name: str) -> SheetFile:
    """Raises SheetInvalid with the place of what is wrong. name: of the file, for the words."""
    try:
        return msgspec.convert(tomllib.loads(text), SheetFile)
    except (tomllib.TOMLDecodeError, msgspec.ValidationError) as error:
        raise SheetInvalid([f"{name}: {error}"]) from error


@transaction.atomic
def bring_in_sheets(*, by: User | None, now: datetime, folder: Path = SHIPPED) -> int:
    """Add the sheets that are not on file; how many. Raises SheetInvalid."""
    files = [read_sheet(path.read_text(encoding="utf-8"), name=path.name) for path in sorted(folder.glob("*.toml"))]
    there = set(OptionSheet.objects.values_list("key", flat=True))
    new = [file for file in files if file.sheet.key not in there]
    for file in new:
        _bring_in(file, by, now)
    return len(new)


def _bring_in(file: SheetFile, by: User | None, now: datetime) -> None:
    head = file.sheet
    package = Package.objects.filter(key=head.package).first()
    if package is None:
        raise SheetInvalid(
            [
                _("{head}: the package “{package}” is not on file; bring in the packages first.").format(
                    head=head.name, package=head.package
                )
            ]
        )
    if faults := faults_in_sheet(file, jobs=jobs_of(package), options=options_of(package)):
        raise SheetInvalid(faults)
    _materials(file, by, now)
    plain = _plain(head)
    del plain["package"]
    sheet = OptionSheet(package=package, **plain)
    sheet.full_clean()
    insert([sheet], by=by, now=now, reason=_("as shipped"))
    rows = [SheetOption(sheet=sheet, sequence=n, **_plain(each)) for n, each in enumerate(file.option, 1)]
    for row in rows:
        row.full_clean()
    insert(rows, by=by, now=now, reason=_("as shipped"))


def _plain(value: msgspec.Struct) -> dict[str, Any]:
    """As JSON has it: lists, and prices as texts."""
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(value))
    return plain


def _materials(file: SheetFile, by: User | None, now: datetime) -> None:
    """What the sheet names and nobody has on file yet."""
    lines = [*file.sheet.base_materials, *(line for each in file.option for line in each.materials)]
    known = set(Material.objects.values_list("name", flat=True))
    new = {line.material: line.kind for line in lines if line.material not in known}
    rows = [
        Material(name=name, kind=kind, width_mm=1 if kind == "piece" else WIDTH_MM, source=_(NOT_ON_FILE))
        for name, kind in new.items()
    ]
    insert(rows, by=by, now=now, reason=_("named on an options sheet"))


WIDTH_MM = 1500
"""Of a roll that a sheet names and nobody measured: 1.5 m is the usual cover cloth (common practice)."""


def jobs_of(package: Package) -> dict[str, str]:
    """Keys of its jobs, with the key of the option that each comes with, "" for none. One query."""
    return {key: option or "" for key, option in package.jobs.values_list("key", "option__key")}


def options_of(package: Package) -> list[str]:
    return list(package.options.values_list("key", flat=True))
