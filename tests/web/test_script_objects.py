"""No object of the site's scripts takes names that it read into a prototype (OWASP ASVS 5.0, 15.3.6)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "yard" / "static"
WRITTEN = re.compile(r"\b(\w+)\[(?!\d|[\"'])[^\]]+\](?:\[[^\]]+\])?\s*=(?!=)")
"""What is written to under a name that was worked out."""


def filled_by_name(script: str) -> set[str]:
    """The objects filled under worked-out names that do have a prototype: made by braces, or not made here."""
    bare = set(re.findall(r"\b(\w+) = Object\.create\(null\)", script))
    lists = set(re.findall(r"\b(\w+) = (?:\[|new Uint8Array|\w+\.concat|\w+\.slice)", script))
    return {match.group(1) for match in WRITTEN.finditer(script)} - bare - lists


@pytest.mark.parametrize("path", sorted(FOLDER.rglob("*.js")), ids=lambda path: path.name)
def test_none_is_filled_by_names_that_were_read(path: Path) -> None:
    assert filled_by_name(path.read_text()) == set()


def test_one_that_is_would_be_found() -> None:
    assert filled_by_name("var f = {}; list.forEach(function (p) { f[p.name] = p.value; });") == {"f"}
    assert filled_by_name("var f = Object.create(null); f[name] = 1; var a = [1]; a[i] = 2; b[0] = 3;") == set()
