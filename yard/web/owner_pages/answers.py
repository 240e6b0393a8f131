"""Answers in words, for the yard and for the owner; and the small forms of the owner's page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid4

from django import forms

from yard.models import OwnerAnswer
from yard.notices.wording import day_words
from yard.services.owner_pages.answers import LONGEST_WORDS, Said

Kind = OwnerAnswer.Kind
BECOMES = {
    Kind.APPROVED: "the fact is here, and what waits for it may be firm",
    Kind.HERE: "the fact is here, and what waits for it may be firm",
    Kind.ON: "the fact is expected on that day, as the owner says",
    Kind.SUITS_NOT: "the order gets its new earliest day, where one is named; then plan again",
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


def answer_words(answer: OwnerAnswer) -> str:
    """ "Mooring permit: by Friday 14 May" """
    what = answer.fact.name.capitalize() if answer.fact is not None else ""
    on = day_words(answer.on_date) if answer.on_date is not None else ""
    told = day_words(answer.about_date) if answer.about_date is not None else "the day"
    match Kind(answer.kind):
        case Kind.SUITS:
            return f"{told} suits"
        case Kind.SUITS_NOT:
            return f"{told} does not suit" + (f"; from {on} on it would" if on else "")
        case Kind.APPROVED:
            return f"{what}: yes"
        case Kind.REFUSED:
            return f"{what}: no"
        case Kind.HERE:
            return f"{what}: done"
        case Kind.ON:
            return f"{what}: by {on}"
        case Kind.SAME:
            return "The same again" + (f", for {on}" if on else "")
        case Kind.OTHER:
            return "Something else this year" + (f", for {on}" if on else "")
        case Kind.NOT_AGAIN:
            return "Not this year"
        case Kind.WORDS:
            return "A message"


class AnswerForm(forms.Form):
    """One answer, whichever button sent it. about: an order, a fact or a question, by the kind."""

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
