"""What a sheet would change, and what it changed, as pages show it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils.translation import gettext_noop

from yard.models import SheetImport
from yard.services.import_sheet import Counts, Preview, PreviewRow
from yard.services.import_sheet.sent import list_of
from yard.sheets.reading import Fault
from yard.sheets.writing import in_words

PER_PAGE = 100
STATES = (gettext_noop("wrong"), gettext_noop("new"), gettext_noop("changed"), gettext_noop("unchanged"))
"""Codes; the page says each in the yard's language."""


@dataclass(frozen=True)
class ShownChange:
    """A field of a row: what it was, and what the sheet says."""

    heading: str
    old: str
    new: str


@dataclass(frozen=True)
class ShownRow:
    """A row of the page. line: of the sheet, 0 once it is saved."""

    line: int
    state: str
    ref: str
    name: str
    changes: tuple[ShownChange, ...]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class PreviewPage:
    """show: the state that is shown, or "" for all. tabs: (state, how many)."""

    preview: Preview
    counts: Counts
    show: str
    tabs: tuple[tuple[str, int], ...]
    rows: tuple[ShownRow, ...]
    page: Page[PreviewRow]

    @property
    def total(self) -> int:
        return len(self.preview.rows)

    @property
    def may_save(self) -> bool:
        return not self.counts.wrong and self.counts.new + self.counts.changed > 0


def preview_page(preview: Preview, asked: Mapping[str, str], *, feet: bool) -> PreviewPage:
    """One page of a hundred rows; the wrong ones first, where there are any and nothing else is asked."""
    counts = preview.counts
    show = asked.get("show", "wrong" if counts.wrong else "")
    show = show if show in STATES else ""
    kept = [row for row in preview.rows if not show or row.state == show]
    page = Paginator(kept, PER_PAGE).get_page(asked.get("page"))
    tabs = tuple((state, int(getattr(counts, state))) for state in STATES)
    return PreviewPage(preview, counts, show, tabs, tuple(_shown(row, feet=feet) for row in page), page)


def _shown(row: PreviewRow, *, feet: bool) -> ShownRow:
    changes = tuple(
        ShownChange(column.heading, in_words(column, old, feet=feet), in_words(column, new, feet=feet))
        for column, old, new in row.changes
    )
    return ShownRow(row.line, row.state, row.ref, row.name, changes, row.faults)


def saved_page(sent: SheetImport, *, private: bool, feet: bool) -> list[ShownRow]:
    """What a saved sheet changed; private columns only for those who may see them."""
    of = list_of(sent)
    columns = {column.key: column for column in of.open_to(private=private)}

    def words(key: str, value: Any) -> str:
        return in_words(columns[key], tuple(value) if isinstance(value, list) else value, feet=feet)

    return [
        ShownRow(
            0,
            "new" if entry["new"] else "changed",
            entry["ref"],
            entry["name"] if private or not of.column("ref").private else entry["ref"],
            tuple(
                ShownChange(columns[key].heading, words(key, entry["old"].get(key)), words(key, value))
                for key, value in entry["values"].items()
                if key in columns
            ),
        )
        for entry in sent.changes
    ]
