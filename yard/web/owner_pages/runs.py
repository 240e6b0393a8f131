"""An owner asks, on the private page, to be carried out to the boat or back; a person at the yard answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Boat, Owner, OwnerPage, RunWish
from yard.notices.wording import day_words, hour_words
from yard.queries.runs import wishes_of
from yard.services.owners_runs import RunRefused, WishAsked, ask_run, boats_that_carry
from yard.web.owner_pages.answers import fresh_key
from yard.web.runs.forms import instant
from yard.web.units import local

KIND = "run"
"""What the form's button says it is, beside the kinds of an answer."""
MOST_ASKED = 12


class OwnRunForm(forms.Form):
    """Which of her owner's boats, when, how many. key: the same form sent twice is one wish."""

    key = forms.UUIDField()
    boat = forms.ModelChoiceField(
        Boat.objects.none(), error_messages={"invalid_choice": gettext_lazy("Choose one of your boats.")}
    )
    way = forms.ChoiceField(choices=RunWish.Way.choices)
    on = forms.DateField(
        error_messages={
            "required": gettext_lazy("Say on which day."),
            "invalid": gettext_lazy("Write the day as 2027-05-14."),
        }
    )
    from_at = forms.TimeField(error_messages={"required": gettext_lazy("Say from which hour.")})
    until_at = forms.TimeField(error_messages={"required": gettext_lazy("Say until which hour.")})
    people = forms.IntegerField(min_value=1, max_value=MOST_ASKED)

    def __init__(self, data: Any, owner: Owner) -> None:
        super().__init__(data)
        boats = cast("forms.ModelChoiceField[Any]", self.fields["boat"])
        boats.queryset = her_boats(owner)

    def asked(self, owner: Owner) -> WishAsked:
        said = self.cleaned_data
        return WishAsked(
            owner=owner,
            name=owner.name[:80],
            phone=owner.phone,
            boat=said["boat"],
            way=said["way"],
            people=said["people"],
            from_at=instant(said["on"], said["from_at"]),
            until_at=instant(said["on"], said["until_at"]),
        )


def her_boats(owner: Owner) -> Any:
    return Boat.objects.filter(archived=False, ownerships__owner=owner, ownerships__ends_on=None).order_by("name", "id")


@dataclass(frozen=True)
class OwnRuns:
    """boats: to choose from; wishes: what was asked, in words. None of both where the yard carries nobody."""

    boats: tuple[Boat, ...]
    wishes: tuple[str, ...]
    key: str


def own_runs(page: OwnerPage, *, now: datetime) -> OwnRuns | None:
    """None where no workboat carries owners. Five queries at most."""
    if not boats_that_carry().exists():
        return None
    wishes = tuple(_words(wish) for wish in wishes_of(page.owner_id, now=now))
    return OwnRuns(tuple(her_boats(page.owner)), wishes, fresh_key())


def _words(wish: RunWish) -> str:
    """ "Wagtail, Friday 7 May: out to her at 14:00, 2 people" """
    whose = wish.boat.name if wish.boat is not None else _("your boat")
    count = ngettext("{n} person", "{n} people", wish.people).format(n=wish.people)
    head = f"{whose}, {day_words(local(wish.from_at).date())}: {wish.get_way_display()}"
    match wish.state:
        case RunWish.State.BOOKED if wish.run is not None:
            return _("{run} at {time}, {people}; be at the float ten minutes before").format(
                run=head, time=hour_words(local(wish.run.leaves_at).time()), people=count
            )
        case RunWish.State.DECLINED:
            return _("{run}: not possible, {answer}").format(run=head, answer=wish.answer)
    return _("{run} between {first} and {last}, {people}; the yard has not answered yet").format(
        run=head,
        first=hour_words(local(wish.from_at).time()),
        last=hour_words(local(wish.until_at).time()),
        people=count,
    )


def take_run(page: OwnerPage, data: Any, *, now: datetime) -> str:
    """What is wrong with it, "" where the wish was kept."""
    form = OwnRunForm(data, page.owner)
    if not form.is_valid():
        return next((" ".join(map(str, errors)) for errors in form.errors.values()), "")
    try:
        ask_run(form.asked(page.owner), form_key=form.cleaned_data["key"], by=None, now=now)
    except RunRefused as refused:
        return str(refused)
    except ValidationError as wrong:
        return " ".join(wrong.messages)
    return ""
