"""The form of one part of a letter, and its preview with an invented boat."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy

from yard.models import LetterTemplate, YardSettings
from yard.notices.letter import Written, write, write_to_all
from yard.notices.news import LetterFacts, News, Situation, Water, Wish
from yard.notices.standard import PLACEHOLDERS, STANDARD
from yard.notices.template import LONGEST, TemplateFault, check_template
from yard.services.letters.reading import signs
from yard.services.letters.templates import own_templates

TO_ALL = ("storm", "december", "chase")
MONDAY, RESERVE = date(2027, 5, 10), date(2027, 5, 17)


@dataclass(frozen=True)
class WordsRow:
    key: str
    name: str
    text: str
    own: bool


def words_rows() -> list[WordsRow]:
    """Every part in the order of a letter. One query."""
    own = own_templates()
    return [WordsRow(key, each.name, own.get(key, each.text), key in own) for key, each in STANDARD.items()]


class WordsForm(forms.Form):
    """version: of the yard's own words, 0 where the shipped ones stand."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    text = forms.CharField(label=gettext_lazy("The words"), max_length=LONGEST, required=False, strip=True)

    def __init__(self, data: QueryDict | None = None, *, key: str, row: LetterTemplate | None) -> None:
        self.shipped = STANDARD[key].text
        initial = {"version": row.version if row else 0, "text": row.text if row else self.shipped}
        super().__init__(data, initial=initial, auto_id="words-%s")
        self.fields["text"].widget = forms.Textarea(attrs={"class": "field", "rows": 12, "spellcheck": "true"})

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"].replace("\r\n", "\n")
        try:
            check_template(text, PLACEHOLDERS.keys())
        except TemplateFault as fault:
            raise forms.ValidationError(str(fault)) from fault
        return text

    def shown_text(self) -> str:
        """What a preview is made of: what was typed, else what stands."""
        typed = self.data.get("text") if self.is_bound else self.initial["text"]
        return str(typed or self.shipped)


def preview(key: str, text: str, yard: YardSettings) -> Written | None:
    """A letter to an invented owner with these words; None where they cannot be used."""
    facts = LetterFacts(
        owner="Pia Larkin",
        yard=signs(yard),
        news=(_news(key),),
        page="https://yard.example/owner/her-own-page/",
        signed="Maud",
        extra=_EXTRA if key in TO_ALL else {},
    )
    templates = own_templates() | {key: text}
    try:
        return write_to_all(key, facts, templates) if key in TO_ALL else write(facts, templates)
    except TemplateFault:
        return None


_EXTRA = {
    "headline": "Merganser: a word from the yard",
    "boats": "Merganser",
    "season": "spring 2028",
    "orders": "Merganser: spring commissioning\nMerganser: cushions",
    "answer_by": "Friday 14 January",
    "warning": "A gale from the south-east is forecast from Friday evening on, with gusts to 50 knots.",
    "standing": "to double the pendants",
}
_MERGANSER = News(
    order=1,
    boat="Merganser",
    work="spring commissioning",
    situation=Situation.DAY,
    day=MONDAY,
    starts_at=datetime(2027, 5, 10, 13, 0),
    was=date(2027, 5, 7),
    reason="the weather closed that day (gale, gusts to 34 knots)",
    water=Water(
        floats_at=datetime(2027, 5, 10, 14, 30),
        starts_at=datetime(2027, 5, 10, 14, 21),
        ends_at=datetime(2027, 5, 10, 15, 23),
        needed_m=5.33,
    ),
    reserve=RESERVE,
    call_at=datetime(2027, 5, 8, 12, 0),
    from_owner=(Wish("bring the cushions", date(2027, 5, 7)),),
    could_stop=("gusts over 15 knots", "less water than the tide tables say"),
    promised=date(2027, 5, 18),
)


def _news(key: str) -> News:
    if key not in Situation._value2member_map_:
        return _MERGANSER
    match Situation(key):
        case Situation.WEEK:
            return replace(_MERGANSER, situation=Situation.WEEK, week=True, was=None, reason="", reserve=None)
        case Situation.FIRM:
            return replace(_MERGANSER, situation=Situation.FIRM, firm=True)
        case Situation.NO_DAY:
            return replace(_MERGANSER, situation=Situation.NO_DAY, day=None, reserve=None, water=None)
        case Situation.DONE:
            return replace(_MERGANSER, situation=Situation.DONE, day=None, reserve=None, from_owner=())
        case situation:
            return replace(_MERGANSER, situation=situation)
