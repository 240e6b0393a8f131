"""A language in which every sentence that goes through gettext stands in ⟦ ⟧, for the rooms without Django."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from yard import speech


@contextmanager
def in_brackets() -> Iterator[None]:
    """Numbers have a comma meanwhile, and a plural says of how many it is."""
    before = vars(speech._voice).copy()
    speech.speak_by(
        lambda message: f"⟦{message}⟧",
        lambda one, many, number: f"⟦{one if number == 1 else many}⟧",
        lambda context, message: f"⟦{message}⟧",
        lambda value, digits: f"{value:.{digits}f}".replace(".", ","),
    )
    try:
        yield
    finally:
        vars(speech._voice).update(before)


def unsaid(text: str, names: Iterable[str] = ()) -> str:
    """What of a text stands outside the brackets and is none of these names; "" where it holds no letter."""
    while (shorter := re.sub(r"⟦[^⟦⟧]*⟧", "", text)) != text:
        text = shorter
    for name in sorted(names, key=len, reverse=True):
        text = text.replace(name, "")
    return text if re.search(r"[^\W\d_]", text) else ""
