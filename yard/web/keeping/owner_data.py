"""The personal data of an owner as a sheet: a line for each value that is not empty."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from yard.services.personal_data.kept import KeptData
from yard.sheets.columns import Column, Value
from yard.sheets.writing import Table

COLUMNS = (
    Column(key="table", heading="table"),
    Column(key="row", heading="row"),
    Column(key="column", heading="column"),
    Column(key="value", heading="value"),
)


def as_table(kept: KeptData) -> Table:
    return Table("personal data", COLUMNS, tuple(_lines(kept)), feet=False)


def _lines(kept: KeptData) -> Iterator[Mapping[str, Value]]:
    for table in kept.tables:
        for row in table.rows:
            key = str(row.get("id", row.get("history_id", "")))
            for column, value in row.items():
                if value not in (None, "", [], {}):
                    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
                    yield {"table": table.name, "row": key, "column": column, "value": text}
    for each in kept.mentions:
        yield {"table": each.table, "row": each.row, "column": each.column, "value": each.words}
