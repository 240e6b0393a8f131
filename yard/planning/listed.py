"""Several names in one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

from yard.speech import _


def listed(names: Iterable[str]) -> str:
    """ "Ada and Ben and Cleo": all of them, each joined to those before it; "" of none."""
    found = list(names)
    return reduce(lambda first, last: _("{first} and {last}").format(first=first, last=last), found) if found else ""
