"""What can happen to a yard's day, as plain values: each is written down by `record_event`."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from django.contrib.auth.models import User

from yard.models import Boat, Closure, DatedHours, ExtraWork, Fact, Item, Job, JobKind, Mooring, Order, Person, Place


class EventRefused(Exception):
    """What was told cannot be; the text says which field is wrong and what to do. Nothing was saved."""


@dataclass(frozen=True, slots=True)
class Closed:
    """All outdoors, the water or one place is shut in [starts_at, ends_at)."""

    covers: str
    starts_at: datetime
    ends_at: datetime
    reason: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Accepted:
    """A closure that was suggested is one now."""

    closure: Closure


@dataclass(frozen=True, slots=True)
class Hours:
    """People are away, or here beyond their hours, in [starts_at, ends_at)."""

    kind: str  # DatedHours.Kind
    people: tuple[Person, ...]
    starts_at: datetime
    ends_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class Slipped:
    """A contractor comes on another day than agreed. visit: the agreed hours, which move to [starts_at, ends_at)."""

    visit: DatedHours
    starts_at: datetime
    ends_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class LiesTonight:
    """Where a boat lies from now on: in a place of the yard, or on a mooring."""

    boat: Boat
    place: Place | None = None
    mooring: Mooring | None = None


@dataclass(frozen=True, slots=True)
class Started:
    """A job is begun."""

    job: Job
    started_at: datetime


@dataclass(frozen=True, slots=True)
class Took:
    """A job under way has so many minutes of work left."""

    job: Job
    left_min: int
    reason: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """A job was not begun, or stopped part done with left_min of work left; the rest needs a new day."""

    job: Job
    reason: str
    left_min: int | None = None
    lies: LiesTonight | None = None


@dataclass(frozen=True, slots=True)
class SailsOff:
    """How sails came off: each is dry or damp."""

    dry: tuple[Item, ...] = ()
    damp: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True)
class Done:
    """A job is done. people: who did it; none named: those of the posted plan. worked_min: None as planned.

    sails: of unbending, how they came off; None where nobody said.
    """

    job: Job
    ended_at: datetime
    people: tuple[Person, ...] = ()
    worked_min: int | None = None
    sails: SailsOff | None = None


@dataclass(frozen=True, slots=True)
class BaggedDamp:
    """Sails that lie damp in the bag since then, said of the sails themselves: they want a line."""

    sails: tuple[Item, ...]
    since: datetime


@dataclass(frozen=True, slots=True)
class NewJob:
    """A piece of work that a fault brings, to be done before the job that failed. waits_on: a part, with its date."""

    name: str
    kind: JobKind
    duration_min: int
    waits_on: str = ""
    expected_date: date | None = None


@dataclass(frozen=True, slots=True)
class Failed:
    """A job did not succeed and is to be done again, after the new jobs."""

    job: Job
    reason: str
    new_jobs: tuple[NewJob, ...] = ()
    lies: LiesTonight | None = None


@dataclass(frozen=True, slots=True)
class Split:
    """A job is done in two parts: first_min of it, and the rest later."""

    job: Job
    first_min: int
    reason: str


@dataclass(frozen=True, slots=True)
class FactTold:
    """A fact is here, or expected on another day."""

    fact: Fact
    expected_date: date | None
    told_by: str


@dataclass(frozen=True, slots=True)
class NewDate:
    """An owner asks for another day."""

    order: Order
    wanted_date: date


@dataclass(frozen=True, slots=True)
class Urgent:
    """An order goes before all others."""

    order: Order
    reason: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A boat lies elsewhere, and somebody stands in the way now; `whereabouts` wrote where she lies."""

    says: str


@dataclass(frozen=True, slots=True)
class HoursWorked:
    """What somebody really worked on a job that day, minutes."""

    job: Job
    person: Person
    worked_min: int


@dataclass(frozen=True, slots=True)
class Used:
    """A material that a job took."""

    job: Job
    name: str
    quantity: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class ExtraAgreed:
    """Work beyond the order, and whether the owner said yes."""

    job: Job
    what: str
    extra_min: int
    agreed: str = ExtraWork.Agreed.NOT_ASKED


@dataclass(frozen=True, slots=True)
class Floated:
    """The gauge at which a boat really floated off, metres above datum."""

    boat: Boat
    at: datetime
    observed_m: float


@dataclass(frozen=True, slots=True)
class DayClosed:
    """A day's work, each job by what became of it, and what was added by hand."""

    day: date
    outcomes: tuple[Done | Stopped | Started, ...]
    hours: tuple[HoursWorked, ...] = ()
    used: tuple[Used, ...] = ()
    extras: tuple[ExtraAgreed, ...] = ()
    floated: tuple[Floated, ...] = ()


Happening = (
    Closed
    | Accepted
    | Hours
    | Slipped
    | Started
    | Took
    | Stopped
    | Done
    | BaggedDamp
    | Failed
    | Split
    | FactTold
    | NewDate
    | Urgent
    | Moved
    | DayClosed
)


@dataclass(frozen=True, slots=True)
class Scribe:
    """Who writes it down, and when by the yard's clock; `today` is the yard's date."""

    by: User | None
    now: datetime
    today: date = field(default=date.min)
