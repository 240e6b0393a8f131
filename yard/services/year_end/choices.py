"""What a person ticked for a season's end, as plain values that a row keeps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


class YearEndRefused(Exception):
    """It cannot be; the text says what is in the way and the remedy. Nothing was changed."""


@dataclass(frozen=True, slots=True)
class Choices:
    """orders: unfinished ones to carry. repairs: repair lists to carry. again: last year's to be taken again.

    estimates: (way, minutes before, minutes after). All by id, sorted.
    """

    orders: tuple[int, ...] = ()
    repairs: tuple[int, ...] = ()
    again: tuple[int, ...] = ()
    estimates: tuple[tuple[int, int, int], ...] = ()

    @property
    def steps(self) -> int:
        """Transactions: one for each order taken again, and one for all the rest."""
        return len(self.again) + 1

    def as_row(self) -> dict[str, Any]:
        return {
            "orders": list(self.orders),
            "repairs": list(self.repairs),
            "again": list(self.again),
            "estimates": [list(each) for each in self.estimates],
        }

    @classmethod
    def of_row(cls, kept: dict[str, Any]) -> Choices:
        return cls(
            tuple(kept.get("orders", ())),
            tuple(kept.get("repairs", ())),
            tuple(kept.get("again", ())),
            tuple((way, before, after) for way, before, after in kept.get("estimates", ())),
        )
