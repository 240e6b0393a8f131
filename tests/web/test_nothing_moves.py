"""Nothing moves by itself on a page, so that whoever asks for less motion has none (WCAG 2.2: 2.3.3)."""

from __future__ import annotations

import re
from pathlib import Path

STATIC = Path(__file__).resolve().parents[2] / "yard" / "static" / "yard"
MOVES = re.compile(
    r"\b(transition|animation)(-\w+)*\s*:|@keyframes|scroll-behavior\s*:\s*smooth|behavior:\s*[\"']smooth"
)


def test_no_style_and_no_script_sets_anything_in_motion() -> None:
    files = [path for path in STATIC.rglob("*") if path.suffix in (".css", ".js")]
    assert len(files) > 30
    assert [path.name for path in files if MOVES.search(path.read_text(encoding="utf-8"))] == []


def test_what_moves_is_found() -> None:
    moving = ("a { transition: color 1s }", "@keyframes turn {", "p { animation-name: turn }", "({behavior: 'smooth'})")
    assert all(MOVES.search(each) for each in moving)
