"""The form on which a day is closed, read by the numbers of its sheet. It works without a script, in two rounds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import ExtraWork, Fact, Job, Person, Place, PlannedJob, YardSettings
from yard.queries.phone import closing_rows, places_to_lie
from yard.queries.sails import DRY, UNBEND, sails_of_jobs
from yard.services.close_day import Presumed, presumed
from yard.services.happenings import (
    DayClosed,
    Done,
    ExtraAgreed,
    Floated,
    HoursWorked,
    LiesTonight,
    SailsOff,
    Started,
    Stopped,
    Used,
)
from yard.web.days.gauge import typed_height
from yard.web.days.ramp_work import boat_name, parts_of
from yard.web.phone.taps import LEFT, REASONS
from yard.web.units import at_minute

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

WHAT = (
    ("no", gettext_lazy("not begun")),
    ("part", gettext_lazy("part done")),
    ("longer", gettext_lazy("took longer")),
    ("people", gettext_lazy("other people")),
    ("yes", gettext_lazy("done")),
)
CAME_OFF = (("dry", gettext_lazy("dry")), ("damp", gettext_lazy("damp")))
ROWS_OF_MATERIALS, ROWS_OF_EXTRAS = 3, 2
MOST_HOURS = 24.0
ON_THE_LINE = gettext_lazy("on the line until somebody says dry: touch it and say done")


@dataclass(frozen=True)
class SheetJob:
    """A number of the sheet. open: something can still be said of it. presumed: what it counts as, untouched."""

    number: int
    row: PlannedJob
    open: bool
    presumed: str

    @property
    def pk(self) -> int:
        return self.row.job_id

    @property
    def boat(self) -> str:
        return boat_name(self.row.job.order)

    @property
    def name(self) -> str:
        return self.row.job.name

    @property
    def launches(self) -> bool:
        return self.row.job.water_need == "ramp" and self.row.job.order.boat is not None

    @property
    def afloat(self) -> bool:
        return self.row.job.order.boat is not None and (self.row.job.outdoor or self.launches)

    @property
    def planned_min(self) -> int:
        return int((self.row.ends_at - self.row.starts_at).total_seconds() // 60)


Choice = tuple[str, str, bool]
"""Value, words, whether it is chosen."""


@dataclass(frozen=True)
class AskedJob:
    """The box of one number: what may be chosen, and what is."""

    job: SheetJob
    shown: bool
    what: list[Choice]
    why: list[Choice]
    left: list[Choice]
    took: str
    lies: list[Choice]
    sails: list[Choice]
    people: list[Choice]


def _marked(choices: Iterable[tuple[str, str]], chosen: str) -> list[Choice]:
    return [(value, words, value == chosen) for value, words in choices]


@dataclass
class Sheet:
    """A day's numbers, and what was typed on the form."""

    day: date
    jobs: tuple[SheetJob, ...]
    taken: Presumed
    people: tuple[Person, ...]
    places: tuple[Place, ...]
    sent: QueryDict
    errors: dict[str, str] = field(default_factory=dict)
    form_key: UUID = field(default_factory=uuid4)

    @property
    def touched(self) -> list[SheetJob]:
        marked = set(self.sent.getlist("x"))
        return [job for job in self.jobs if job.open and str(job.pk) in marked]

    def people_of(self, jobs: Sequence[SheetJob]) -> list[tuple[Person, str]]:
        """Who had one of these jobs, with the hours planned for the day."""
        names = {each.person_id: each.person for job in jobs for each in job.row.planned_people.all()}
        return [(person, f"{self.planned_of(pk) / 60:.2f}") for pk, person in sorted(names.items())]

    def planned_of(self, person: int) -> int:
        """Minutes of the sheet that a person was to work."""
        return sum(
            job.planned_min for job in self.jobs if person in {e.person_id for e in job.row.planned_people.all()}
        )

    @property
    def touched_people(self) -> list[tuple[Person, str]]:
        """Whose hours are asked, with what was planned or typed."""
        return [(one, self.value(f"hours{one.pk}", planned)) for one, planned in self.people_of(self.touched)]

    @property
    def launches(self) -> list[SheetJob]:
        return [job for job in self.jobs if job.open and job.launches]

    @property
    def asked(self) -> list[AskedJob]:
        """What can be said of each open number, with what was said already."""
        return [self._asked(job) for job in self.jobs if job.open]

    def _asked(self, job: SheetJob) -> AskedJob:
        pk, done_by = job.pk, set(self.sent.getlist(f"p{job.pk}"))
        places = [(f"place-{each.pk}", each.name) for each in self.places] if job.afloat else []
        return AskedJob(
            job=job,
            shown=job in self.touched,
            what=_marked(_said(WHAT), self.value(f"h{pk}")),
            why=_marked(_said(REASONS), self.value(f"w{pk}")),
            left=_marked([(str(minutes), str(words)) for minutes, words in LEFT], self.value(f"r{pk}")),
            took=self.value(f"t{pk}"),
            lies=_marked(places, self.value(f"l{pk}")),
            sails=_marked(_said(CAME_OFF), self.value(f"s{pk}")) if job.row.job.kind.key == UNBEND else [],
            people=[(str(one.pk), one.short_name, str(one.pk) in done_by) for one in self.people],
        )

    @property
    def materials(self) -> list[dict[str, object]]:
        return [self._row(n, ("mjob", "mname", "mqty", "munit")) for n in range(ROWS_OF_MATERIALS)]

    @property
    def extras(self) -> list[dict[str, object]]:
        rows = [self._row(n, ("xjob", "xwhat", "xhours")) for n in range(ROWS_OF_EXTRAS)]
        for n, row in enumerate(rows):
            row["agreed"] = _marked(
                [(value, str(words)) for value, words in ExtraWork.Agreed.choices], self.value(f"xyes{n}")
            )
        return rows

    def _row(self, n: int, names: Sequence[str]) -> dict[str, object]:
        return {"n": n, "number": n + 1} | {name: self.value(f"{name}{n}") for name in names}

    def value(self, name: str, otherwise: str = "") -> str:
        return self.sent.get(name, otherwise)


