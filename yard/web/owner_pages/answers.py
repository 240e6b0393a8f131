"""Answers in words, for the yard and for the owner; and the small forms of the owner's page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid4

from django import forms

from yard.models import OwnerAnswer
from yard.notices.wording import day_words, sentence, week_words
from yard.services.owner_pages.answers import LONGEST_WORDS, Said

Kind = OwnerAnswer.Kind
BECOMES = {
    Kind.APPROVED: "the fact is here, and what waits for it may be firm",
    Kind.HERE: "the fact is here, and what waits for it may be firm",
    Kind.ON: "the fact is expected on that day, as the owner says",
    Kind.SUITS_NOT: "the order gets its new earliest day, where one is named; then plan again",
    Kind.ABOARD: "the thing is aboard",
    Kind.INSURED: "she is insured until that day: look at the certificate first",
    Kind.WANTED: "the order gets that wanted day; then plan again",
    Kind.SAME: "the order of the coming season is confirmed",
    Kind.OTHER: "the order stays unconfirmed: change it to what is wanted",
    Kind.NOT_AGAIN: "the order of the coming season is withdrawn",
}


@dataclass(frozen=True)
class AnswerRow:
    """words: what was answered. becomes: what accepting it does, "" where it is only noted."""

    answer: OwnerAnswer
    words: str
    becomes: str

    @staticmethod
    def of(answer: OwnerAnswer) -> AnswerRow:
        return AnswerRow(answer, answer_words(answer), BECOMES.get(Kind(answer.kind), ""))


_OF_A_THING = {
    Kind.APPROVED: "{what}: yes",
    Kind.REFUSED: "{what}: no",
    Kind.HERE: "{what}: done",
    Kind.ON: "{what}: by {on}",
    Kind.ABOARD: "{what}: aboard",
    Kind.BRINGS: "{what}: brought on {on}",
    Kind.INSURED: "Insured until {on} {year}",
    Kind.WANTED: "Wanted by {on}",
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
            return f"{told} suits"
        case Kind.SUITS_NOT:
            return f"{told} does not suit" + (f"; from {on} on it would" if on else "")
        case Kind.SAME:
            return "The same again" + (f", for {on}" if on else "")
        case Kind.OTHER:
            return "Something else this year" + (f", for {on}" if on else "")
        case Kind.NOT_AGAIN:
            return "Not this year"
    return "A message"


def _about(answer: OwnerAnswer) -> str:
    named = answer.fact or answer.item
    return sentence(named.name) if named is not None else ""


def _told(answer: OwnerAnswer) -> str:
    if answer.about_date is None:
        return "The day"
    return sentence(week_words(answer.about_date) if answer.about_week else day_words(answer.about_date))


class AnswerForm(forms.Form):
    """One answer, whichever button sent it. about: an order, a fact, a thing, a boat or a question, by the kind."""

    key = forms.UUIDField()
    kind = forms.ChoiceField(choices=Kind.choices)
    about = forms.IntegerField(required=False, min_value=0, max_value=2**53)
    on = forms.DateField(required=False, error_messages={"invalid": "Write the day as 2027-05-14."})
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
