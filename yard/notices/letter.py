"""News of one owner's orders as one letter: subject, paragraphs, text, HTML, and the words for the telephone."""

from __future__ import annotations

import hashlib
import html
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from yard.notices.news import LetterFacts, News, Situation, Wish, Yard, together
from yard.notices.standard import PLACEHOLDERS, STANDARD
from yard.notices.template import Paragraph, Run, fill
from yard.notices.wording import (
    any_of,
    day_words,
    height_words,
    hour_words,
    listed,
    moment_words,
    sentence,
    week_words,
)
from yard.speech import _, gettext_noop, ngettext, pgettext

URGENCY = {situation: number for number, situation in enumerate(Situation)}
LONGEST_SUBJECT = 150
UNSAID = gettext_noop("(the reason is still to be said)")
"""Stands where neither the plan nor a person has said why; such a letter is not released."""


@dataclass(frozen=True, slots=True)
class Written:
    """A letter that can be read. own_before, own_after: the person's own paragraphs, which follow no plan."""

    subject: str
    greeting: tuple[Paragraph, ...]
    own_before: tuple[str, ...]
    body: tuple[Paragraph, ...]
    own_after: tuple[str, ...]
    closing: tuple[Paragraph, ...]

    @property
    def paragraphs(self) -> tuple[Paragraph, ...]:
        own = [tuple((Run(words),) for words in part) for part in (self.own_before, self.own_after)]
        return (*self.greeting, *own[0], *self.body, *own[1], *self.closing)

    def as_text(self) -> str:
        """Plain text, a blank line between paragraphs."""
        return "\n\n".join("".join(run.text for run in each) for each in self.paragraphs) + "\n"

    def as_html(self) -> str:
        """A whole page without style, script or picture; every word is escaped."""
        body = "\n".join(f"<p>{_as_html(each)}</p>" for each in self.paragraphs)
        title = html.escape(self.subject)
        language = pgettext("the code of this language, as HTML has it", "en")
        return (
            f'<!doctype html>\n<html lang="{language}"><head><meta charset="utf-8"><title>{title}</title></head>\n'
            f"<body>\n{body}\n</body></html>\n"
        )

    def fingerprint(self) -> str:
        """Of what follows the plan or a template, so that a change asks for another reading. The closing, which names
        whoever reads and the owner's page, is not in it."""
        said = [self.subject, *("".join(run.text for run in each) for each in (*self.greeting, *self.body))]
        return hashlib.sha256("\x1f".join(said).encode()).hexdigest()


def write(letter: LetterFacts, templates: Mapping[str, str]) -> Written:
    """The letter in the yard's words. templates: those that the yard changed, by key.

    Raises TemplateFault where a template cannot be used, ValueError where there is nothing to say.
    """
    if not letter.news:
        raise ValueError("there is nothing to say")
    news = in_order(letter.news)
    common = _common(letter, news)
    body: list[Paragraph] = []
    for each in news:
        body += fill(_text(each.situation.value, templates), common | _facts(each, letter))
    asks = common | {"asks": asks_of(news)}
    body += fill(_text("asks", templates), asks)
    return _whole(letter, common | {"headline": _headline(news)}, body, templates)


def write_to_all(key: str, letter: LetterFacts, templates: Mapping[str, str]) -> Written:
    """A letter that speaks of no plan: "storm", "december" or "chase"; its facts stand in `letter.extra`."""
    common = _common(letter, letter.news)
    return _whole(letter, common, list(fill(_text(key, templates), common)), templates)


def spoken(letter: LetterFacts) -> str:
    """What to say on the telephone: the news and what the owner must do, in a few sentences."""
    news = in_order(letter.news)
    said = [_said(each, letter) for each in news]
    asks = asks_of(news)
    please = [_("From you, please: {asks}.").format(asks=asks)] if asks else []
    return " ".join([f"{letter.yard.name}.", *said, *please])


def in_order(news: Sequence[News]) -> list[News]:
    """The most urgent first, and what is the same of several orders of one boat said once."""
    return together(sorted(news, key=_rank))


def _rank(news: News) -> tuple[int, date, int, str, int]:
    """By situation; but what is firm and what has moved by the first day that it touches, so that whoever comes
    tomorrow does not read of June before it."""
    urgency = URGENCY[news.situation]
    first = min((day for day in (news.was, news.day) if day is not None), default=date.max)
    level = min(urgency, URGENCY[Situation.MOVED]) if news.situation is Situation.FIRM else urgency
    return level, first, urgency, news.boat, news.order


