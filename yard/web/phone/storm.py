"""The storm list as people read it: by tide, with what is left undone said first, and the one message to all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.day_names import said
from yard.models import Boat, BoatOwner, Proposal, Storm, StormLine, YardSettings
from yard.models.checks import on_the_quarter
from yard.services.storm import Warned
from yard.web.phone.storm_work import crewed_words, hauls_of, words_of
from yard.web.units import local

Todo = Boat.InAStorm
HEADS = {
    Todo.ASK: gettext_lazy("Ask the owner"),
    Todo.STRIP: gettext_lazy("Strip sails and canvas"),
    Todo.DOUBLE: gettext_lazy("Double the pendants"),
}


class StormForm(forms.Form):
    """A warning: what it is called, when it comes, how long work is shut, whether night tides are used."""

    name = forms.CharField(label=gettext_lazy("What"), max_length=80, help_text=gettext_lazy("as “north-easter”"))
    day = forms.DateField(label=gettext_lazy("comes on"), widget=forms.DateInput(attrs={"type": "date"}))
    at = forms.TimeField(
        label=gettext_lazy("at"),
        widget=forms.TimeInput(attrs={"type": "time", "step": "900"}, format="%H:%M"),
        validators=[on_the_quarter],
        initial=time(18),
    )
    until = forms.DateField(
        label=gettext_lazy("work is shut until the morning of"), widget=forms.DateInput(attrs={"type": "date"})
    )
    night_tides = forms.BooleanField(label=gettext_lazy("haul on night tides too"), required=False)
    hauls_per_tide = forms.IntegerField(
        label=gettext_lazy("boats hauled on one tide"),
        min_value=1,
        max_value=20,
        initial=4,
        help_text=gettext_lazy(
            "at most, by the water; the proposal then says for how many there are people, ramp and trailer"
        ),
    )

    def warned(self) -> Warned:
        given = self.cleaned_data
        return Warned(
            given["name"],
            timezone.make_aware(datetime.combine(given["day"], given["at"])),
            timezone.make_aware(datetime.combine(given["until"], time(6))),
            given["night_tides"],
            given["hauls_per_tide"],
        )


@dataclass(frozen=True)
class ToDo:
    """A line of the list with the work that was ordered for it, in words; none where it is not ordered."""

    line: StormLine
    work: tuple[str, ...] = ()


@dataclass(frozen=True)
class StormGroup:
    """Boats of one tide, or of one kind of work. late: no tide is left for them."""

    head: str
    rows: tuple[ToDo, ...]
    late: bool = False


@dataclass(frozen=True)
class StormPage:
    """crewed: how many hauls have people, ramp and trailer in the plan or the proposal, in words; or nothing.

    unmanned: boats (ids) that a tide would float and the proposal has nobody for.
    """

    verdict: str
    crewed: str
    groups: tuple[StormGroup, ...]
    done: int
    count: int
    unmanned: frozenset[int]


def storm_page(storm: Storm, proposal: Proposal | None) -> StormPage:
    """Seven queries, however many boats."""
    lines = tuple(storm.lines.select_related("boat", "done_by").order_by("sequence", "id"))
    work = hauls_of(storm, proposal)
    rows = tuple(ToDo(line, words_of(line, work)) for line in lines)
    done = sum(one.done_at is not None for one in lines)
    unmanned = frozenset(line.boat_id for line in lines if _has_tide(line) and work.lacks(line))
    verdict = _verdict(lines, unmanned, _("tide, crew and trailer") if work.proposing else _("the tides"))
    return StormPage(verdict, crewed_words(lines, work), tuple(_groups(rows)), done, len(lines), unmanned)


def _has_tide(line: StormLine) -> bool:
    return line.todo == Todo.HAUL and line.tide_at is not None


def _verdict(lines: Sequence[StormLine], unmanned: frozenset[int], by: str) -> str:
    """Honest about how many can be hauled in time, by what is known."""
    haul = [one for one in lines if one.todo == Todo.HAUL]
    if not lines:
        return _("No boat lies afloat")
    if not haul:
        return ngettext(
            "{n} boats afloat, none of which is to be hauled",
            "{n} boats afloat, none of which is to be hauled",
            len(lines),
        ).format(n=len(lines))
    could = [one for one in haul if one.tide_at is not None or one.done_at is not None]
    can = sum(one.boat_id not in unmanned for one in could)
    if can == len(haul):
        return _("By {by} all {n} that are to be hauled can be in time").format(by=by, n=len(haul))
    return _("By {by} {can} of the {n} that are to be hauled can be in time; {cannot} cannot").format(
        by=by, can=can, n=len(haul), cannot=len(haul) - can
    )


def _groups(lines: Sequence[ToDo]) -> list[StormGroup]:
    by_tide: dict[datetime, list[ToDo]] = {}
    late: list[ToDo] = []
    for one in lines:
        if one.line.todo != Todo.HAUL:
            continue
        if one.line.tide_at is None:
            late.append(one)
        else:
            by_tide.setdefault(one.line.tide_at, []).append(one)
    found = [StormGroup(_("Haul, high water {at}").format(at=_words(at)), tuple(by_tide[at])) for at in sorted(by_tide)]
    if late:
        found.append(StormGroup(_("Cannot be hauled in time"), tuple(late), late=True))
    for todo, head in HEADS.items():
        rows = tuple(one for one in lines if one.line.todo == todo)
        if rows:
            found.append(StormGroup(str(head), rows))
    return found


def _words(at: datetime) -> str:
    shown = local(at)
    return said(shown, "D j M H:i")


def message_to_all(storm: Storm, yard: YardSettings, unmanned: frozenset[int] = frozenset()) -> str:
    """The one message to every owner of a boat afloat, to be read and sent by a person.

    unmanned: boats (ids) that a tide would float, and nobody is free to haul.
    """
    lines = list(storm.lines.select_related("boat"))
    names = _by_what(lines, unmanned)
    parts = [
        _(
            "{storm} is expected here {comes_at}. This is what we mean to do before it, by what you told us; "
            "the weather decides how far we get."
        ).format(storm=storm.name, comes_at=_words(storm.comes_at)),
        _("We haul, as the tides allow: {names}.").format(names=names["haul"]) if names["haul"] else "",
        _("We cannot haul in time, and strip her and double her pendants instead: {names}.").format(names=names["late"])
        if names["late"]
        else "",
        _("We take sails and canvas off: {names}.").format(names=names["strip"]) if names["strip"] else "",
        _("We double the pendants: {names}.").format(names=names["double"]) if names["double"] else "",
        _("You asked to be asked. Tell us today: haul, strip, or double the pendants? {names}.").format(
            names=names["ask"]
        )
        if names["ask"]
        else "",
        _(
            "Please do not come out to your boat once it blows. Take what is loose home before, and call us with "
            "anything we should know."
        ),
        " ".join(part for part in (yard.name, yard.phone) if part),
    ]
    return "\n\n".join(part for part in parts if part)


def _by_what(lines: Sequence[StormLine], unmanned: frozenset[int]) -> dict[str, str]:
    """Names of boats by what is done for them."""
    found: dict[str, list[str]] = {name: [] for name in ("haul", "late", "strip", "double", "ask")}
    for one in lines:
        late = one.todo == Todo.HAUL and (one.tide_at is None or one.boat_id in unmanned)
        found["late" if late else one.todo].append(one.boat.name)
    return {name: ", ".join(boats) for name, boats in found.items()}


def send_to(storm: Storm) -> dict[str, Any]:
    """Whom the message goes to: e-mail addresses, and telephones of those without. One query."""
    rows = BoatOwner.objects.filter(boat__storm_lines__storm=storm, ends_on=None).select_related("owner", "boat")
    owners = {row.owner_id: row.owner for row in rows}
    return {
        "emails": "; ".join(sorted({one.email for one in owners.values() if one.email})),
        "phones": sorted((one.name, one.phone) for one in owners.values() if not one.email and one.phone),
        "unknown": sorted(one.name for one in owners.values() if not one.email and not one.phone),
    }
