"""A list as a sheet of comma-separated values."""

from __future__ import annotations

import csv
from typing import Any

from django.http import HttpResponse

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for a formula; text that begins so is given an apostrophe (OWASP, CSV injection)."""


def as_csv(table: Any, name: str) -> HttpResponse:
    """All rows of a table in its order, whatever page it stands on. UTF-8 with its mark, for spreadsheets."""
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.write("\ufeff")
    writer = csv.writer(answer)
    for row in table.as_values(exclude_columns=table.hidden):
        writer.writerow([_plain(cell) for cell in row])
    return answer


def _plain(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell
