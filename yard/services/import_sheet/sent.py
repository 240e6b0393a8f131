"""A sheet that was sent: kept as it was read, with how its columns are matched, until it is saved or dropped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import HeadingMemory, SheetImport
from yard.sheets.columns import Column, ListOf
from yard.sheets.grid import Line, Sheet
from yard.sheets.headings import Match, Remembered, body_of, head_line, match, words_of
from yard.sheets.lists import LISTS
from yard.sheets.read_file import read_sheets

KEPT_DAYS = 30
"""How long a sheet that nobody saved is kept."""


class ImportRefused(Exception):
    """This cannot be done; the text says why and what to do. Nothing was saved."""


@dataclass(frozen=True)
class Chosen:
    """How a sheet is read: which sheet of the file, the line of its headings, its columns, what empty cells do."""

    sheet: int
    head: int
    matches: tuple[Match, ...]
    empty_clears: bool = False

    def as_json(self) -> dict[str, object]:
        columns = [asdict(one) for one in self.matches]
        return {"sheet": self.sheet, "head": self.head, "columns": columns, "empty_clears": self.empty_clears}


def send_sheet(
    of: ListOf, data: bytes, file_name: str, *, columns: Sequence[Column], by: User | None, now: datetime
) -> SheetImport:
    """Read a file and keep it, its columns matched as far as its words and the memory tell. Raises SheetRefused.

    columns: those that this person may bring in. Sheets that nobody saved are forgotten after a month.
    """
    sheets = read_sheets(data, file_name)
    named = [at for at, sheet in enumerate(sheets) if sheet.title.casefold() == of.english_title.casefold()]
    chosen = matches_of(of, sheets, named[0] if named else 0, None, columns)
    with transaction.atomic():
        SheetImport.objects.filter(state=SheetImport.State.SENT, sent_at__lt=now - timedelta(days=KEPT_DAYS)).delete()
        return SheetImport.objects.create(
            of=of.name,
            file_name=file_name[-120:] or _("sheet"),
            sheets=[_as_json(sheet) for sheet in sheets],
            choices=chosen.as_json(),
            sent_by=by,
            sent_at=now,
        )


def matches_of(of: ListOf, sheets: Sequence[Sheet], sheet: int, head: int | None, columns: Sequence[Column]) -> Chosen:
    """What a sheet's headings are taken for, by memory and by words. head: the line of the headings, told if None."""
    looked = sheets[sheet]
    line = head_line(looked, columns) if head is None else head
    memories = HeadingMemory.objects.filter(of=of.name)
    remembered = {one.words: Remembered(one.column, one.read_as) for one in memories}
    return Chosen(sheet, line, match(looked, line, columns, remembered))


@transaction.atomic
def choose(sent: SheetImport, chosen: Chosen) -> None:
    """Keep how this sheet is read, and remember each heading for the next one. Raises ImportRefused."""
    still_open(sent)
    sent.choices = chosen.as_json()
    sent.save(update_fields=["choices"])
    for one in chosen.matches:
        words = words_of(one.heading)
        if words and len(words) <= 80:
            HeadingMemory.objects.update_or_create(
                of=sent.of, words=words, defaults={"column": one.column, "read_as": one.read_as}
            )


@transaction.atomic
def drop(sent: SheetImport, *, by: User | None, now: datetime) -> None:
    """Forget a sheet that was not saved. Raises ImportRefused where it was."""
    still_open(sent)
    sent.state, sent.sheets = SheetImport.State.DROPPED, []
    sent.ended_by, sent.ended_at = by, now
    sent.save(update_fields=["state", "sheets", "ended_by", "ended_at"])


def still_open(sent: SheetImport) -> None:
    """Lock the sheet's row and look that nobody ended it meanwhile. Raises ImportRefused."""
    state = SheetImport.objects.select_for_update().values_list("state", flat=True).filter(pk=sent.pk).first()
    if state != SheetImport.State.SENT:
        words = SheetImport.State(state).label if state else _("forgotten")
        raise ImportRefused(_("This sheet is {state} already: nothing was done again.").format(state=words))


def sheets_of(sent: SheetImport) -> tuple[Sheet, ...]:
    """The sheets as they were read."""
    return tuple(
        Sheet(
            one["title"],
            tuple(Line(number, tuple(cells)) for number, cells in one["lines"]),
            tuple(one["remarks"]),
        )
        for one in sent.sheets
    )


def chosen_of(sent: SheetImport) -> Chosen:
    """How it is read."""
    kept = sent.choices
    return Chosen(kept["sheet"], kept["head"], tuple(Match(**one) for one in kept["columns"]), kept["empty_clears"])


def list_of(sent: SheetImport) -> ListOf:
    return LISTS[sent.of]


def body(sent: SheetImport) -> tuple[Line, ...]:
    """The lines under the headings."""
    chosen, sheets = chosen_of(sent), sheets_of(sent)
    return body_of(sheets[chosen.sheet], chosen.head) if sheets else ()


def _as_json(sheet: Sheet) -> dict[str, object]:
    lines = [[line.number, list(line.cells)] for line in sheet.lines]
    return {"title": sheet.title, "remarks": list(sheet.remarks), "lines": lines}