def _text(key: str, templates: Mapping[str, str]) -> str:
    return templates.get(key) or STANDARD[key].text


def _whole(
    letter: LetterFacts, facts: Mapping[str, str], body: Sequence[Paragraph], templates: Mapping[str, str]
) -> Written:
    subject = fill(_text("subject", templates), facts)
    words = " ".join("".join(run.text for run in each) for each in subject)
    return Written(
        subject=" ".join(words.split())[:LONGEST_SUBJECT],
        greeting=fill(_text("greeting", templates), facts),
        own_before=_own(letter.before),
        body=tuple(_capital(each) for each in body),
        own_after=_own(letter.after),
        closing=fill(_text("closing", templates), facts),
    )


def _own(words: str) -> tuple[str, ...]:
    text = words.replace("\r\n", "\n").replace("\r", "\n")
    return tuple(part.strip() for part in text.split("\n\n") if part.strip())


def _capital(runs: Paragraph) -> Paragraph:
    return (Run(sentence(runs[0].text), runs[0].follows), *runs[1:])


def _common(letter: LetterFacts, news: Sequence[News]) -> dict[str, str]:
    boats = list(dict.fromkeys(each.boat for each in news))
    facts = dict.fromkeys(PLACEHOLDERS, "")
    facts |= {
        "owner": letter.owner,
        "boats": listed(boats),
        "page": letter.page,
        "yard": letter.yard.name,
        "phone": letter.yard.phone,
        "signed": letter.signed,
        "days_before": str(letter.day_told_days_before),
    }
    return facts | {name: value for name, value in letter.extra.items() if name in PLACEHOLDERS}


def _facts(news: News, letter: LetterFacts) -> dict[str, str]:
    return {
        "boat": news.boat,
        "work": news.work,
        "day": _day(news.day) if not news.week else "",
        "week": week_words(news.day) if news.day is not None and news.week else "",
        "when": _when(news.day, week=news.week),
        "hour": hour_words(news.starts_at.time()) if news.starts_at is not None and not news.week else "",
        "sure": _("firm") if news.firm else _("provisional"),
        "was": _when(news.was, week=news.was_week),
        "reason": reason_of(news, letter) or _(UNSAID),
        "water": water_words(news, letter.yard),
        "trip": road_words(news),
        "reserve": _day(news.reserve),
        "call": moment_words(news.call_at) if news.call_at is not None else "",
        "stop": any_of(news.could_stop),
        "waits": listed(news.waits),
        "promised": _day(news.promised),
        "kept": _kept(news),
        "lies": news.lies,
        "odds": news.odds,
    }


def reason_of(news: News, letter: LetterFacts) -> str:
    """The plan's, else the person's own; a letter without one is not to go out."""
    return news.reason or letter.reason_said.strip().rstrip(".")


def water_words(news: News, yard: Yard) -> str:
    """ "She floats off about 14:30 on Monday 10 May; she has her water from 14:21 to 15:23 (she needs 17.5 ft)." """
    water = news.water
    if water is None or news.week or news.situation is Situation.DONE:
        return ""
    at = hour_words(water.floats_at.time())
    if news.day == water.floats_at.date():
        off = _("She floats off about {time}").format(time=at)
    else:
        off = _("She floats off about {time} on {day}").format(time=at, day=day_words(water.floats_at.date()))
    if water.starts_at is None or water.ends_at is None:
        return f"{off}."
    first, last = hour_words(water.starts_at.time()), hour_words(water.ends_at.time())
    if water.needed_m is None:
        return _("{floats_off}; the tide gives her water enough from {first} to {last}.").format(
            floats_off=off, first=first, last=last
        )
    return _(
        "{floats_off}; the tide gives her water enough from {first} to {last} (the tide must stand at {height})."
    ).format(floats_off=off, first=first, last=last, height=height_words(water.needed_m, feet=yard.feet))


def road_words(news: News) -> str:
    """ "She leaves us by road on Thursday 13 May at 08:00; that does not move." """
    road = news.road
    if road is None or news.week or news.situation is Situation.DONE:
        return ""
    leaves = _("{day} at {time}").format(day=day_words(road.leaves_at.date()), time=hour_words(road.leaves_at.time()))
    if road.check_in_by is None:
        return _("She leaves us by road on {leaves}; that does not move.").format(leaves=leaves)
    same = road.check_in_by.date() == road.leaves_at.date()
    closes = hour_words(road.check_in_by.time()) if same else moment_words(road.check_in_by)
    return _(
        "She leaves us for the ferry on {leaves}; the check-in closes at {closes}, and that does not move."
    ).format(leaves=leaves, closes=closes)


