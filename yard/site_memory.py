"""How the site's process looks for garbage: what it has loaded for good is not looked through again and again.

The program, its pages and its libraries are some hundred thousand objects that live as long as the process. Left as
Python has it, its collector walks all of them within about every fourth dear page: a tenth of a second that belongs
to whoever happens to ask just then.
"""

from __future__ import annotations

import gc

from django.urls import get_resolver

NEW_OBJECTS = 10_000
"""So many more of them, and the youngest are looked through: a page of a hundred rows makes fewer."""


def settle() -> None:
    """Load the pages, and set aside all that is loaded by now. Once, when a process is ready to answer."""
    _ = get_resolver().url_patterns
    gc.collect()
    gc.freeze()
    gc.set_threshold(NEW_OBJECTS, *gc.get_threshold()[1:])
