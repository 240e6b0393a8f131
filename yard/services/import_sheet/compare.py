"""A sheet held against what is on file: each row new, changed, unchanged or wrong. Reads only."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from yard.models import SheetImport
from yard.queries.list_values import BOUND, list_rows, names_known, ref_of
from yard.services.import_sheet.sent import body, chosen_of, list_of, sheets_of
from yard.sheets.checks import row_faults
from yard.sheets.columns import Column, ListOf, Value
from yard.sheets.headings import cells_at, question_of
from yard.sheets.reading import Fault, Names, Reading, Row, is_group_heading
from yard.sheets.words import ref_from
from yard.sheets.writing import same

NUMBERED = re.compile(r"n\d+")
"""How a row without a ref of its own is named; no new row may be called so."""

NO_NAMES = Names()
REMEDY_TWICE = gettext_noop("give each a ref of its own, or delete one")


@dataclass(frozen=True)
class PreviewRow:
    """One row of the sheet. state: new, changed, unchanged or wrong. changes: (column, old, new) of what it says."""

    line: int
    state: str
    ref: str
    name: str
    changes: tuple[tuple[Column, Value, Value], ...] = ()
    faults: tuple[Fault, ...] = ()
    pk: int | None = None
    merged: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True)
class Counts:
    new: int
    changed: int
    unchanged: int
    wrong: int


@dataclass(frozen=True)
class Preview:
    """Every row, the lines left out, what was done to read the file, and the columns that still ask something."""

    of: ListOf
    rows: tuple[PreviewRow, ...]
    left_out: tuple[tuple[int, str], ...]
    remarks: tuple[str, ...]
    questions: tuple[tuple[str, str], ...]

    @property
    def counts(self) -> Counts:
        found = Counter(row.state for row in self.rows)
        return Counts(found["new"], found["changed"], found["unchanged"], found["wrong"])

    @property
    def fingerprint(self) -> str:
        """What would be done, in short: two previews that would do the same have the same."""
        told = [(row.line, row.state, row.ref, [(c.key, old, new) for c, old, new in row.changes]) for row in self.rows]
        return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


def preview_of(sent: SheetImport, *, private: bool) -> Preview:
    """Hold a sheet against what is on file. A fixed number of queries, however many rows.

    private: whether owners' and people's private columns are read.
    """
    of, chosen = list_of(sent), chosen_of(sent)
    open_keys = {column.key for column in of.open_to(private=private)}
    matches = tuple(one for one in chosen.matches if one.column in open_keys)
    lines = body(sent)
    groups = [line for line in lines if is_group_heading(line, matches)]
    told = [line for line in lines if line not in groups]
    known = names_known(of)
    reading = Reading(of, matches, known, chosen.empty_clears)
    comparison = Comparison(of, {one.column: one.heading for one in matches}, known.get("packages", NO_NAMES))
    asked = ((one, question_of(one, of.column(one.column), cells_at(lines, one.at))) for one in matches)
    rows = comparison.rows(reading.rows(told))
    return Preview(
        of,
        rows,
        tuple((line.number, " ".join(filter(None, line.cells))) for line in groups),
        (*(sheets_of(sent)[chosen.sheet].remarks if sent.sheets else ()), *_without_jobs(of, rows)),
        tuple((one.heading, question) for one, question in asked if question),
    )


def _without_jobs(of: ListOf, rows: Iterable[PreviewRow]) -> tuple[str, ...]:
    if of.name != "orders":
        return ()
    bare = sum(row.state == "new" and not row.merged.get("package") for row in rows)
    if not bare:
        return ()
    words = ngettext(
        "{n} new order names no work package: it comes without jobs, and nothing of it is planned until jobs are "
        "added on its page.",
        "{n} new orders name no work package: they come without jobs, and nothing of them is planned until jobs are "
        "added on its page.",
        bare,
    )
    return (words.format(n=bare),)


class Comparison:
    """Rows of a sheet beside the rows on file, one after another; what a line said before is known to the next."""

    def __init__(self, of: ListOf, headings: Mapping[str, str], packages: Names = NO_NAMES) -> None:
        self.of, self.headings, self.packages = of, headings, packages
        self.bound = BOUND[of.name]
        self.on_file = list_rows(of)
        self.by_ref = {str(values["ref"]).casefold(): (row, values) for row, values in self.on_file}
        self.by_name: dict[tuple[Value, ...], list[tuple[Any, dict[str, Value]]]] = {}
        for row, values in self.on_file:
            if _merged_into(row) is None and (of.name != "orders" or values["state"] == "open"):
                self.by_name.setdefault(natural_key(of, values), []).append((row, values))
        self.said: dict[object, int] = {}
        self.refs = set(self.by_ref)
        self.blank = blank_values(of, self.bound.model)

    def rows(self, read: tuple[Row, ...]) -> tuple[PreviewRow, ...]:
        self.refs |= {str(row.values["ref"]).casefold() for row in read if row.values.get("ref")}
        rows = [self._row(row) for row in read]
        return tuple(self._short_names_once(rows) if self.of.name == "people" else rows)

    def _row(self, read: Row) -> PreviewRow:
        read, found, old, fault = self._looked_for(read)
        faults = list(read.faults)
        if fault is not None:
            faults.append(fault)
        said = dict(read.values)
        if found is not None:
            said.pop("ref", None)
        base = old if old is not None else self.blank
        merged = base | {key: self.blank[key] if value is None else value for key, value in said.items()}
        if found is None and fault is None:
            self._fill_in(merged, said)
        if fault is None:
            faults += self._said_before(read, found, merged)
        if not faults or all(one.line == read.line for one in faults):
            marked = {one.heading for one in faults}
            faults += [one for one in self._checked(read, merged, old, said) if one.heading not in marked]
        changes = tuple(self._changes(merged, old, said))
        if changes and (kept := _merged_into(found)) is not None:
            wrong = _("{gone} was found to be {kept} and merged").format(gone=ref_of(found), kept=kept.name)
            faults.append(
                self._fault(
                    read, "ref", wrong, _("write the ref {ref}, or leave this line out").format(ref=ref_of(kept))
                )
            )
        state = "wrong" if faults else "new" if found is None else "changed" if changes else "unchanged"
        ref = str(merged.get("ref") or "")
        return PreviewRow(
            read.line, state, ref, str(merged.get("name") or ref), changes, tuple(faults), found and found.pk, merged
        )

    def _looked_for(self, read: Row) -> tuple[Row, Any, dict[str, Value] | None, Fault | None]:
        """The line, and the row on file that it is about. An order that names no package and is called like one is an
        order of it, unless it is on file without."""
        named = self._named_package(read)
        if named is not None:
            row, old, fault = self._on_file(named)
            plain, plainly, _ = self._on_file(read) if row is None else (None, None, None)
            if plain is None and (old is None or old["package"] == named.values["package"]):
                return named, row, old, fault
            return read, row or plain, old or plainly, fault
        return read, *self._on_file(read)

    def _named_package(self, read: Row) -> Row | None:
        said = str(read.values.get("name") or "")
        if self.of.name != "orders" or read.values.get("package") or not said:
            return None
        refs = self.packages.names.get(" ".join(said.casefold().split()), ())
        return replace(read, values={**read.values, "package": refs[0]}) if len(refs) == 1 else None

    def _on_file(self, read: Row) -> tuple[Any, dict[str, Value] | None, Fault | None]:
        """The row on file that this line is about, by its ref, else by its name where only one has it."""
        ref = str(read.values.get("ref") or "")
        if ref:
            if ref.casefold() in self.by_ref:
                row, values = self.by_ref[ref.casefold()]
                return row, values, None
            if NUMBERED.fullmatch(ref) and self.of.name in ("owners", "people", "inventory"):
                wrong = _("no {one} on file has this number").format(one=self.of.one)
                return (
                    None,
                    None,
                    self._fault(read, "ref", wrong, _("leave it empty for a new {one}").format(one=self.of.one)),
                )
            return None, None, None
        same_name = self.by_name.get(natural_key(self.of, read.values), [])
        if len(same_name) > 1:
            refs = ", ".join(str(values["ref"]) for _, values in same_name[:5])
            wrong = _("{n} on file are called so").format(n=len(same_name))
            return None, None, self._fault(read, self.of.name_key, wrong, _("write the ref: {refs}").format(refs=refs))
        return (*same_name[0], None) if same_name else (None, None, None)

    def _said_before(self, read: Row, found: Any, merged: Mapping[str, Value]) -> Iterator[Fault]:
        ref = str(read.values.get("ref") or "").casefold()
        key: object = found.pk if found is not None else (ref or natural_key(self.of, merged))
        if key in self.said:
            wrong = _("line {said} is about the same {one}").format(said=self.said[key], one=self.of.one)
            yield self._fault(read, "ref" if ref else self.of.name_key, wrong, _(REMEDY_TWICE))
        self.said.setdefault(key, read.line)

    def _fill_in(self, merged: dict[str, Value], said: dict[str, Value]) -> None:
        """What a new row may leave empty and is told from the rest: its ref, a person's short name, an order's name."""
        name = str(merged.get("name") or "")
        if self.of.name == "people" and not merged["short_name"] and name:
            merged["short_name"] = said["short_name"] = name.split()[0][:12]
        if self.of.name == "orders" and not name:
            merged["name"] = said["name"] = str(merged["package"] or "").replace("_", " ").capitalize() or "Order"
        if not merged.get("ref") and self.of.name != "orders" and self.of.name_key != "ref" and name:
            made = self._new_ref(f"{merged['boat']}-{name}" if self.of.name == "inventory" else name)
            merged["ref"] = said["ref"] = made

    def _new_ref(self, name: str) -> str:
        stem = ref_from(name) or self.of.english_one.replace(" ", "-")
        ref, number = stem, 2
        while ref.casefold() in self.refs or NUMBERED.fullmatch(ref):
            ref, number = f"{stem[:26]}-{number}", number + 1
        self.refs.add(ref.casefold())
        return ref

    def _checked(
        self, read: Row, merged: dict[str, Value], old: dict[str, Value] | None, said: Mapping[str, Value]
    ) -> Iterator[Fault]:
        for column in self.of.columns:
            if column.needed and merged.get(column.key) in (None, ""):
                unsaid = column.key not in self.headings
                wrong = _("a new {one} needs this").format(one=self.of.one) if old is None else _("must not be empty")
                remedy = (
                    _("add a column “{heading}”, or match one").format(heading=column.heading)
                    if unsaid
                    else _("fill in the cell")
                )
                yield self._fault(read, column.key, wrong, remedy)
            elif column.key in said and not column.measured and (fault := self._kept(read, column, merged, old)):
                yield fault
        for key, wrong, remedy in row_faults(self.of.name, merged):
            yield self._fault(read, key, wrong, remedy)
        yield from self._by_the_model(read, merged)

    def _kept(
        self, read: Row, column: Column, merged: Mapping[str, Value], old: Mapping[str, Value] | None
    ) -> Fault | None:
        """What a sheet does not change."""
        before = old[column.key] if old is not None else None
        if old is not None and column.only_new and not same(column, before, merged[column.key]):
            return self._fault(
                read, column.key, _("a sheet does not change this once it is on file"), _("leave it as it is")
            )
        if column.shown and not same(column, before if old is not None else "open", merged[column.key]):
            return self._fault(read, column.key, _("a sheet does not change this"), _("change it on its own page"))
        if column.key == "owner" and before and before != merged["owner"]:
            return self._fault(
                read,
                "owner",
                _("she belongs to {before}").format(before=before),
                _("say on her page to whom she went, and when"),
            )
        return None

    def _by_the_model(self, read: Row, merged: Mapping[str, Value]) -> Iterator[Fault]:
        """What the row's own fields refuse. No queries: what names other rows was looked up before."""
        row = self.bound.model(**plain_fields(self.of, merged))
        plain = plain_keys(self.of)
        left_out = [one.name for one in self.bound.model._meta.fields if one.name not in plain]
        if self.of.name == "orders" and not merged["ref"]:
            left_out.append("ref")  # it gets the next number of the year
        try:
            row.clean_fields(exclude=left_out)
        except ValidationError as error:
            for key, words in error.message_dict.items():
                yield self._fault(read, key, words[0].rstrip("."), _("correct the cell"))

    def _changes(
        self, merged: Mapping[str, Value], old: Mapping[str, Value] | None, said: Mapping[str, Value]
    ) -> Iterator[tuple[Column, Value, Value]]:
        for column in self.of.columns:
            before = old[column.key] if old is not None else self.blank[column.key]
            if column.key in said and not column.shown and not same(column, before, merged[column.key]):
                yield column, before if old is not None else None, merged[column.key]

    def _short_names_once(self, rows: list[PreviewRow]) -> list[PreviewRow]:
        """Two people who work here go by two short names."""
        touched = {row.pk for row in rows}
        taken = {values["short_name"] for row, values in self.on_file if not row.archived and row.pk not in touched}
        found = []
        for row in rows:
            short = row.merged.get("short_name")
            if not row.merged.get("archived") and short in taken and row.state != "wrong":
                heading = self.headings.get("short_name", _("short name"))
                wrong = _("somebody else here goes by this short name")
                fault = Fault(row.line, heading, str(short), wrong, _("choose another"))
                row = PreviewRow(row.line, "wrong", row.ref, row.name, row.changes, (fault,), row.pk, row.merged)
            if not row.merged.get("archived"):
                taken.add(short)
            found.append(row)
        return found

    def _fault(self, read: Row, key: str, wrong: str, remedy: str) -> Fault:
        heading = self.headings.get(key) or self.of.column(key).heading
        return Fault(read.line, heading, str(read.values.get(key) or ""), wrong, remedy)


