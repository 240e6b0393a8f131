"""Lines of the buying list in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Purchase
from yard.queries.buying import Line
from yard.web.canvas.tape import needed_words
from yard.web.orders.form import DayField


class ArrivalForm(forms.Form):
    """When the supplier says that it comes; empty: their usual days."""

    expected = DayField(gettext_lazy("Expected"))
    told_by = forms.CharField(required=False, max_length=120)

    def clean_expected(self) -> date | None:
        day: date | None = self.cleaned_data["expected"]
        if day is not None and not 2000 <= day.year <= 2100:
            raise forms.ValidationError(_("The year {year} cannot be right.").format(year=day.year))
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
    whose = row.order.boat.name if row.order.boat else _("order {ref}").format(ref=row.order.ref)
    return LineRow(line, quantity, _late(line), whose)


def _late(line: Line) -> str:
    if line.closed:
        state = line.purchase.order.get_state_display()
        return _("Its order is {state}: “Not wanted” frees it for others").format(state=state)
    days = line.days_late
    if line.overdue and not days:
        return _("Its day has passed: ask where it is")
    if line.overdue:
        return ngettext(
            "Its day has passed: ask where it is; already {n} day too late",
            "Its day has passed: ask where it is; already {n} days too late",
            days,
        ).format(n=days)
    if days and line.purchase.state == Purchase.State.TO_ORDER:
        return ngettext(
            "Ordered today it comes {n} day too late, as usual",
            "Ordered today it comes {n} days too late, as usual",
            days,
        ).format(n=days)
    if days:
        return ngettext("Comes {n} day too late", "Comes {n} days too late", days).format(n=days)
    if line.past_sure_days:
        return _("Order it today: in time with the usual days, too late with the most")
    return ""
