"""What a column of a list is: its heading, the words that yards use for it, and what its cells may say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

Value = str | float | int | bool | tuple[str, ...] | None
"""A cell once it is read: metres, kilograms, square metres, degrees; a day as 2027-05-06, a time of day as 14:30;
None where it is empty."""


class Kind(StrEnum):
    """How the cells of a column are read and written."""

    TEXT = "text"
    REF = "ref"
    LENGTH = "length"
    MASS = "mass"
    AREA = "area"
    NUMBER = "number"
    WHOLE = "whole"
    ANGLE = "angle"
    DATE = "date"
    CLOCK = "clock"
    YES_NO = "yes_no"
    CHOICE = "choice"
    ROW = "row"
    ROWS = "rows"
    HOURS = "hours"
    SKILLS = "skills"
    LICENCES = "licences"
    TACKLE = "tackle"


MEASURED = frozenset({Kind.LENGTH, Kind.MASS, Kind.AREA})
"""Kinds whose bare numbers mean nothing without a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a list.

    key: the field it fills. words: other headings for it, lower case. needed: a new row must have it.
    private: shown and taken only from people who may see owners. only_new: a sheet gives it to a new row and does
    not change it afterwards. shown: written, never read back. least, most: in metres, kilograms or as they stand.
    choices: each value with the words for it, the first of them written. of: the list that a row or rows stand in.
    about: what to write in it, for the template.
    """

    key: str
    heading: str
    kind: Kind = Kind.TEXT
    words: tuple[str, ...] = ()
    needed: bool = False
    private: bool = False
    only_new: bool = False
    shown: bool = False
    least: float | None = None
    most: float | None = None
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    of: str = ""
    about: str = ""
    sample: str = ""

    @property
    def measured(self) -> bool:
        return self.kind in MEASURED


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOf:
    """A list that comes in and goes out: its name in addresses, the words for it, and its columns; the first is ref."""

    name: str
    title: str
    one: str
    columns: tuple[Column, ...]
    name_key: str = "name"
    """The field by which a row without a ref is looked for."""
    about: str = ""

    def column(self, key: str) -> Column:
        return next(column for column in self.columns if column.key == key)

    def open_to(self, *, private: bool) -> tuple[Column, ...]:
        """The columns for somebody who may see owners, or not."""
        return tuple(column for column in self.columns if private or not column.private)


class CellRefused(ValueError):
    """A cell that cannot be read: what is wrong, and what to do."""

    def __init__(self, wrong: str, remedy: str) -> None:
        super().__init__(f"{wrong}: {remedy}")
        self.wrong, self.remedy = wrong, remedy


ARCHIVED = Column(
    key="archived",
    heading="archived",
    kind=Kind.YES_NO,
    words=("gone", "left", "inactive"),
    about="yes: no longer here",
)
NOTES = Column(key="notes", heading="notes", words=("note", "remarks", "comments", "comment", "remark"))