def read_sheet(day: date, sent: QueryDict, *, now: datetime) -> Sheet:
    """Five queries, however many jobs."""
    starts, ends = at_minute(day, 0), at_minute(day, 1440)
    rows = closing_rows(starts, ends)
    taken = presumed(rows, ends_at=ends, now=now)
    waiting = {job.pk for job in taken.waiting}
    jobs = tuple(
        SheetJob(number, row, row.job_id in taken.outcomes or row.job_id in waiting, _presumed(row, taken, waiting))
        for number, row in enumerate(rows, start=1)
    )
    people = tuple(Person.objects.filter(archived=False).order_by("short_name"))
    sheet = Sheet(day, jobs, taken, people, tuple(places_to_lie()), sent)
    with suppress(ValueError):  # a page that is read first has a fresh one
        sheet.form_key = UUID(sent.get("form_key", ""))
    return sheet


def _presumed(row: PlannedJob, taken: Presumed, waiting: set[int]) -> str:
    if row.job_id in waiting:
        facts = [fact.name for fact in row.job.facts.all() if fact.state != Fact.State.HERE]
        return _("not begun: waits on {facts}").format(facts=", ".join(facts))
    match taken.outcomes.get(row.job_id):
        case Done():
            return (
                _("done, as planned; say if the sails came off damp")
                if row.job.kind.key == UNBEND
                else _("done, as planned")
            )
        case Started():
            return str(ON_THE_LINE) if row.job.kind.key == DRY else _("under way, goes on")
        case _:
            if row.job.state != Job.State.STARTED:
                return str(row.job.get_state_display())
            return str(ON_THE_LINE) if row.job.kind.key == DRY else _("under way, goes on")


def what_happened(sheet: Sheet, yard: YardSettings) -> DayClosed | None:
    """The day as told; None where the form must be shown again, with `errors` saying why."""
    outcomes: dict[int, Done | Stopped | Started] = dict(sheet.taken.outcomes)
    for job in sheet.touched:
        told = _outcome(sheet, job)
        if told is not None:
            outcomes[job.pk] = told
    floated = tuple(_floated(sheet, yard, outcomes))
    used, extras, hours = tuple(_used(sheet)), tuple(_extras(sheet)), tuple(_hours(sheet))
    if sheet.errors:
        return None
    return DayClosed(sheet.day, tuple(outcomes.values()), hours, used, extras, floated)


def what_was_added(sheet: Sheet) -> DayClosed | None:
    """Materials and extras of a day that is closed already."""
    used, extras = tuple(_used(sheet)), tuple(_extras(sheet))
    if not sheet.errors and not used and not extras:
        sheet.errors["add"] = _("Nothing was written: name a material or an extra.")
    return None if sheet.errors else DayClosed(sheet.day, (), (), used, extras)


def _outcome(sheet: Sheet, job: SheetJob) -> Done | Stopped | None:
    pk, row = job.pk, job.row
    what, why = sheet.value(f"h{pk}"), sheet.value(f"w{pk}")
    planned = sheet.taken.outcomes.get(pk)
    ended = planned.ended_at if isinstance(planned, Done) else row.ends_at
    match what:
        case "no" | "part":
            left = sheet.value(f"r{pk}")
            if not why:
                sheet.errors[f"w{pk}"] = _("{job}: say why.").format(job=job.number)
            if what == "part" and not left:
                sheet.errors[f"r{pk}"] = _("{job}: say how much is left.").format(job=job.number)
            return Stopped(
                row.job,
                dict(_said(REASONS)).get(why, why),
                int(left) if what == "part" and left.isdecimal() and len(left) < 6 else None,
                _lies(sheet, job),
            )
        case "longer":
            took = _hours_typed(sheet, f"t{pk}", _("{job}: how long did it take, in hours?").format(job=job.number))
            return Done(row.job, ended, worked_min=took, sails=_sails(sheet, job))
        case "people":
            chosen = set(sheet.sent.getlist(f"p{pk}"))
            people = tuple(one for one in sheet.people if str(one.pk) in chosen)
            if not people:
                sheet.errors[f"p{pk}"] = _("{job}: say who did it.").format(job=job.number)
            return Done(row.job, ended, people=people, sails=_sails(sheet, job))
        case "yes":
            return Done(row.job, ended, sails=_sails(sheet, job))
    sheet.errors[f"h{pk}"] = _("{job}: say what happened.").format(job=job.number)
    return None


