"""One way back, and its words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from yard.day_names import said
from yard.speech import _, ngettext

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


def longer_words(person: str, over: int, before: int, day: str) -> str:
    """Somebody's work of that day outside hours. over, before: minutes after and before them."""
    if over and before:
        told = _("{person} {over} min after hours and {before} min before hours on {day}")
    elif over:
        told = _("{person} {over} min after hours on {day}")
    elif before:
        told = _("{person} {before} min before hours on {day}")
    else:
        told = _("{person} through the break on {day}")
    return told.format(person=person, over=over, before=before, day=day)


def later_words(boat: str, count: int, *, kept: bool) -> str:
    """Another boat, so many working days later. kept: she is on time even so."""
    if count <= 0:
        return _("{boat} on other hours, her last day as it is, if her owner agrees").format(boat=boat)
    if kept:
        told = ngettext(
            "{boat} {n} working day later, if her owner agrees",
            "{boat} {n} working days later, if her owner agrees",
            count,
        )
    else:
        told = ngettext(
            "{boat} {n} working day later, late then, if her owner agrees",
            "{boat} {n} working days later, late then, if her owner agrees",
            count,
        )
    return told.format(boat=boat, n=count)


def day_words(day: date) -> str:
    return said(day, "D j M")


def date_words(iso: str) -> str:
    return day_words(date.fromisoformat(iso))
