"""What the site's process sets aside when it is ready is not looked through for garbage any more."""

from __future__ import annotations

import gc

from yard import site_memory


def test_what_is_loaded_is_set_aside_and_what_comes_later_is_looked_through() -> None:
    before = gc.get_threshold()
    try:
        site_memory.settle()
        assert gc.get_freeze_count() > 10_000  # the program, its pages and its libraries
        assert gc.get_threshold()[0] == site_memory.NEW_OBJECTS
        ring: list[object] = []
        ring.append(ring)
        del ring
        assert gc.collect() >= 1
    finally:
        gc.unfreeze()
        gc.set_threshold(*before)
