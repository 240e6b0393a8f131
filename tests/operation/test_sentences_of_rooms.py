"""The rooms without Django say no sentence past gettext: every text in their code is looked at.

What need not be said: names of what stands in a solver's model, helps of a command line, and errors for programmers,
named here by their class. Whatever else is raised is read by people.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

YARD = Path(__file__).resolve().parents[2] / "yard"
ROOMS = ("cutting", "planning", "promise", "stowing", "tides", "weather")
SAYING = {"_", "ngettext", "pgettext", "gettext_noop"}
FOR_PROGRAMMERS = {
    *(
        "AssertionError",
        "KeyError",
        "LookupError",
        "RuntimeError",
        "ValueError",
        "BackendMissing",
        "CannotExpress",
        "ModelInvalid",
    ),
    *("FaultyStowing", "PlanBroken", "WrongStep"),  # a plan of ours that its own check refuses
    *("ClimateNotRead", "FreezeNotRead", "SeasonInvalid", "StoreInvalid"),  # made by us, of rows and shipped files
}
NAMES_IN_A_MODEL = {"new_bool_var", "new_int_var", "interval", "fixed"}
HELPS = {"ArgumentParser", "add_parser", "add_argument", "_Parser"}
NOT_SHOWN = {
    "planning/rules.py": "the table of rules: what the names mean to contributors",
    "cutting/nest.py": "how a plan was found: kept with it and shown on no page",
    "promise/bench.py": "figures for contributors",
    "promise/season.py": "what is wrong with plain values that services made",
    "tides/bench.py": "figures for contributors",
}
NOT_ENGLISH = {"yard season planner (…)"}  # what a weather service is told that we are
SENTENCE = re.compile(r"\b[A-Za-z]{2,}(?:,?[ …]+[a-z]{2,}){2,}")


def text_of(node: ast.AST) -> str:
    """A text as it is written, with … where something is filled in; "" for what is none."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values)
    return ""


def called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")


def unsaid(node: ast.AST) -> Iterator[str]:
    """Sentences under a node that nothing says."""
    if isinstance(node, ast.Call) and called(node) in SAYING | NAMES_IN_A_MODEL | HELPS | FOR_PROGRAMMERS:
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    if SENTENCE.search(text := text_of(node)) and text not in NOT_ENGLISH:
        yield f"{getattr(node, 'lineno', 0)}: {text}"
    for child in ast.iter_child_nodes(node):
        if not (isinstance(node, ast.JoinedStr) and isinstance(child, ast.Constant)):
            yield from unsaid(child)


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_is_past_gettext(room: str) -> None:
    found = {
        str(path.relative_to(YARD)): list(unsaid(ast.parse(path.read_text(encoding="utf-8"))))
        for path in sorted((YARD / room).rglob("*.py"))
    }
    assert {path: texts for path, texts in found.items() if texts and path not in NOT_SHOWN} == {}
    assert [path for path in NOT_SHOWN if path.startswith(f"{room}/") and not found[path]] == []


def test_what_is_found_and_what_is_not() -> None:
    code = """
def f(boat):
    \"\"\"This is a docstring.\"\"\"
    yield f"{boat} waits for her mast"
    yield _("{boat} waits for her mast").format(boat=boat)
    raise ValueError("no boat has such a mast")
    raise Refused("no boat has such a mast")
"""
    assert list(unsaid(ast.parse(code))) == ["4: … waits for her mast", "7: no boat has such a mast"]