def _kept(news: News) -> str:
    if news.promised is None or news.day is None:
        return ""
    last = news.day if not news.week else news.day + timedelta(days=6)
    if last <= news.promised:
        return _("by our plan that still stands")
    return _("by our plan we miss that, and are sorry") if news.day > news.promised else ""


def _day(day: date | None) -> str:
    return "" if day is None else day_words(day)


def _when(day: date | None, *, week: bool) -> str:
    if day is None:
        return ""
    return week_words(day) if week else day_words(day)


def asks_of(news: Sequence[News]) -> str:
    """What the owner must do, each thing once; "" for nothing."""
    wishes = list(dict.fromkeys(wish for each in news for wish in each.from_owner))
    several = len({each.boat for each in news}) > 1
    if not several:
        return listed([_wish(wish) for wish in wishes])
    said = []
    for each in news:
        said += [f"{_wish(wish)} ({each.boat})" for wish in each.from_owner]
    return listed(list(dict.fromkeys(said)))


def _wish(wish: Wish) -> str:
    return wish.what if wish.by is None else _("{what} by {day}").format(what=wish.what, day=day_words(wish.by))


def _headline(news: Sequence[News]) -> str:
    first = news[0]
    when = _when(first.day, week=first.week)
    match first.situation:
        case Situation.MOVED:
            words = _("moved to {when}").format(when=when)
        case Situation.WEATHER_HOLD:
            words = _("weather hold for {when}").format(when=when)
        case Situation.FIRM:
            words = _("{when} is firm").format(when=when)
        case Situation.DAY | Situation.WEEK | Situation.NOT_FIRM:
            words = _("{when}, provisional").format(when=when)
        case Situation.NO_DAY:
            was = _when(first.was, week=first.was_week)
            words = _("no longer {was}").format(was=was) if first.was else _("no date yet")
        case Situation.DONE:
            words = _("{work} done").format(work=first.work)
    more = len(news) - 1
    if not more:
        return f"{first.boat}: {words}"
    return ngettext(
        "{boat}: {news}, and news of {n} more order", "{boat}: {news}, and news of {n} more orders", more
    ).format(boat=first.boat, news=words, n=more)


def _said(news: News, letter: LetterFacts) -> str:
    said = _news_said(news, reason_of(news, letter))
    if news.reserve is None or news.week or news.situation in (Situation.NO_DAY, Situation.DONE):
        return said
    return f"{said} {_('If that is lost, {day}.').format(day=_day(news.reserve))}"


def _news_said(news: News, reason: str) -> str:
    gaps = {
        "order": f"{news.boat}, {news.work}",
        "when": _when(news.day, week=news.week),
        "was": _when(news.was, week=news.was_week),
        "reason": reason,
    }
    match news.situation:
        case Situation.MOVED:
            why = _("{order}: not {was}, because: {reason}.") if reason else _("{order}: not {was}.")
            new = _("New date {when}, firm.") if news.firm else _("New date {when}, provisional.")
            return f"{why} {new}".format(**gaps)
        case Situation.WEATHER_HOLD if reason:
            words = _("{order}: weather hold for {when}, {reason}.")
        case Situation.WEATHER_HOLD:
            words = _("{order}: weather hold.")
        case Situation.NOT_FIRM if reason:
            words = _("{order}: {when} is provisional again, because: {reason}.")
        case Situation.NOT_FIRM:
            words = _("{order}: {when} is provisional again.")
        case Situation.FIRM:
            words = _("{order}: {when} is firm.")
        case Situation.DAY | Situation.WEEK:
            words = _("{order}: planned for {when}, provisional.")
        case Situation.NO_DAY if not news.was:
            words = _("{order}: no date yet.")
        case Situation.NO_DAY if reason:
            words = _("{order}: we cannot keep {was}, because: {reason}. No new date yet.")
        case Situation.NO_DAY:
            words = _("{order}: we cannot keep {was}. No new date yet.")
        case Situation.DONE:
            words = _("{order}: done.")
    return words.format(**gaps)


def _as_html(runs: Paragraph) -> str:
    return "".join(_linked(run.text) for run in runs)


def _linked(words: str) -> str:
    """An address that stands alone becomes a link; all else is text."""
    found = html.escape(words).replace("\n", "<br>\n")
    if words.startswith(("https://", "http://")) and not any(letter.isspace() for letter in words):
        return f'<a href="{found}">{found}</a>'
    return found
