"""Lines into rows: each cell a value, or a fault that names the line, the heading, what is wrong and the remedy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from yard.sheets import dates, entries, hours, measures, words
from yard.sheets.columns import CellRefused, Column, Kind, ListOf, Value
from yard.sheets.grid import Line
from yard.sheets.headings import Match
from yard.sheets.xlsx_file import NO_VALUE
from yard.speech import _, gettext_noop, short_number


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a line: the heading of the sheet, or of the column where the sheet has none; the cell; why."""

    line: int
    heading: str
    said: str
    wrong: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Row:
    """A line that was read. values: only the columns that the line says something about; None empties the field."""

    line: int
    values: Mapping[str, Value]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Names:
    """The rows that a cell may name: by ref, or by a name that only one of them has.

    refs: each ref by itself in lower case. names: the refs by a name in lower case.
    """

    refs: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def find(self, text: str, what: tuple[str, str]) -> str:
        """The ref that a text names. Raises CellRefused where none does, or several. what: of WHAT."""
        one, several = what
        said = " ".join(text.casefold().split())
        if said in self.refs:
            return self.refs[said]
        found = self.names.get(said, ())
        match len(found):
            case 1:
                return found[0]
            case 0:
                raise CellRefused(
                    _("there is no {row} “{text}” on file").format(row=_(one), text=text),
                    _("bring {rows} in first, or correct the name").format(rows=_(several)),
                )
            case _:
                raise CellRefused(
                    _("{count} of that name are on file").format(count=len(found)),
                    _("write the ref: {refs}").format(refs=", ".join(found[:5])),
                )


WHAT = {
    "boats": (gettext_noop("boat"), gettext_noop("boats")),
    "owners": (gettext_noop("owner"), gettext_noop("owners")),
    "moorings": (gettext_noop("mooring"), gettext_noop("moorings")),
    "people": (gettext_noop("person"), gettext_noop("persons")),
    "orders": (gettext_noop("order"), gettext_noop("orders")),
    "packages": (gettext_noop("work package"), gettext_noop("work packages")),
    "seasons": (gettext_noop("season"), gettext_noop("seasons")),
    "spots": (gettext_noop("place"), gettext_noop("places")),
    "places": (gettext_noop("place"), gettext_noop("places")),
    "skills": (gettext_noop("skill"), gettext_noop("skills")),
}
"""What a cell names, by the list it stands in: one, and several."""


