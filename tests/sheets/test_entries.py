"""Licences and tackle in one cell: written and read again they are the same, whatever their texts hold."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.sheets.sheet_samples import csv_of, make_yard, save, send
from yard.models import Mooring, PersonSkill, TacklePart
from yard.queries.list_values import list_rows
from yard.services.import_sheet import preview_of
from yard.sheets.columns import CellRefused
from yard.sheets.entries import (
    CONDITIONS,
    PARTS,
    Licence,
    Tackle,
    licence_said,
    licences,
    one_line,
    tackle,
    tackle_said,
)
from yard.sheets.lists import LISTS
from yard.sheets.writing import Table, write_csv, write_xlsx

PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault
TEXT = st.one_of(
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=40),
    st.sampled_from(
        ["a; b", "until 2028-01-01", "note x", "3/8 in, worn", "\\", "a\\;", ": :", "=1", "laid 2020-01-01"]
    ),
).map(one_line)
DAY = st.just("") | st.dates(date(1990, 1, 1), date(2040, 1, 1)).map(date.isoformat)
LAID = st.tuples(DAY, DAY).map(lambda two: tuple(sorted(two)) if all(two) else two)
PART = st.builds(
    lambda kind, size, length, days, condition, note: Tackle(
        kind=kind, size=size, length_m=length, laid_on=days[0], inspected_on=days[1], condition=condition, note=note
    ),
    st.sampled_from(sorted(PARTS)),
    TEXT,
    st.none() | st.floats(0.01, 199.0).map(lambda value: round(value, 6)),
    LAID,
    st.sampled_from(["", *CONDITIONS]),
    TEXT,
)


@PATIENT
@given(PART)
def test_a_part_is_read_back(part):
    assert tackle_said(str(part)) == part


@PATIENT
@given(TEXT, DAY)
def test_a_licence_is_read_back(text, until):
    if text or until:
        one = Licence(skill="rigger", licence=text, until=until)
        assert licence_said(str(one)) == one


@PATIENT
@given(st.lists(PART, max_size=5))
def test_several_parts_in_one_cell_are_read_back_in_their_order(parts):
    assert tackle("; ".join(map(str, parts))) == tuple(map(str, parts))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("mushroom: 300 lb, laid 12 April 2021", "anchor or block: 300 lb, laid 2021-04-12"),
        ("Chain: 3/8 in, 30 ft, worn", "top chain: 3/8 in, 9.144 m, worn"),
        ("ball\npennant: 16 mm, 2.5 m, Inspected on 2026-05-11", "buoy; pendant: 16 mm, 2.5 m, inspected 2026-05-11"),
    ],
)
def test_tackle_as_a_yard_types_it(typed, kept):
    """A foot is 0.3048 m, exactly, since 1959: 30 ft are 9.144 m."""
    assert "; ".join(tackle(typed)) == kept


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("hawser: 20 mm", "no part of a mooring"),
        ("chain: 3/8 in, rusty", "not understood"),
        ("chain: 3/8 in, 9 m, 10 m", "said twice"),
        ("chain: 3/8 in, 900 m", "long"),
        ("chain: 3/8 in, laid 2026-05-01, inspected 2026-04-01", "before it was laid"),
        ("chain: 3/8 in, laid 2026-02-30", ""),
        ("chain: " + "x" * 61, "61 letters"),
    ],
)
def test_tackle_that_cannot_be_is_refused_with_its_remedy(typed, words):
    with pytest.raises(CellRefused) as refused:
        tackle(typed)
    assert words in refused.value.wrong
    assert refused.value.remedy


@PATIENT
@given(st.text(max_size=60) | st.lists(st.sampled_from([*"\\;,:\n 9", "chain", "laid ", "until ", "9 m"])).map("".join))
def test_whatever_is_typed_is_read_or_refused_and_nothing_else(text):
    for read in (tackle, lambda typed: licences(typed, str)):
        try:
            kept = read(text)
        except CellRefused:  # with its remedy: it cannot be made without one
            continue
        assert read("; ".join(kept)) == kept


@pytest.mark.parametrize("typed", ["rigger", "rigger: R-1, tomorrow", "rigger: a; rigger: b"])
def test_a_licence_that_cannot_be_is_refused(typed):
    with pytest.raises(CellRefused):
        licences(typed, str)


@pytest.mark.once
@pytest.mark.django_db
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    parts=st.lists(PART, max_size=3),
    text=TEXT,
    until=st.none() | st.dates(date(1990, 1, 1), date(2040, 1, 1)),
    feet=st.booleans(),
    write=st.sampled_from([write_csv, write_xlsx]),
)
def test_any_licence_and_any_tackle_exported_and_imported_again_is_unchanged(parts, text, until, feet, write):
    with transaction.atomic():
        make_yard()
        PersonSkill.objects.update(licence=text, licence_until=until)
        mooring = Mooring.objects.get()
        for part in parts:
            TacklePart.objects.create(
                mooring=mooring,
                kind=part.kind,
                size=part.size,
                length_m=part.length_m,
                laid_on=part.laid_on or None,
                inspected_on=part.inspected_on or None,
                condition=part.condition,
                note=part.note,
            )
        for name in ("people", "moorings"):
            of = LISTS[name]
            table = Table(of.title, of.columns, tuple(values for _, values in list_rows(of)), feet)
            states = [(row.state, row.faults) for row in preview_of(send(name, write(table)), private=True).rows]
            assert states == [("unchanged", ())]
        transaction.set_rollback(True)


@pytest.mark.django_db
def test_a_part_that_the_sheet_leaves_out_was_taken_up_and_a_licence_needs_its_skill():
    make_yard()
    save(send("moorings", csv_of(["ref", "tackle parts"], ["M-1", "chain: 1/2 in, 30 ft"])))
    lies = TacklePart.objects.filter(taken_up_on=None)
    assert [(part.size, part.length_m) for part in lies] == [("1/2 in", 9.144)]
    assert TacklePart.objects.exclude(taken_up_on=None).count() == 2
    [row] = preview_of(
        send("people", csv_of(["name", "skills", "licences"], ["Tom Reed", "", "rigger: R-2"])), private=True
    ).rows
    assert row.state == "changed"
    [row] = preview_of(send("people", csv_of(["name", "licences"], ["Ines Moor", "rigger: R-2"])), private=True).rows
    assert "no skill of this person" in row.faults[0].wrong
