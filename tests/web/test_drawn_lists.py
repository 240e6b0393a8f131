"""What draws the cells of a list is inspected once a column, and is given what it names."""

from __future__ import annotations

import inspect
from typing import Any

import django_tables2 as tables
import pytest

from yard.web.tables.yard_table import YardTable


class Hulls(YardTable):
    """A column of each way of being drawn."""

    name = tables.Column()
    length = tables.Column(default="–")
    draft = tables.Column()
    beam = tables.TemplateColumn("{{ value }} m")

    def render_name(self, value: str, record: dict[str, Any], column: tables.Column, bound_row: Any) -> str:
        return f"{value} of {record['yard']}, {column.__class__.__name__} {bound_row.record['name']}"

    def render_length(self, **cell: Any) -> str:
        return f"{cell['value']} {sorted(cell)}"


def cells(count: int) -> list[list[Any]]:
    rows = [{"name": f"B{n}", "yard": "Creek", "length": n or None, "draft": 1.5, "beam": n} for n in range(count)]
    table = Hulls(rows)
    table.paginate()
    return [[cell for _head, cell in line] for _attrs, line in table.lines()]


def test_each_way_of_drawing_is_given_what_it_names() -> None:
    first, second = cells(2)
    assert first == ["B0 of Creek, Column B0", "–", 1.5, "0 m"]
    names = ["bound_column", "bound_row", "column", "record", "table", "value"]
    assert second == ["B1 of Creek, Column B1", f"1 {names}", 1.5, "1 m"]


def test_many_rows_are_inspected_as_often_as_few(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    look = inspect._signature_from_function  # type: ignore[attr-defined]  # below every way of asking for a signature
    monkeypatch.setattr(
        inspect, "_signature_from_function", lambda *args, **more: asked.append(args) or look(*args, **more)
    )
    Plain = type("Plain", (YardTable,), {"name": tables.Column(), "draft": tables.Column()})
    counts = []
    for many in (1, 30):
        asked.clear()
        table = Plain([{"name": f"B{n}", "draft": 1.5} for n in range(many)])
        table.paginate()
        assert len([line for _attrs, line in table.lines()]) == min(many, 25)
        counts.append(len(asked))
    assert counts[0] == counts[1] > 0
