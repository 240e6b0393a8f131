"""Answers in words, for the yard and for the owner; and the small forms of the owner's page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import OwnerAnswer
from yard.notices.wording import day_words, sentence, week_words
from yard.services.owner_pages.answers import LONGEST_WORDS, Said

Kind = OwnerAnswer.Kind
BECOMES = {
    Kind.APPROVED: gettext_lazy("the fact is here, and what waits for it may be firm"),
    Kind.HERE: gettext_lazy("the fact is here, and what waits for it may be firm"),
    Kind.ON: gettext_lazy("the fact is expected on that day, as the owner says"),
    Kind.SUITS_NOT: gettext_lazy("the order gets its new earliest day, where one is named; then plan again"),
    Kind.ABOARD: gettext_lazy("the thing is aboard"),
    Kind.INSURED: gettext_lazy("she is insured until that day: look at the certificate first"),
    Kind.WANTED: gettext_lazy("the order gets that wanted day; then plan again"),
    Kind.SAME: gettext_lazy("the order of the coming season is confirmed"),
    Kind.OTHER: gettext_lazy("the order stays unconfirmed: change it to what is wanted"),
    Kind.NOT_AGAIN: gettext_lazy("the order of the coming season is withdrawn"),
}


@dataclass(frozen=True)
class AnswerRow:
    """words: what was answered. becomes: what accepting it does, "" where it is only noted."""

    answer: OwnerAnswer
    words: str
    becomes: str

    @staticmethod
    def of(answer: OwnerAnswer) -> AnswerRow:
        return AnswerRow(answer, answer_words(answer), str(BECOMES.get(Kind(answer.kind), "")))


_OF_A_THING = {
    Kind.APPROVED: gettext_lazy("{what}: yes"),
    Kind.REFUSED: gettext_lazy("{what}: no"),
    Kind.HERE: gettext_lazy("{what}: done"),
    Kind.ON: gettext_lazy("{what}: by {on}"),
    Kind.ABOARD: gettext_lazy("{what}: aboard"),
    Kind.BRINGS: gettext_lazy("{what}: brought on {on}"),
    Kind.INSURED: gettext_lazy("Insured until {on} {year}"),
    Kind.WANTED: gettext_lazy("Wanted by {on}"),
}


def answer_words(answer: OwnerAnswer) -> str:
    """ "Mooring permit: by Friday 14 May" """
    kind = Kind(answer.kind)
    on = day_words(answer.on_date) if answer.on_date is not None else ""
    if kind in _OF_A_THING:
        year = answer.on_date.year if answer.on_date is not None else ""
        return _OF_A_THING[kind].format(what=_about(answer), on=on, year=year)
    told = _told(answer)
    match kind:
        case Kind.SUITS:
            return _("{told} suits").format(told=told)
        case Kind.SUITS_NOT:
            if not on:
                return _("{told} does not suit").format(told=told)
            return _("{told} does not suit; from {on} on it would").format(told=told, on=on)
        case Kind.SAME:
            return _("The same again, for {on}").format(on=on) if on else _("The same again")
        case Kind.OTHER:
            return _("Something else this year, for {on}").format(on=on) if on else _("Something else this year")
        case Kind.NOT_AGAIN:
            return _("Not this year")
    return _("A message")


def _about(answer: OwnerAnswer) -> str:
    named = answer.fact or answer.item
    return sentence(named.name) if named is not None else ""


def _told(answer: OwnerAnswer) -> str:
    if answer.about_date is None:
        return _("The day")
    return sentence(week_words(answer.about_date) if answer.about_week else day_words(answer.about_date))


class AnswerForm(forms.Form):
    """One answer, whichever button sent it. about: an order, a fact, a thing, a boat or a question, by the kind."""

    key = forms.UUIDField()
    kind = forms.ChoiceField(choices=Kind.choices)
    about = forms.IntegerField(required=False, min_value=0, max_value=2**53)
    on = forms.DateField(required=False, error_messages={"invalid": gettext_lazy("Write the day as 2027-05-14.")})
    words = forms.CharField(required=False, max_length=LONGEST_WORDS, strip=True)

    def said(self) -> Said:
        asked = self.cleaned_data
        key: UUID = asked["key"]
        on: date | None = asked["on"]
        return Said(kind=Kind(asked["kind"]), about=asked["about"] or 0, on=on, words=asked["words"], form_key=key)

    @property
    def trouble(self) -> str:
        """The first thing that is wrong, in words."""
        for errors in self.errors.values():
            return " ".join(str(error) for error in errors)
        return ""


def fresh_key() -> str:
    return str(uuid4())
