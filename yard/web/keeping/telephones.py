"""An owner's numbers as links that call and text with one tap."""

from __future__ import annotations

from dataclasses import dataclass

from yard.models import Owner
from yard.services.keep_owner import telephones
from yard.web.boats.words import dial


@dataclass(frozen=True, slots=True)
class Line:
    """number: as it was written; dial: as a telephone takes it; whose: whose it is, or when it is answered."""

    number: str
    dial: str
    whose: str


def lines_of(owner: Owner) -> tuple[Line, ...]:
    """Those that can be dialled, the first one first."""
    lines = (Line(each.number, dial(each.number), each.whose) for each in telephones(owner))
    return tuple(line for line in lines if line.dial)