def _merged_into(row: Any) -> Any:
    """The boat or owner that this one was found to be, None for all others."""
    return row.merged_into if getattr(row, "merged_into_id", None) is not None else None


def natural_key(of: ListOf, values: Mapping[str, Value]) -> tuple[Value, ...]:
    """What tells rows apart where no ref does."""

    def plain(key: str) -> Value:
        value = values.get(key)
        return " ".join(value.casefold().split()) if isinstance(value, str) else value

    match of.name:
        case "inventory":
            return (plain("boat"), plain("order"), plain("kind"), plain("name"))
        case "orders":
            return (plain("boat") or plain("walk_in_name"), plain("package") or plain("name"))
        case _:
            return (plain(of.name_key),)


def plain_keys(of: ListOf) -> frozenset[str]:
    """The columns that are fields of the row itself."""
    special = set(BOUND[of.name].special) - {"ref"}
    return frozenset(column.key for column in of.columns if column.key not in special)


def plain_fields(of: ListOf, values: Mapping[str, Value]) -> dict[str, Any]:
    """The row's own fields, as its model takes them."""
    model: Any = BOUND[of.name].model
    keys = plain_keys(of)
    return {key: model._meta.get_field(key).to_python(value) for key, value in values.items() if key in keys}


def blank_values(of: ListOf, model: Any) -> dict[str, Value]:
    """What a new row holds where its sheet says nothing."""
    plain = plain_keys(of)
    blank: dict[str, Value] = {}
    for column in of.columns:
        if column.key in ("skills", "licences", "hours", "operators", "options", "parts"):
            blank[column.key] = ()
        elif column.key in plain:
            about = model._meta.get_field(column.key)
            default = about.get_default()
            blank[column.key] = default.value if hasattr(default, "value") else default
        else:
            blank[column.key] = None
    return blank
