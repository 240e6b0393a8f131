"""The form that says which column of a sheet is which of ours, and how its bare numbers and dates are read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import SheetImport
from yard.services.import_sheet.sent import Chosen, choose, chosen_of, list_of, matches_of, sheets_of
from yard.sheets.columns import Column, Kind
from yard.sheets.dates import Order
from yard.sheets.headings import Match, body_of, cells_at, question_of
from yard.sheets.measures import UNITS

UNIT_WORDS = {
    "m": gettext_lazy("metres"),
    "cm": gettext_lazy("centimetres"),
    "mm": gettext_lazy("millimetres"),
    "ft": gettext_lazy("feet"),
    "in": gettext_lazy("inches"),
    "kg": gettext_lazy("kilograms"),
    "t": gettext_lazy("tonnes"),
    "lb": gettext_lazy("pounds"),
    "m2": gettext_lazy("square metres"),
    "ft2": gettext_lazy("square feet"),
}
ORDER_WORDS = {
    Order.DAY_FIRST.value: gettext_lazy("day first: 06/05 is 6 May"),
    Order.MONTH_FIRST.value: gettext_lazy("month first: 06/05 is 5 June"),
}
READ_AS = [
    ("", gettext_lazy("as each cell says")),
    (gettext_lazy("Bare numbers are"), [(unit, UNIT_WORDS[unit]) for units in UNITS.values() for unit in units]),
    (gettext_lazy("Dates have the"), list(ORDER_WORDS.items())),
]
SAMPLES = 3


@dataclass(frozen=True)
class SheetColumn:
    """A column of the sheet on the page: its heading, what stands in it, its two fields, and what is asked."""

    match: Match
    samples: tuple[str, ...]
    column: forms.BoundField
    read_as: forms.BoundField
    question: str
    told: str
    reads: bool


class ColumnsForm(forms.Form):
    """One pair of fields for each column of the sheet. look: another sheet, or another line of headings, to look at."""

    empty_clears = forms.BooleanField(
        required=False, label=gettext_lazy("An empty cell empties what is on file (otherwise it leaves it as it is)")
    )

    def __init__(
        self,
        sent: SheetImport,
        columns: Sequence[Column],
        data: Mapping[str, str] | None = None,
        *,
        look: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(data)
        self.sent, self.of = sent, list_of(sent)
        self.asked = [one for one in columns if not one.shown]
        self.sheets = sheets_of(sent)
        self.chosen = self._looked_at(look or {}, data or {})
        self.lines = body_of(self.sheets[self.chosen.sheet], self.chosen.head)
        self.fields["empty_clears"].initial = self.chosen.empty_clears
        for one in self.chosen.matches:
            self.fields[f"column-{one.at}"] = forms.ChoiceField(
                choices=[("", _("left out")), *((column.key, column.heading) for column in self.asked)],
                required=False,
                initial=one.column,
                label=_("{heading} is").format(heading=_named(one)),
            )
            self.fields[f"read-{one.at}"] = forms.ChoiceField(
                choices=READ_AS,
                required=False,
                initial=one.read_as,
                label=_("Numbers and dates of {heading}").format(heading=_named(one)),
            )
        for name, field in self.fields.items():
            if name != "empty_clears":
                field.widget.attrs["class"] = "field"

    def _looked_at(self, look: Mapping[str, str], data: Mapping[str, str]) -> Chosen:
        kept = chosen_of(self.sent)
        sheet = _number(data.get("sheet") or look.get("sheet"), kept.sheet, len(self.sheets))
        heads = [line.number for line in self.sheets[sheet].lines]
        asked = data.get("head") or look.get("head")
        if asked is None and sheet == kept.sheet:
            return kept
        head = int(asked) if asked and asked.isdecimal() and len(asked) < 8 and int(asked) in heads else None
        if sheet == kept.sheet and head == kept.head:
            return kept
        return matches_of(self.of, self.sheets, sheet, head, self.asked)

    @property
    def settled(self) -> bool:
        """Whether every column is known, and nothing must be asked, so that nobody need look at this page."""
        return all(one.sure for one in self.chosen.matches) and not any(row.question for row in self.rows)

    @property
    def rows(self) -> list[SheetColumn]:
        """The columns of the sheet as the page shows them."""
        return [self._row(one) for one in self.chosen.matches]

    def _row(self, one: Match) -> SheetColumn:
        texts = cells_at(self.lines, one.at)
        column = next((column for column in self.asked if column.key == one.column), None)
        question = question_of(one, column, texts) if column is not None else ""
        return SheetColumn(
            one,
            tuple(dict.fromkeys(texts))[:SAMPLES],
            self[f"column-{one.at}"],
            self[f"read-{one.at}"],
            question,
            one.told if one.read_as else "",
            column is None or column.measured or column.kind is Kind.DATE,
        )

    @property
    def missing(self) -> list[str]:
        """Headings that a new row needs and no column is matched to."""
        matched = {one.column for one in self.chosen.matches}
        return [column.heading for column in self.asked if column.needed and column.key not in matched]

    @property
    def head_lines(self) -> list[tuple[int, str]]:
        """The first lines, among which the headings are."""
        lines = self.sheets[self.chosen.sheet].lines[:12]
        return [(line.number, ", ".join(filter(None, line.cells))[:60]) for line in lines]

    def clean(self) -> dict[str, object]:
        values = super().clean() or {}
        taken: dict[str, str] = {}
        for one in self.chosen.matches:
            key = values.get(f"column-{one.at}")
            if key and key in taken:
                heading = self.of.column(key).heading
                self.add_error(
                    f"column-{one.at}",
                    _("“{other}” is matched to {heading} already: leave one of them out.").format(
                        other=taken[key], heading=heading
                    ),
                )
            elif key:
                taken[key] = one.heading
                self._check_reading(one, self.of.column(key), str(values.get(f"read-{one.at}") or ""))
        return values

    def _check_reading(self, one: Match, column: Column, read_as: str) -> None:
        fitting = UNITS.get(column.kind, ORDER_WORDS if column.kind is Kind.DATE else {})
        if read_as and fitting and read_as not in fitting:
            self.add_error(
                f"read-{one.at}",
                _("{heading} is not read in this: choose another.").format(heading=capfirst(column.heading)),
            )

    def keep(self) -> None:
        """Keep and remember it. Raises ImportRefused where the sheet was ended meanwhile."""
        values = self.cleaned_data
        matches = tuple(
            Match(
                one.at,
                one.heading,
                values[f"column-{one.at}"],
                self._reading(one, values),
                sure=True,
                told=_("as chosen here") if self._reading(one, values) else "",
            )
            for one in self.chosen.matches
        )
        choose(self.sent, Chosen(self.chosen.sheet, self.chosen.head, matches, values["empty_clears"]))

    def _reading(self, one: Match, values: Mapping[str, str]) -> str:
        key = values[f"column-{one.at}"]
        column = self.of.column(key) if key else None
        reads = column is not None and (column.measured or column.kind is Kind.DATE)
        return values[f"read-{one.at}"] if reads else ""


def _named(one: Match) -> str:
    return one.heading or _("column {number}").format(number=one.at + 1)


def _number(text: str | None, otherwise: int, below: int) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 4 and int(text) < below else otherwise
