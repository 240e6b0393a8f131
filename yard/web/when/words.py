"""The sentence to say to a caller: the earliest day, the day to count on, and what it depends on."""

from __future__ import annotations

from datetime import date, datetime

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.notices.wording import day_words, listed, moment_words
from yard.services.when_done import EarliestDays
from yard.web.units import local


def to_say(told: EarliestDays, *, odds_told: bool, until: datetime | None = None) -> str:
    """odds_told: the yard tells owners odds. until: how long it is held, on any clock; None where it is not."""
    first, last = local(told.starts_at).date(), local(told.ends_at).date()
    if first == last:
        words = [_("At the earliest we could have it done by {day}.").format(day=day_words(last))]
    else:
        begun = _("At the earliest we could begin on {first} and have it done by {last}.")
        words = [begun.format(first=day_words(first), last=day_words(last))]
    words.append(_count_on(told, last, odds_told))
    if told.waits_on:
        known = [_awaited(fact.name.lower(), fact.expected_on) for fact in told.waits_on]
        words.append(_("That needs the {facts}.").format(facts=listed(known)))
    if until is not None:
        words.append(_("I can keep it for you until {moment}.").format(moment=moment_words(local(until))))
    return " ".join(words)


def _count_on(told: EarliestDays, last: date, odds_told: bool) -> str:
    if told.moved:
        return _("Others would have to move for it, so I shall ring you back.")
    if told.day_90 is None:
        return _("Weather and other work may cost more than that: I cannot name a day to count on yet.")
    if told.day_90 <= last:
        if odds_told:
            return _("You can count on that day (nine times in ten we keep that); weather may still cost one.")
        return _("You can count on that day; weather may still cost one.")
    words = _("Count on {day}: weather and other work may cost some days.")
    if odds_told:
        words = _("Count on {day} (nine times in ten we keep that): weather and other work may cost some days.")
    return words.format(day=day_words(told.day_90))


def _awaited(fact: str, expected_on: date | None) -> str:
    if expected_on is None:
        return fact
    return _("{fact} by {day}").format(fact=fact, day=said(expected_on, "j F"))