@dataclass(frozen=True, slots=True)
class Reading:
    """How the lines of one sheet are read. known: rows that may be named, by the list they stand in."""

    of: ListOf
    matches: tuple[Match, ...]
    known: Mapping[str, Names]
    empty_clears: bool = False

    def rows(self, lines: Iterable[Line]) -> tuple[Row, ...]:
        """Each line as a row; see `is_group_heading` for those to leave out."""
        return tuple(self._row(line) for line in lines)

    def _row(self, line: Line) -> Row:
        values: dict[str, Value] = {}
        faults = []
        for found in self.matches:
            if not found.column:
                continue
            column = self.of.column(found.column)
            text = line.cells[found.at] if found.at < len(line.cells) else ""
            try:
                if column.kind is Kind.REF and not text:
                    continue
                if is_empty(text, column):
                    if self.empty_clears and not column.shown and not column.only_new:
                        values[column.key] = None
                else:
                    values[column.key] = self._value(text, column, found.read_as)
            except CellRefused as refused:
                said = _(NO_VALUE) if text == NO_VALUE else text
                faults.append(Fault(line.number, found.heading or column.heading, said, refused.wrong, refused.remedy))
        return Row(line.number, values, tuple(faults))

    def _value(self, text: str, column: Column, read_as: str) -> Value:
        if text == NO_VALUE:
            raise CellRefused(
                _("this formula has no value stored"), _("open the sheet, let it calculate, and save it again")
            )
        if text.startswith("#") and text.rstrip("!?").isupper() and text.endswith(("!", "?", "A")):
            raise CellRefused(_("the spreadsheet shows an error here"), _("correct the formula, or type the value"))
        value = self._read(text, column, read_as)
        if isinstance(value, float) and column.measured:
            value = _at_the_limit(value, column)
        if isinstance(value, float | int) and not isinstance(value, bool):
            check_range(value, text, column)
        return value

    def _read(self, text: str, column: Column, read_as: str) -> Value:
        match column.kind:
            case Kind.TEXT:
                return text
            case Kind.REF:
                return words.ref(text)
            case Kind.LENGTH | Kind.MASS | Kind.AREA:
                return measures.measure(text, column, read_as)
            case Kind.NUMBER:
                return measures.number(text)
            case Kind.WHOLE:
                return words.whole(text)
            case Kind.ANGLE:
                return measures.angle(text, column)
            case Kind.DATE:
                return dates.day(text, read_as)
            case Kind.YES_NO:
                return words.yes_no(text)
            case Kind.CHOICE:
                return words.choice(text, column)
            case Kind.HOURS | Kind.CLOCK:
                return hours.week(text) if column.kind is Kind.HOURS else hours.clock(text)
            case Kind.ROW:
                return self._named(text, column)
            case Kind.ROWS:
                return tuple(sorted({self._named(name, column) for name in words.names(text)}))
            case Kind.SKILLS | Kind.LICENCES | Kind.TACKLE:
                return self._several(text, column, read_as)

    def _several(self, text: str, column: Column, read_as: str) -> tuple[str, ...]:
        match column.kind:
            case Kind.LICENCES:
                return entries.licences(text, lambda name: self.known["skills"].find(name, WHAT["skills"]), read_as)
            case Kind.TACKLE:
                return entries.tackle(text, read_as)
            case _:
                return self._skills(text)

    def _named(self, text: str, column: Column) -> str:
        names = self.known.get(column.of)
        return text if names is None else names.find(text, WHAT[column.of])

    def _skills(self, text: str) -> tuple[str, ...]:
        said = [words.skill(one) for one in words.names(text.replace(",", ";"))]
        levels = {self.known["skills"].find(name, WHAT["skills"]): level for name, level in said}
        return tuple(sorted(f"{key} {level}" for key, level in levels.items()))


def is_empty(text: str, column: Column) -> bool:
    """Whether a cell says nothing: "?" and "n/a" say that nothing is known yet, except where any text may stand."""
    return not text or (column.kind not in (Kind.TEXT, Kind.REF) and text.casefold() in words.NOTHING_SAID)


def is_group_heading(line: Line, matches: Sequence[Match]) -> bool:
    """Whether a line is a title of those under it, as “Motor boats”: one cell alone, in a list of several columns."""
    filled = [at for at, cell in enumerate(line.cells) if cell]
    return len(filled) == 1 and len([found for found in matches if found.column]) > 2


ROUNDED = 1e-4
"""Metres, kilograms, square metres: as much as a written figure may lie beside the value that it was written from."""


def _at_the_limit(value: float, column: Column) -> float:
    """A limit itself, written in another unit and rounded, is still the limit."""
    near = [one for one in (column.least, column.most) if one is not None and abs(value - one) <= ROUNDED]
    return near[0] if near else value


def check_range(value: float, text: str, column: Column) -> None:
    """Raises CellRefused where a number lies outside what a yard has, saying what may have been meant."""
    least = column.least if column.least is not None else value
    most = column.most if column.most is not None else value
    if least <= value <= most:
        return
    if column.measured:
        wrong = _("a {heading} of {text} cannot be right").format(heading=column.heading, text=text)
        if value > most and (meant := _a_tenth(text)) and least <= value / 10 <= most:
            raise CellRefused(wrong, _("did you mean {meant}?").format(meant=meant))
        raise CellRefused(wrong, _("look at the unit and the point"))
    raise CellRefused(
        _("{text} is out of range").format(text=text),
        _("write a number from {least} to {most}").format(least=short_number(least), most=short_number(most)),
    )


def _a_tenth(text: str) -> str:
    """45 ft becomes 4.5 ft: a point that was not typed."""
    figures = "".join(char for char in text if char.isdigit())
    return text.replace(figures, f"{int(figures) / 10:g}", 1) if 0 < len(figures) < 9 and figures in text else ""
