"""Text that a calendar may hold."""

from __future__ import annotations

import unicodedata


def clean(text: str, *, keep_lines: bool = False) -> str:
    """Without what a text of iCalendar may not hold: control characters, lone surrogates, marks of byte order.

    Line ends become \\n, or a space where one line is meant.
    """
    if text.isascii() and text.isprintable():
        return text.strip()
    for line_end in ("\r\n", "\r", "\x0b", "\x0c", "\x85", "\u2028", "\u2029"):
        text = text.replace(line_end, "\n")
    if not keep_lines:
        text = " ".join(text.split("\n"))
    kept = (letter for letter in text if letter in "\n\t" or unicodedata.category(letter) not in ("Cc", "Cs"))
    return "".join(kept).replace("\ufeff", "").strip()
