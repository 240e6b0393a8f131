"""Columns of what is used of what there is: heights in proportion, a full week marked twice."""

from __future__ import annotations

from datetime import date

import pytest

from yard.pictures.load_weeks import HEIGHT, UseRow, WeekUse, lay_out_head, lay_out_row
from yard.pictures.shapes import PictureValueError

MAY = date(2027, 5, 3)
JUNE = date(2027, 6, 7)


def test_heights_stand_in_proportion() -> None:
    picture = lay_out_row(UseRow("Rigger", "hours", (WeekUse(MAY, 10, 40), WeekUse(JUNE, 0, 20))))
    one, two = picture.columns
    assert (one.ground.height, one.used.height, two.ground.height, two.used.height) == (HEIGHT, 8.5, 17.0, 0.0)
    assert one.ground.bottom == one.used.bottom == two.ground.bottom
    assert one.title == "Week of 3 May: 10 of 40 hours"


def test_a_full_week_has_a_mark_and_not_colour_alone() -> None:
    picture = lay_out_row(UseRow("Rigger", "hours", (WeekUse(MAY, 38, 40), WeekUse(JUNE, 37, 40))))
    assert [bool(column.mark) for column in picture.columns] == [True, False]
    assert picture.summary == "Rigger: full in the week of 3 May."


def test_what_is_used_where_nothing_is_counts_as_full() -> None:
    assert WeekUse(MAY, 1, 0).is_full
    assert not WeekUse(MAY, 0, 0).is_full


def test_months_head_the_first_week_of_each() -> None:
    head = lay_out_head((MAY, date(2027, 5, 10), JUNE))
    assert [label.text for label in head.labels] == ["May", "Jun"]


def test_nothing_is_below_nothing() -> None:
    with pytest.raises(PictureValueError, match="below nothing"):
        WeekUse(MAY, -1, 3)
