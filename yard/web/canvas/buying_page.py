"""Lines of the buying list in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django import forms

from yard.models import Purchase
from yard.queries.buying import Line
from yard.web.canvas.tape import needed_words
from yard.web.orders.form import DayField


class ArrivalForm(forms.Form):
    """When the supplier says that it comes; empty: their usual days."""

    expected = DayField("Expected")
    told_by = forms.CharField(required=False, max_length=120)

    def clean_expected(self) -> date | None:
        day: date | None = self.cleaned_data["expected"]
        if day is not None and not 2000 <= day.year <= 2100:
            raise forms.ValidationError(f"The year {day.year} cannot be right.")
        return day


@dataclass(frozen=True)
class LineRow:
    """late: what is wrong with its day, in words; "" where nothing is. whose: whom it delays."""

    line: Line
    quantity: str
    late: str
    whose: str

    @property
    def purchase(self) -> Purchase:
        return self.line.purchase


def line_rows(lines: Sequence[Line], *, inches: bool) -> list[LineRow]:
    return [_row(line, inches) for line in lines]


def _row(line: Line, inches: bool) -> LineRow:
    row = line.purchase
    quantity = needed_words(row.quantity, foam=row.material.is_counted, inches=inches, one=row.material.counted_in)
    return LineRow(line, quantity, _late(line), row.order.boat.name if row.order.boat else f"order {row.order.ref}")


def _late(line: Line) -> str:
    if line.closed:
        return f"Its order is {line.purchase.order.get_state_display()}: “Not wanted” frees it for others"
    days = f"{line.days_late} day{'' if line.days_late == 1 else 's'}"
    if line.overdue:
        return "Its day has passed: ask where it is" + (f"; already {days} too late" if line.days_late else "")
    if line.days_late and line.purchase.state == Purchase.State.TO_ORDER:
        return f"Ordered today it comes {days} too late, as usual"
    if line.days_late:
        return f"Comes {days} too late"
    if line.past_sure_days:
        return "Order it today: in time with the usual days, too late with the most"
    return ""
