"""One letter to read: its words with what follows the plan marked, where each fact comes from, and what to say."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Letter, Telling
from yard.notices.news import News, Situation
from yard.notices.template import Run
from yard.notices.wording import day_words, week_words
from yard.services.letters.reading import Reading
from yard.services.letters.release import LONGEST_OWN_WORDS, OwnWords
from yard.services.letters.to_all import can_be_written_to
from yard.web.boats.words import dial
from yard.web.units import local


@dataclass(frozen=True)
class Source:
    """Where a fact of the letter comes from."""

    what: str
    source: str


@dataclass(frozen=True)
class ReadingPage:
    """paragraphs: runs, of which those that follow the plan are marked. last: what this owner was told last."""

    reading: Reading
    greeting: tuple[tuple[Run, ...], ...]
    body: tuple[tuple[Run, ...], ...]
    closing: tuple[tuple[Run, ...], ...]
    sources: tuple[Source, ...]
    last: tuple[Telling, ...]
    by_email: bool
    dial: str
    texts: str


class OwnWordsForm(forms.Form):
    """version: of the words that were read, 0 where none were kept."""

    version = forms.IntegerField(min_value=0)
    reason = forms.CharField(
        label=gettext_lazy("Why it moves, in a few words"),
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"class": "field", "autocomplete": "off"}),
    )
    before = forms.CharField(
        label=gettext_lazy("Your own words at the head"), required=False, max_length=LONGEST_OWN_WORDS
    )
    after = forms.CharField(
        label=gettext_lazy("Your own words at the end"), required=False, max_length=LONGEST_OWN_WORDS
    )

    def __init__(self, data: QueryDict | None = None, *, row: Letter | None = None, wants_reason: bool = False) -> None:
        initial: dict[str, str] = {}
        if row is not None:
            initial = {"before": row.before, "after": row.after, "reason": row.reason_said}
        super().__init__(data, initial=initial, auto_id="own-%s")
        for name in ("before", "after"):
            self.fields[name].widget = forms.Textarea(attrs={"class": "field", "rows": 3})
        if not wants_reason and not initial.get("reason"):
            self.fields["reason"].widget = forms.HiddenInput()

    def words(self) -> OwnWords:
        asked = self.cleaned_data
        return OwnWords(asked["before"], asked["after"], asked["reason"])


def reading_page(reading: Reading) -> ReadingPage:
    """No query beyond the reading's own."""
    number = dial(reading.owner.phone)
    lasts = [row.last for row in reading.to_tell.rows if row.last is not None]
    return ReadingPage(
        reading=reading,
        greeting=reading.written.greeting,
        body=reading.written.body,
        closing=reading.written.closing,
        sources=tuple(source for news in reading.facts.news for source in _sources(news, reading)),
        last=tuple(lasts),
        by_email=can_be_written_to(reading.owner),
        dial=number,
        texts=f"sms:{number}?&body={quote(reading.texted)}" if number else "",
    )


def _sources(news: News, reading: Reading) -> list[Source]:
    found = []
    plan = _("plan {number}").format(number=reading.plan.number)
    several = len(reading.facts.news) > 1
    her = f"{news.boat}: " if several else ""
    if news.day is not None:
        when = week_words(news.day) if news.week else day_words(news.day)
        found.append(Source(f"{her}{when}", _("{plan}, the last work of the order").format(plan=plan)))
    if news.was is not None and news.situation in (Situation.MOVED, Situation.NO_DAY, Situation.NOT_FIRM):
        told = next(
            (row.last for row in reading.to_tell.rows if row.order.pk == news.order and row.last is not None), None
        )
        if told is not None:
            at = local(told.told_at)
            was = her + _("{day} was told").format(day=day_words(news.was))
            found.append(Source(was, f"{told.get_how_display()}, {day_words(at.date())}"))
    if news.reason:
        found.append(Source(her + _("the reason"), _("the plan that was told of, beside the one that is posted now")))
    elif reading.facts.reason_said and news.wants_reason:
        found.append(Source(her + _("the reason"), _("your own words")))
    if news.water is not None and news.water.starts_at is not None:
        found.append(
            Source(
                her + _("her water"),
                _("the tide tables, her draft and the yard's margin on a rising tide"),
            )
        )
    if news.reserve is not None:
        found.append(
            Source(
                her + _("reserve {day}").format(day=day_words(news.reserve)),
                _("the next open day with water for that work"),
            )
        )
    if news.promised is not None:
        found.append(Source(f"{her}{day_words(news.promised)}", _("promised on the order")))
    asked = _("not here yet; needed the day before its first job")
    return found + [Source(f"{her}{wish.what}", asked) for wish in news.from_owner]
