"""What holds for every cell and every sheet: written and read again it is the same; all of a sheet is saved, or none."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.sheets.sheet_samples import NOW, csv_of, make_yard, save, send
from yard.models import Boat, checks
from yard.queries.list_values import BOUND, list_rows
from yard.services.import_sheet import ImportRefused, preview_of
from yard.sheets.columns import Kind
from yard.sheets.dates import Order, day
from yard.sheets.grid import guarded, needs_guard, take_guard_off, tidy
from yard.sheets.hours import week, week_in_words
from yard.sheets.lists import LISTS
from yard.sheets.measures import measure
from yard.sheets.writing import Table, in_words, write_csv, write_xlsx

LENGTH = LISTS["boats"].column("length_m")
SHOWN = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=40)
HARD = st.one_of(
    SHOWN, st.sampled_from(["=1+1", "+44", "-x", "@sum", "'=a", "''+b", "'tis", "?", "a\nb", "1e5", "007"])
)


@given(HARD.map(tidy))
def test_the_guard_is_put_on_and_taken_off_without_a_trace(text):
    assert take_guard_off(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@"))
    assert needs_guard(guarded(text)) == needs_guard(text)


@given(
    st.integers(0, 900),
    st.integers(0, 11),
    st.sampled_from(["{f}'{i}\"", "{f} ft {i} in", "{f}' {i}''", "{f}ft{i}", "{f}′{i}″"]),
)
def test_feet_and_inches_are_inches(feet, inches, way):
    # An inch is 0.0254 m, exactly, since 1959.
    assert measure(way.format(f=feet, i=inches), LENGTH, "") == pytest.approx((feet * 12 + inches) * 0.0254)


@given(st.dates(date(1950, 1, 1), date(2099, 12, 31)))
def test_a_day_is_read_in_every_way_of_writing_it(when):
    for way in ("%Y-%m-%d", "%d %B %Y", "%B %d, %Y", "%d-%b-%Y", "%a %d %b %Y"):
        assert day(when.strftime(way), "") == when.isoformat()
    assert day(when.strftime("%d/%m/%Y"), Order.DAY_FIRST) == when.isoformat()
    assert day(when.strftime("%m/%d/%Y"), Order.MONTH_FIRST) == when.isoformat()


@given(st.dictionaries(st.integers(0, 6), st.tuples(st.integers(0, 40), st.integers(41, 80)), max_size=7))
def test_hours_of_a_week_are_read_back(days):
    def clock(quarter: int) -> str:
        return f"{quarter // 4:02d}:{quarter % 4 * 15:02d}"

    stretches = tuple(sorted(f"{weekday} {clock(a)} {clock(b)}" for weekday, (a, b) in days.items()))
    assert week(week_in_words(stretches)) == stretches if stretches else week_in_words(stretches) == ""


@pytest.mark.once
@pytest.mark.django_db
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=HARD.filter(lambda text: tidy(text)),
    notes=HARD,
    length=st.floats(2, 44),
    mass=st.none() | st.floats(20, 200_000),
    feet=st.booleans(),
    write=st.sampled_from([write_csv, write_xlsx]),
)
def test_any_boat_exported_and_imported_again_is_unchanged(name, notes, length, mass, feet, write):
    with transaction.atomic():
        Boat.objects.create(ref="any", name=name, notes=notes, length_m=length, beam_m=length / 3, displacement_kg=mass)
        of = LISTS["boats"]
        table = Table(of.title, of.columns, tuple(values for _, values in list_rows(of)), feet)
        [row] = preview_of(send("boats", write(table)), private=True).rows
        assert row.state == "unchanged", (row.faults, row.changes)
        transaction.set_rollback(True)


@pytest.mark.once
@pytest.mark.django_db
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    good=st.integers(0, 6),
    wrong=st.lists(st.sampled_from(["abc", "900 m", "", "12", "28'99\""]), max_size=2),
    at=st.integers(0, 6),
)
def test_all_of_a_sheet_is_saved_or_none(good, wrong, at):
    with transaction.atomic():
        make_yard()
        rows = [[f"Boat {number}", "8 m", "2 m"] for number in range(good)]
        rows[at:at] = [[f"Wrong {number}", length, "2 m"] for number, length in enumerate(wrong)]
        before = Boat.objects.count()
        if rows:
            sent = send("boats", csv_of(["name", "length", "beam"], *rows))
            try:
                save(sent)
            except ImportRefused:
                assert wrong or not good
            expected = 0 if wrong else good
            assert Boat.objects.count() == before + expected
            assert (
                Boat.history.filter(history_date=NOW, history_change_reason__startswith="from the sheet").count()
                == expected
            )
        transaction.set_rollback(True)


@pytest.mark.parametrize("name", LISTS)
def test_the_words_of_a_choice_are_those_of_the_rows(name):
    for column in LISTS[name].columns:
        if column.kind is Kind.CHOICE and column.key not in BOUND[name].special:
            choices = BOUND[name].model._meta.get_field(column.key).choices
            assert {value: words[0] for value, words in column.choices.items()} == dict(choices), column.key


def test_the_limits_of_a_boat_are_those_of_the_rows():
    for key, limits in (
        ("length_m", checks.length_in_range),
        ("beam_m", checks.beam_in_range),
        ("draft_m", checks.draft_in_range),
        ("displacement_kg", checks.displacement_in_range),
        ("mast_height_m", checks.mast_in_range),
    ):
        column = LISTS["boats"].column(key)
        assert [column.least, column.most] == [limit.limit_value for limit in limits]


def test_no_heading_means_two_columns_of_a_list():
    from yard.sheets.headings import column_for

    for of in LISTS.values():
        for column in of.columns:
            assert column_for(column.heading, of.columns) is column, (of.name, column.heading)


@pytest.mark.parametrize(
    ("kg", "feet", "words"),
    [
        # a pound is 0.45359237 kg: 4690 kg are 10,339.68 lb, 40 kg 88.18 lb
        (4690.0, True, "10,340 lb"),
        (4690.4, False, "4,690 kg"),
        (40.0, True, "88.18 lb"),
        (99.96, False, "99.96 kg"),
    ],
)
def test_a_mass_is_read_as_people_write_it_and_typed_again_means_the_same(kg, feet, words):
    column = LISTS["boats"].column("displacement_kg")
    assert in_words(column, kg, feet=feet) == words
    assert measure(words, column, "") == pytest.approx(kg, abs=0.5)
