"""What one process of a run made, the next puts back; what was half written is nobody's."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.kept_rows import KeptRows
from yard.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def made() -> str:
    Person.objects.create(name="Wren")
    return "what make gave"


def never() -> str:
    raise AssertionError("made again")


def test_made_once_and_put_back(tmp_path: Path) -> None:
    first = KeptRows(tmp_path / "rows")
    assert first.there("wren", made) == "what make gave"
    Person.objects.all().delete()
    assert first.there("wren", never) == "what make gave"
    assert Person.objects.get().name == "Wren"


def test_another_process_finds_it(tmp_path: Path) -> None:
    KeptRows(tmp_path / "rows").there("wren", made)
    Person.objects.all().delete()
    assert KeptRows(tmp_path / "rows").there("wren", never) == "what make gave"
    assert Person.objects.get().name == "Wren"


def test_alone_it_looks_nowhere(tmp_path: Path) -> None:
    KeptRows(tmp_path / "rows").there("wren", made)
    with pytest.raises(AssertionError, match="made again"):
        KeptRows().there("wren", never)
