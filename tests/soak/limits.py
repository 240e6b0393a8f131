"""A limit of processor time for one trial, so that a hang is a fault with a name and not a night's silence."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager


class TooLong(BaseException):
    """It went on beyond its limit. No Exception: what catches all of those must not catch this."""


@contextmanager
def at_most(cpu_s: float) -> Iterator[None]:
    """Raises TooLong after so many seconds of this process's own processor time. In the main thread alone."""

    def ring(number: int, frame: object) -> None:
        raise TooLong(f"more than {cpu_s:g} s of processor time")

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, cpu_s)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
