"""Style sheets say nothing that no page asks for, and nothing twice."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHEETS = {path.name: path.read_text(encoding="utf-8") for path in (ROOT / "yard" / "static" / "yard").glob("*.css")}
OF_LIBRARIES = {"errorlist": "Django", "nonfield": "Django", "htmx-request": "htmx"}


def plain(sheet: str) -> str:
    return re.sub(r"/\*.*?\*/", "", sheet, flags=re.S)


def sources() -> str:
    """All that may name a class: templates, pages, scripts."""
    found = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "yard").rglob("*.py"), *(ROOT / "yard").rglob("*.js")]
    return "\n".join(path.read_text(encoding="utf-8") for path in found)


def classes(sheet: str) -> set[str]:
    return {
        name for head in re.findall(r"([^{}]+)\{", plain(sheet)) for name in re.findall(r"\.([A-Za-z][\w-]*)", head)
    }


def named(name: str, words: set[str], text: str) -> bool:
    """As a word, or put together of a beginning and what is filled in: `is-{{ row.state }}`, `f"t-{group}"`."""
    beginnings = [name[: at + 1] for at, letter in enumerate(name) if letter == "-"]
    return name in words or any(re.search(rf"(?<![\w-]){re.escape(each)}\{{", text) for each in beginnings)


def test_every_class_is_one_that_a_page_can_have():
    text = sources()
    words = set(re.findall(r"[\w-]+", text)) | set(OF_LIBRARIES)
    unused = {sheet: {name for name in classes(said) if not named(name, words, text)} for sheet, said in SHEETS.items()}
    assert {sheet: names for sheet, names in unused.items() if names} == {}


def rules(sheet: str) -> Iterator[tuple[str, str]]:
    """Selector and declarations, outside of any @media."""
    depth, start, head = 0, 0, ""
    text = plain(sheet)
    for at, letter in enumerate(text):
        if letter == "{":
            if depth == 0:
                head, start = " ".join(text[start:at].split()), at + 1
            depth += 1
        elif letter == "}":
            depth -= 1
            if depth == 0:
                if not head.startswith("@"):
                    yield head, "; ".join(sorted(" ".join(each.split()) for each in text[start:at].split(";")))
                start = at + 1


def test_no_rule_is_said_twice():
    said = Counter(rule for sheet in SHEETS.values() for rule in rules(sheet))
    assert [rule for rule, times in said.items() if times > 1] == []
