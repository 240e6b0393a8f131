"""Columns of a list that somebody asks to see, named in the address, so that a bookmark and a sheet have them too."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

SHOW = "show"


@dataclass(frozen=True, slots=True)
class ColumnChoice:
    name: str
    label: str
    shown: bool


def choose_columns(request: HttpRequest, table: Any) -> tuple[ColumnChoice, ...]:
    """Leave out of the table what the address does not ask for, and give the choices. The row's heading always stands.

    An address that names none of its columns shows all that the table shows of itself.
    """
    known = [name for name in table.sequence if name != table.row_heading and name not in table.exclude]
    asked = [name for name in request.GET.getlist(SHOW) if name in known]
    choices = tuple(
        ColumnChoice(name, str(table.columns[name].header), name in asked if asked else True) for name in known
    )
    for choice in choices:
        if not choice.shown:
            table.columns.hide(choice.name)
            table.columns[choice.name].column.exclude_from_export = True
    return choices
