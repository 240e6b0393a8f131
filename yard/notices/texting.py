"""The words of a text message: at most LONGEST letters, the most urgent news first, whole or left to a call."""

from __future__ import annotations

from datetime import date

from yard.day_names import MONTHS, WEEKDAYS
from yard.notices.letter import asks_of, in_order, reason_of
from yard.notices.news import LetterFacts, News, Situation

LONGEST = 320
"""Two text messages of 160 letters: what telephones show as one and owners read (common practice)."""
REASON_AT_LEAST = 30  # a reason cut shorter than this explains nothing


def texted(letter: LetterFacts) -> str:
    """The first news and what the owner must do always; further news as far as they fit, then that there is more."""
    news = in_order(letter.news)
    asks = asks_of(news)
    head = f"{letter.yard.name}. "
    tail = f" Please {asks}." if asks else ""
    if len(tail) > LONGEST // 2:
        tail = " We need things from you: please call us."
    said: list[str] = []
    for number, each in enumerate(news):
        left = len(news) - number - 1
        more = f" More news of {left} order{'s' * (left != 1)}: please call us." if left else ""
        room = LONGEST - len(head) - len(" ".join(said)) - len(tail) - (len(more) if left else 0) - bool(said)
        words = _short(each, letter, room)
        if words is None:
            said.append(f"More news of {left + 1} order{'s' * (left != 0)}: please call us.")
            break
        said.append(words)
    return _cut(f"{head}{' '.join(said)}{tail}", LONGEST)


def _short(news: News, letter: LetterFacts, room: int) -> str | None:
    """One order's news in so many letters, the reserve day and then the reason cut; None where it does not fit."""
    reserve = f", else {_day(news.reserve)}" if news.reserve is not None and not news.week else ""
    why = reason_of(news, letter)
    for after in dict.fromkeys((reserve, "")):
        bare = _bare(news, after)
        if not why or news.situation in (Situation.DAY, Situation.WEEK, Situation.FIRM, Situation.DONE):
            if len(bare) <= room:
                return bare
            continue
        spare = room - len(bare) - len(" ().") + 1
        if spare >= min(len(why), REASON_AT_LEAST):
            return f"{bare[:-1]} ({_cut(why, spare)})."
    return None


def _bare(news: News, reserve: str) -> str:
    what, when = f"{news.boat}, {news.work}", _when(news.day, news.week)
    match news.situation:
        case Situation.MOVED:
            sure = "firm" if news.firm else "provisional"
            return f"{what}: now {when}{reserve}, {sure}, not {_when(news.was, news.was_week)}."
        case Situation.WEATHER_HOLD:
            return f"{what}: weather hold for {when}{reserve}."
        case Situation.NOT_FIRM:
            return f"{what}: {when}{reserve} is provisional again."
        case Situation.FIRM:
            return f"{what}: {when} is firm{reserve}."
        case Situation.DAY | Situation.WEEK:
            return f"{what}: {when}{reserve}, provisional."
        case Situation.NO_DAY:
            was = f"not {_when(news.was, news.was_week)}, no new date yet" if news.was else "no date yet"
            return f"{what}: {was}."
        case Situation.DONE:
            return f"{what}: done."


def _when(day: date | None, week: bool) -> str:
    return f"the week of {_day(day)}" if week else _day(day)


def _day(day: date | None) -> str:
    """Mon 10 May"""
    return "" if day is None else f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def _cut(words: str, room: int) -> str:
    """At most so many letters, cut after a whole word."""
    if len(words) <= room:
        return words
    kept = words[: max(0, room - 1)]
    return f"{kept.rsplit(' ', 1)[0] if ' ' in kept else kept}…"
