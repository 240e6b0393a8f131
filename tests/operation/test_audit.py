"""The audit of libraries says what it found, and never takes nobody's answer for a good one."""

from __future__ import annotations

from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest

PATH = Path(__file__).parent.parent.parent / ".ci" / "audit"
FLAW = {"id": "PYSEC-0", "fix_versions": ["2.0"]}
WELL = {"name": "django", "version": "5.2", "vulns": []}
UNKNOWN = {"name": "numpy", "skip_reason": "not found"}


@pytest.fixture
def audit() -> ModuleType:
    spec = spec_from_loader("audit", SourceFileLoader("audit", str(PATH)))
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("found", "verdict", "words"),
    [
        ([WELL, {"name": "yard", "skip_reason": "not found"}], 0, "1 libraries, no known flaw"),
        ([WELL, {"name": "old", "version": "1.0", "vulns": [FLAW]}], 1, "old 1.0: PYSEC-0, mended in 2.0"),
        ([UNKNOWN, {"name": "old", "version": "1.0", "vulns": [FLAW]}], 1, "old 1.0: PYSEC-0, mended in 2.0"),
        ([WELL, UNKNOWN], 3, "1 of 2 libraries are unknown to the source"),
        ([], 3, "0 of 0 libraries are unknown to the source"),
        (None, 3, "not audited: no advisory source reachable"),
    ],
)
def test_what_the_audit_makes_of_an_answer(audit, monkeypatch, capsys, found, verdict, words):
    monkeypatch.setattr(audit, "asked", lambda python, source: found)
    assert audit.main("python") == verdict
    assert words in capsys.readouterr().out
