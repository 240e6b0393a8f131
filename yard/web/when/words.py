"""The sentence to say to a caller: the earliest day, the day to count on, and what it depends on."""

from __future__ import annotations

from datetime import date, datetime

from yard.notices.wording import day_words, listed
from yard.services.when_done import EarliestDays
from yard.web.units import local


def to_say(told: EarliestDays, *, odds_told: bool, until: datetime | None = None) -> str:
    """odds_told: the yard tells owners odds. until: how long it is held, on any clock; None where it is not."""
    first, last = local(told.starts_at).date(), local(told.ends_at).date()
    begun = f"begin on {day_words(first)} and " if first != last else ""
    words = [f"At the earliest we could {begun}have it done by {day_words(last)}."]
    words.append(_count_on(told, last, odds_told))
    if told.waits_on:
        known = [
            fact.name.lower() + (f" by {_short(fact.expected_on)}" if fact.expected_on else "")
            for fact in told.waits_on
        ]
        words.append(f"That needs the {listed(known)}.")
    if until is not None:
        words.append(f"I can keep it for you until {day_words(local(until).date())}, {local(until):%H:%M}.")
    return " ".join(words)


def _count_on(told: EarliestDays, last: date, odds_told: bool) -> str:
    if told.moved:
        return "Others would have to move for it, so I shall ring you back."
    if told.day_90 is None:
        return "Weather and other work may cost more than that: I cannot name a day to count on yet."
    sure = " (nine times in ten we keep that)" if odds_told else ""
    if told.day_90 <= last:
        return f"You can count on that day{sure}; weather may still cost one."
    return f"Count on {day_words(told.day_90)}{sure}: weather and other work may cost some days."


def _short(day: date) -> str:
    return f"{day.day} {day:%B}"
