"""The words of a text message: at most LONGEST letters, the most urgent news first, whole or left to a call."""

from __future__ import annotations

from datetime import date

from yard.day_names import said
from yard.notices.letter import asks_of, in_order, reason_of
from yard.notices.news import LetterFacts, News, Situation
from yard.speech import _, ngettext

LONGEST = 320
"""Two text messages of 160 letters: what telephones show as one and owners read (common practice)."""
REASON_AT_LEAST = 30  # a reason cut shorter than this explains nothing


def texted(letter: LetterFacts) -> str:
    """The first news and what the owner must do always; further news as far as they fit, then that there is more."""
    news = in_order(letter.news)
    asks = asks_of(news)
    head = f"{letter.yard.name}. "
    tail = f" {_('Please {asks}.').format(asks=asks)}" if asks else ""
    if len(tail) > LONGEST // 2:
        tail = f" {_('We need things from you: please call us.')}"
    said: list[str] = []
    for number, each in enumerate(news):
        left = len(news) - number - 1
        more = f" {_more(left)}" if left else ""
        room = LONGEST - len(head) - len(" ".join(said)) - len(tail) - (len(more) if left else 0) - bool(said)
        words = _short(each, letter, room)
        if words is None:
            said.append(_more(left + 1))
            break
        said.append(words)
    return _cut(f"{head}{' '.join(said)}{tail}", LONGEST)


def _short(news: News, letter: LetterFacts, room: int) -> str | None:
    """One order's news in so many letters, the reserve day and then the reason cut; None where it does not fit."""
    reserve = (
        f", {_('else {day}').format(day=_day(news.reserve))}" if news.reserve is not None and not news.week else ""
    )
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


def _more(orders: int) -> str:
    return ngettext(
        "More news of {n} order: please call us.", "More news of {n} orders: please call us.", orders
    ).format(n=orders)


def _bare(news: News, reserve: str) -> str:
    gaps = {
        "order": f"{news.boat}, {news.work}",
        "when": f"{_when(news.day, news.week)}{reserve}",
        "was": _when(news.was, news.was_week),
    }
    match news.situation:
        case Situation.MOVED if news.firm:
            words = _("{order}: now {when}, firm, not {was}.")
        case Situation.MOVED:
            words = _("{order}: now {when}, provisional, not {was}.")
        case Situation.WEATHER_HOLD:
            words = _("{order}: weather hold for {when}.")
        case Situation.NOT_FIRM:
            words = _("{order}: {when} is provisional again.")
        case Situation.FIRM:
            words = _("{order}: {when} is firm{reserve}.")
            gaps |= {"when": _when(news.day, news.week), "reserve": reserve}
        case Situation.DAY | Situation.WEEK:
            words = _("{order}: {when}, provisional.")
        case Situation.NO_DAY if news.was:
            words = _("{order}: not {was}, no new date yet.")
        case Situation.NO_DAY:
            words = _("{order}: no date yet.")
        case Situation.DONE:
            words = _("{order}: done.")
    return words.format(**gaps)


def _when(day: date | None, week: bool) -> str:
    return _("the week of {day}").format(day=_day(day)) if week else _day(day)


def _day(day: date | None) -> str:
    """Mon 10 May"""
    return "" if day is None else said(day, "D j M")


def _cut(words: str, room: int) -> str:
    """At most so many letters, cut after a whole word."""
    if len(words) <= room:
        return words
    kept = words[: max(0, room - 1)]
    return f"{kept.rsplit(' ', 1)[0] if ' ' in kept else kept}…"
