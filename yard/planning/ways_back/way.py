"""One way back, and its words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Kind = Literal["again", "hands", "hours", "date", "day", "boat"]
"""again: nothing but planning her again.  hands: one more person of a skill, some days.  hours: people she has, before
or after their hours.  date: something here sooner.  day: a day on which nobody works now.  boat: another boat later."""


@dataclass(frozen=True, slots=True)
class WayBack:
    """One change, tried.  gains_days: axis days by which her last day comes sooner.  on_time: every order of hers.

    days: axis days on which the change is needed (of a date: the day it should be here).  sooner_days: of a date.
    minutes: of work outside hours, in all.  people: who works otherwise.  boats: (boat, axis days later, on time).
    skill, job: what the change is about.  says: in a yard's words.
    """

    kind: Kind
    says: str
    gains_days: int
    on_time: bool
    days: tuple[int, ...] = ()
    sooner_days: int = 0
    minutes: int = 0
    people: tuple[int, ...] = ()
    boats: tuple[tuple[int, int, bool], ...] = ()
    skill: str = ""
    job: int | None = None

    @property
    def price(self) -> tuple[bool, int, int, int]:
        """Cheapest first: on time, then whose consent is asked, people and days, minutes and days of notice."""
        asked = sum(5 if kept else 50 for _boat, _days, kept in self.boats) + (
            3 if self.kind == "hands" else 2 if self.kind == "day" else 0
        )
        return not self.on_time, asked, len(self.people) + len(self.days), self.minutes // 15 + self.sooner_days


def longer_words(over: int, before: int) -> str:
    told = [f"{over} min after hours"] if over else []
    return " and ".join(told + ([f"{before} min before hours"] if before else [])) or "through the break"


def working_days(count: int) -> str:
    return "1 working day" if count == 1 else f"{count} working days"


def date_words(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day:%a} {day.day} {day:%b}"
