"""What a column of a list is: its heading, the words that yards use for it, and what its cells may say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from yard.speech import _, gettext_noop

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
    english_about: what to write in it, for the template. Headings and words of cells are the sheet's own, and English
    in every yard's sheets: what went out comes in again wherever it is read.
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
    english_about: str = ""
    sample: str = ""

    @property
    def about(self) -> str:
        """What to write in it, in the yard's language."""
        return _(self.english_about) if self.english_about else ""

    @property
    def measured(self) -> bool:
        return self.kind in MEASURED


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOf:
    """A list that comes in and goes out: its name in addresses, the words for it, and its columns; the first is ref.

    english_one: refs are made of it where a row has no name.
    """

    name: str
    english_title: str
    english_one: str
    columns: tuple[Column, ...]
    name_key: str = "name"
    """The field by which a row without a ref is looked for."""
    english_about: str = ""

    @property
    def title(self) -> str:
        return _(self.english_title)

    @property
    def one(self) -> str:
        """One of its rows, in a sentence."""
        return _(self.english_one)

    @property
    def about(self) -> str:
        return _(self.english_about) if self.english_about else ""

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
    english_about=gettext_noop("yes: no longer here"),
)
NOTES = Column(key="notes", heading="notes", words=("note", "remarks", "comments", "comment", "remark"))
