"""What is cut, and from what: panels as they are finished, pieces as they are cut, the roll and the sheet, a plan.

Lengths are whole millimetres. Along: the way the roll unrolls; across: from selvage to selvage. A piece's place is its
corner nearest to the roll's beginning and to the left selvage.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from yard.speech import _

MOST_MM = 100_000
"""A hundred metres: longer than any roll or panel of a yard; larger numbers were typed in another unit."""
MOST_PIECES = 400


class CuttingRefused(ValueError):
    """This cannot be cut; the text names the panel or the roll, the figure and the remedy."""


class Grain(StrEnum):
    """How a panel's length lies on the cloth. ANY: it may be turned by a right angle."""

    ALONG = "along"
    ACROSS = "across"
    ANY = "any"


def demand_mm(value: int, words: str, *, least: int = 0) -> None:
    """Raises CuttingRefused for what is no length in millimetres."""
    if not least <= value <= MOST_MM:
        raise CuttingRefused(
            _("{words} is {value} mm: it must be from {least} to {most} mm.").format(
                words=words, value=value, least=least, most=MOST_MM
            )
        )


@dataclass(frozen=True, slots=True)
class Edging:
    """What is added to a finished measure at its two ends: seams and hems."""

    first_mm: int = 0
    second_mm: int = 0

    def __post_init__(self) -> None:
        demand_mm(self.first_mm, _("A seam or hem"))
        demand_mm(self.second_mm, _("A seam or hem"))

    @property
    def both_mm(self) -> int:
        return self.first_mm + self.second_mm


@dataclass(frozen=True, slots=True)
class Panel:
    """A part of a cover or cushion as it is finished, and how it is to be cut.

    ends: added to the length; sides: added to the width. matched: its pattern meets its neighbours' across the
    seam; match_at_mm: where on its finished measure along the roll, from its first edge, a line of the
    pattern must lie.
    """

    name: str
    length_mm: int
    width_mm: int
    count: int = 1
    ends: Edging = Edging()
    sides: Edging = Edging()
    grain: Grain = Grain.ALONG
    matched: bool = False
    match_at_mm: int = 0

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise CuttingRefused(_("A panel has no name: give it one, so that it is known on the floor."))
        demand_mm(self.length_mm, _("Length of “{name}”").format(name=self.name), least=1)
        demand_mm(self.width_mm, _("Width of “{name}”").format(name=self.name), least=1)
        demand_mm(self.match_at_mm, _("Where “{name}” is matched").format(name=self.name))
        if not 1 <= self.count <= MOST_PIECES:
            raise CuttingRefused(
                _("Number of “{name}” is {count}: it must be from 1 to {most}.").format(
                    name=self.name, count=self.count, most=MOST_PIECES
                )
            )
        if self.matched and self.grain is Grain.ANY:
            raise CuttingRefused(
                _("“{name}” is matched, so it cannot be turned: say which way its length lies.").format(name=self.name)
            )


@dataclass(frozen=True, slots=True)
class Roll:
    """Cloth as it is sold. selvage_mm: not used at either edge. gap_mm: left between pieces, for knife or hot cutter.

    repeat_mm: the length after which the pattern comes again along the roll; 0: plain. join_mm: added at each edge
    where cloths are sewn together because a panel is wider than the roll.
    """

    width_mm: int
    selvage_mm: int = 0
    repeat_mm: int = 0
    gap_mm: int = 0
    join_mm: int = 0

    def __post_init__(self) -> None:
        demand_mm(self.width_mm, _("The roll's width"), least=1)
        demand_mm(self.selvage_mm, _("The selvage"))
        demand_mm(self.repeat_mm, _("The repeat"))
        demand_mm(self.gap_mm, _("The gap between pieces"))
        demand_mm(self.join_mm, _("The seam between cloths"))
        if self.usable_mm < 1:
            raise CuttingRefused(
                _("Two selvages of {selvage_mm} mm leave nothing of a {width_mm} mm roll.").format(
                    selvage_mm=self.selvage_mm, width_mm=self.width_mm
                )
            )

    @property
    def usable_mm(self) -> int:
        return self.width_mm - 2 * self.selvage_mm


@dataclass(frozen=True, slots=True)
class Sheet:
    """Foam as it is sold. gap_mm: what the saw takes between two pieces."""

    length_mm: int
    width_mm: int
    thickness_mm: int
    gap_mm: int = 0

    def __post_init__(self) -> None:
        demand_mm(self.length_mm, _("The sheet's length"), least=1)
        demand_mm(self.width_mm, _("The sheet's width"), least=1)
        demand_mm(self.thickness_mm, _("The sheet's thickness"), least=1)
        demand_mm(self.gap_mm, _("The saw's cut"))


@dataclass(frozen=True, slots=True)
class Piece:
    """One rectangle to cut, with its seams and hems. match_mm: where along it a line of the pattern lies; -1: nowhere.

    may_turn: by a right angle, so that its length lies across.
    """

    name: str
    along_mm: int
    across_mm: int
    may_turn: bool = False
    match_mm: int = -1

    @property
    def area_mm2(self) -> int:
        return self.along_mm * self.across_mm


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a piece lies: `piece` is its number in the plan. turned: its along lies across. sheet: which sheet."""

    piece: int
    x_mm: int
    y_mm: int
    turned: bool = False
    sheet: int = 0


@dataclass(frozen=True)
class CuttingPlan:
    """Every piece with its place on one roll. length_mm: of the roll, from where cutting begins.

    bound_mm: no plan of these pieces is shorter; proved. how: the method that found it, in words.
    """

    roll: Roll
    pieces: tuple[Piece, ...]
    placed: tuple[Placed, ...]
    length_mm: int
    bound_mm: int
    how: str

    @cached_property
    def used_mm2(self) -> int:
        return sum(piece.area_mm2 for piece in self.pieces)

    @property
    def waste_share(self) -> float:
        """Of the cloth that is cut into, selvages counted; 0 where nothing is cut."""
        whole = self.length_mm * self.roll.width_mm
        return 1 - self.used_mm2 / whole if whole else 0.0

    @property
    def proved(self) -> bool:
        return self.length_mm <= self.bound_mm

    @property
    def gap_share(self) -> float:
        """How much longer it is than the bound, as a share of the bound."""
        return self.length_mm / self.bound_mm - 1 if self.bound_mm else 0.0


@dataclass(frozen=True)
class SheetPlan:
    """Every piece with its place on sheets of one kind. bound: no plan takes fewer sheets; proved."""

    sheet: Sheet
    pieces: tuple[Piece, ...]
    placed: tuple[Placed, ...]
    sheets: int
    bound: int
    how: str

    @property
    def waste_share(self) -> float:
        whole = self.sheets * self.sheet.length_mm * self.sheet.width_mm
        return 1 - sum(piece.area_mm2 for piece in self.pieces) / whole if whole else 0.0

    @property
    def proved(self) -> bool:
        return self.sheets <= self.bound

    @property
    def gap_share(self) -> float:
        """How many more sheets than the bound, as a share of the bound."""
        return self.sheets / self.bound - 1 if self.bound else 0.0


def sides_of(piece: Piece, turned: bool) -> tuple[int, int]:
    """(across, along) as it lies."""
    return (piece.along_mm, piece.across_mm) if turned else (piece.across_mm, piece.along_mm)