def _sails(sheet: Sheet, job: SheetJob) -> SailsOff | None:
    """How all the sails came off, where somebody said so; of each by itself it is said on its own page."""
    how = sheet.value(f"s{job.pk}")
    if how not in ("dry", "damp") or job.row.job.kind.key != UNBEND:
        return None
    sails = sails_of_jobs([job.row.job])[job.pk]
    return SailsOff(dry=sails) if how == "dry" else SailsOff(damp=sails)


def _lies(sheet: Sheet, job: SheetJob) -> LiesTonight | None:
    boat = job.row.job.order.boat
    asked = sheet.value(f"l{job.pk}").removeprefix("place-")
    place = next((each for each in sheet.places if str(each.pk) == asked), None)
    return LiesTonight(boat, place) if boat is not None and place is not None else None


def _said(choices: Iterable[tuple[str, StrOrPromise]]) -> list[tuple[str, str]]:
    return [(value, str(words)) for value, words in choices]


def _hours_typed(sheet: Sheet, name: str, missing: str) -> int | None:
    text = sheet.value(name).replace(",", ".").strip()
    try:
        hours = float(text)
    except ValueError:
        sheet.errors[name] = missing
        return None
    if not 0 <= hours <= MOST_HOURS:
        sheet.errors[name] = f"{missing} {_('A day has at most {hours}.').format(hours=f'{MOST_HOURS:g}')}"
        return None
    return round(hours * 60)


def _hours(sheet: Sheet) -> Iterator[HoursWorked]:
    """A person's hours of the day as typed: what differs from the plan is booked on the job that went differently."""
    for person, planned in sheet.people_of(sheet.touched):
        name = f"hours{person.pk}"
        if sheet.value(name, planned) in ("", planned):
            continue
        typed = _hours_typed(sheet, name, _("Hours of {person}?").format(person=person.short_name))
        theirs = [job for job in sheet.touched if person.pk in {e.person_id for e in job.row.planned_people.all()}]
        if typed is not None and theirs:
            job = theirs[0]
            differs = typed - sheet.planned_of(person.pk)
            yield HoursWorked(job.row.job, person, max(0, job.planned_min + differs))


def _by_number(sheet: Sheet, name: str) -> Job | None:
    text = sheet.value(name).strip()
    found = next((job for job in sheet.jobs if str(job.number) == text), None)
    if found is None:
        sheet.errors[name] = _("Give the job's number on the sheet.")
        return None
    return found.row.job


def _used(sheet: Sheet) -> Iterator[Used]:
    for n in range(ROWS_OF_MATERIALS):
        name = " ".join(sheet.value(f"mname{n}").split())[:80]
        if not name:
            continue
        job, text = _by_number(sheet, f"mjob{n}"), sheet.value(f"mqty{n}").replace(",", ".").strip()
        try:
            quantity = float(text)
        except ValueError:
            quantity = 0.0
        if not 0 < quantity < 100_000:
            sheet.errors[f"mqty{n}"] = _("How much of {name}? A number above 0.").format(name=name)
        elif job is not None:
            yield Used(job, name, quantity, sheet.value(f"munit{n}")[:20])


def _extras(sheet: Sheet) -> Iterator[ExtraAgreed]:
    for n in range(ROWS_OF_EXTRAS):
        what = " ".join(sheet.value(f"xwhat{n}").split())[:120]
        if not what:
            continue
        job = _by_number(sheet, f"xjob{n}")
        minutes = (
            _hours_typed(sheet, f"xhours{n}", _("Hours for “{what}”?").format(what=what))
            if sheet.value(f"xhours{n}")
            else 0
        )
        agreed = sheet.value(f"xyes{n}")
        if agreed not in ExtraWork.Agreed.values:
            sheet.errors[f"xyes{n}"] = _("“{what}”: did the owner say yes?").format(what=what)
        elif job is not None and minutes is not None:
            yield ExtraAgreed(job, what, minutes, agreed)


def _floated(sheet: Sheet, yard: YardSettings, outcomes: Mapping[int, Done | Stopped | Started]) -> Iterator[Floated]:
    for job in sheet.jobs:
        text, boat = sheet.value(f"g{job.pk}"), job.row.job.order.boat
        if not text or boat is None or not isinstance(outcomes.get(job.pk), Done):
            continue
        typed = typed_height(text, yard)
        if isinstance(typed, str):
            sheet.errors[f"g{job.pk}"] = f"{job.number}: {typed}"
        else:
            wet = next((part for part in parts_of(job.row) if part[3]), None)
            yield Floated(boat, wet[1] if wet else job.row.starts_at, typed)
