"""The pages of a message to all: for a storm, and winter's question."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Letter, SameAgain, Season, YardSettings
from yard.notices.wording import day_words
from yard.queries.winter import AskedOwner
from yard.services.letters.release import LONGEST_OWN_WORDS
from yard.services.letters.to_all import Message, ToOwner


class ToAllForm(forms.Form):
    """to: ids of owners. batch: of this form, so that it is sent once. look: only show it."""

    batch = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    headline = forms.CharField(label=gettext_lazy("Subject"), max_length=120)
    warning = forms.CharField(
        label=gettext_lazy("What is coming, and what you do"), max_length=LONGEST_OWN_WORDS, required=False
    )
    after = forms.CharField(label=gettext_lazy("More words of your own"), max_length=LONGEST_OWN_WORDS, required=False)

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        to: Sequence[ToOwner],
        warns: bool,
        initial: dict[str, Any] | None = None,
    ) -> None:
        super().__init__(data, auto_id="all-%s", initial=initial)
        self.fields["to"] = forms.TypedMultipleChoiceField(
            label=_("To"),
            choices=[(each.owner.pk, each.owner.name) for each in to],
            coerce=int,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields["warning"].required = warns
        for name in ("headline", "warning", "after"):
            widget = forms.TextInput if name == "headline" else forms.Textarea
            self.fields[name].widget = widget(attrs={"class": "field"} | ({} if name == "headline" else {"rows": 4}))

    @property
    def batch_key(self) -> UUID:
        key: UUID = self.cleaned_data["batch"]
        return key

    def chosen(self, to: Iterable[ToOwner]) -> list[ToOwner]:
        ids = set(self.cleaned_data.get("to", ()))
        warning = self.cleaned_data.get("warning", "").strip()
        extra = {"warning": warning} if warning else {}
        return [ToOwner(each.owner, each.facts | extra) for each in to if each.owner.pk in ids]

    def message(self, kind: Letter.Kind, season: Season | None = None) -> Message:
        asked = self.cleaned_data
        return Message(kind=kind, headline=asked["headline"], batch=self.batch_key, after=asked["after"], season=season)


@dataclass(frozen=True)
class WinterRow:
    """One owner: what is asked about, since when, and whether it is time to ask again."""

    asked: AskedOwner
    state: str
    due: bool
    chase: bool


def winter_rows(owners: Sequence[AskedOwner], yard: YardSettings, *, now: datetime) -> list[WinterRow]:
    """Who is to be asked first, then those to be asked again, then those who wait, then those who answered."""
    rows = [_winter_row(each, yard, now) for each in owners]
    return sorted(rows, key=lambda row: (not row.due, row.chase, row.asked.owner.name))


def _winter_row(asked: AskedOwner, yard: YardSettings, now: datetime) -> WinterRow:
    states = {row.state for row in asked.rows}
    waits = [row for row in asked.rows if row.state == SameAgain.State.ASKED]
    if SameAgain.State.LISTED in states:
        return WinterRow(asked, _("not asked yet"), due=True, chase=False)
    if waits:
        last = max(row.asked_last_at for row in waits if row.asked_last_at is not None)
        days = (now - last).days
        due = days >= yard.answers_chased_after_days
        times = max(row.times_asked for row in waits)
        often = ngettext("asked once", "asked {n} times", times).format(n=times)
        silent = ngettext("no answer for {n} day", "no answer for {n} days", days).format(n=days)
        words = _("{asked}, {silent}: as last year, unconfirmed").format(asked=often, silent=silent)
        return WinterRow(asked, words, due=due, chase=True)
    words = ", ".join(sorted({str(row.get_state_display()) for row in asked.rows}))
    return WinterRow(asked, words, due=False, chase=False)


def winter_facts(asked: AskedOwner, season: Season, yard: YardSettings, *, today: date) -> ToOwner:
    """Last year's orders, one a line, and by when an answer is asked for."""
    lines = [_order_line(row) for row in asked.rows if row.state in (SameAgain.State.LISTED, SameAgain.State.ASKED)]
    by = today + timedelta(days=yard.answers_chased_after_days)
    facts = {"season": season.name, "orders": "\n".join(lines), "answer_by": day_words(by)}
    return ToOwner(asked.owner, facts)


def _order_line(row: SameAgain) -> str:
    order = row.order
    boat = order.boat.name if order.boat is not None else ""
    when = order.promised_date or order.wanted_date
    words = f"{boat}: {order.name[:1].lower()}{order.name[1:]}"
    return _("{order}, for {day}").format(order=words, day=day_words(when)) if when is not None else words
