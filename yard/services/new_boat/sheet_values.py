"""An options sheet as plain values: as a yard writes it in a file, and as its rows say."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

import msgspec


class Strict(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table of a file: an unknown name in it is a fault."""


class HoursLine(Strict, frozen=True):
    """More minutes of a job of the package, by its key; fewer where they are below nothing."""

    job: str
    minutes: int


class MaterialLine(Strict, frozen=True):
    """quantity: millimetres of a roll, else sheets or pieces. kind: for one that is not on file yet."""

    material: str
    quantity: int
    kind: Literal["cloth", "piece"] = "piece"


class OptionValue(Strict, frozen=True):
    """Fields as yard.models.SheetOption."""

    key: str
    name: str
    source: str
    group: str = ""
    price: Decimal = Decimal(0)
    brings: tuple[str, ...] = ()
    hours: tuple[HoursLine, ...] = ()
    materials: tuple[MaterialLine, ...] = ()
    excludes: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    on_by_default: bool = False


class SheetHead(Strict, frozen=True):
    """Fields as yard.models.OptionSheet. package: its key."""

    key: str
    name: str
    package: str
    source: str
    base_price: Decimal = Decimal(0)
    base_materials: tuple[MaterialLine, ...] = ()
    one_of: tuple[str, ...] = ()
    notes: str = ""


class SheetFile(Strict, frozen=True):
    """One sheet; `[sheet]` and `[[option]]`."""

    sheet: SheetHead
    option: tuple[OptionValue, ...]

    def by_key(self) -> dict[str, OptionValue]:
        return {each.key: each for each in self.option}

    def usual(self) -> frozenset[str]:
        """What is chosen unless somebody says otherwise."""
        return frozenset(each.key for each in self.option if each.on_by_default)
