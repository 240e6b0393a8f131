"""Changes by hand to the posted plan: they gather in one draft, are undone and done again, and are posted as one.

Nothing of a draft is in the plan on the wall. What a change breaks is told by the independent check; a yard's own limit
may be waived with a reason, which is kept with the plan and honoured by the check; what keeps people and boats safe may
not (`WaiverRefused`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from yard.models import Event, Fact, FactKind, HandChange, HandDraft, Job, Plan, Trip
from yard.planning.by_hand import Judged, crew_in_order, judge, rest_after
from yard.planning.check import Breach, faults
from yard.planning.plan import Placement, Planned, score
from yard.planning.plan import Plan as PlannerPlan
from yard.services.check_water import WaterFault, water_faults
from yard.services.facts_revision import bump_facts, lock_facts
from yard.services.hand_rows import applied, difference, with_waivers, without_pins, write_pins, write_waivers
from yard.services.happenings import EventRefused, Split
from yard.services.plan_in_memory import InMemory, forget, lay_posted, plan_in_memory
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.record_event import record_event, take_back
from yard.services.save_plan import Making, PlanRefused, post_plan, save_plan

State = HandDraft.State
Found = TypeVar("Found")


class HandRefused(Exception):
    """It cannot be done by hand; the text says why and what to do. Nothing was changed."""

    def __init__(self, text: str, faults: Sequence[str] = ()) -> None:
        super().__init__(text)
        self.faults = tuple(faults)


@dataclass(frozen=True)
class Draft:
    """The posted plan with the changes that hold. row: None where nobody changed anything yet."""

    row: HandDraft | None
    base: InMemory
    plan: PlannerPlan
    changes: tuple[HandChange, ...]

    @property
    def read(self) -> ReadProblem:
        return self.base.read

    @property
    def version(self) -> int:
        return 0 if self.row is None else self.row.version

    @property
    def done(self) -> tuple[HandChange, ...]:
        return self.changes[: self.row.done] if self.row is not None else ()


@dataclass(frozen=True)
class Tried:
    """A placement as judged. wet: what the water says against it.  may_waive: the rules that a reason excuses.

    never: what no reason excuses; nor does one excuse the water.
    """

    judged: Judged
    wet: tuple[WaterFault, ...]
    may_waive: tuple[Breach, ...]
    never: tuple[Breach, ...]

    @property
    def holds(self) -> bool:
        return not self.judged.breaches and not self.wet


@dataclass(frozen=True)
class Wish:
    """What a person wants of a job: a placement.  also_others: those in its way move as was shown.  pins: it stays."""

    placement: Placement
    reason: str = ""
    also_others: bool = False
    pins: bool = False


def draft_now(*, now: datetime) -> Draft | None:
    """The draft as it stands on the plan and the facts of now; None where no plan is posted."""
    base = plan_in_memory(now=now)
    if base is None:
        return None
    row = HandDraft.objects.filter(based_on=base.posted, state=State.OPEN).first()
    changes = tuple(row.changes.select_related("job__order__boat", "made_by").order_by("sequence")) if row else ()
    base = replace(base, read=with_waivers(base.read, changes[: row.done] if row else ()))
    plan = base.plan
    for change in changes[: row.done] if row else ():
        plan = applied(base.read, plan, change)
    base = replace(base, read=without_pins(base.read, changes[: row.done] if row else ()))
    return Draft(row, base, plan, changes)


def try_placement(draft: Draft, wanted: Placement) -> Tried:
    """Judge a placement on the draft; nothing is kept."""
    read, judged = draft.read, judge(draft.read.problem, draft.plan, wanted)
    mine = replace(judged.plan, placements=(wanted,), stays=(), left_out=())
    wet = tuple(water_faults(read, mine))
    may = tuple(b for b in judged.breaches if b.waivable and not _permit_missing(read, b))
    return Tried(judged, wet, may, tuple(b for b in judged.breaches if b not in may))


def change(draft: Draft, wish: Wish, *, says: str, seen_version: int, by: User, now: datetime) -> HandDraft:
    """Add a change to the draft.  Raises HandRefused: somebody else changed it, or what it breaks is not excused."""
    if trip := Trip.objects.filter(pins__job=draft.read.jobs[wish.placement.job], called_off_at=None).first():
        raise HandRefused(
            _("This is the {trip}, which does not move: change the trip on its page, or call it off.").format(trip=trip)
        )
    tried = try_placement(draft, wish.placement)
    plan, breaches = tried.judged.plan, tried.judged.breaches
    if wish.also_others and tried.judged.with_others is not None:
        plan, breaches = tried.judged.with_others, tried.judged.left
    may = [b for b in breaches if b.waivable and not _permit_missing(draft.read, b)]
    hard = [b.message for b in breaches if b not in may] + [fault.message for fault in tried.wet]
    if hard:
        raise HandRefused(_("This cannot be, and no reason excuses it:"), hard)
    if may and not wish.reason.strip():
        raise HandRefused(_("This breaks a limit of the yard's own: say why it may."), [b.message for b in may])
    waives = [
        {"rule": b.rule, "job": draft.read.jobs[b.job], "limit": b.message[:80]} for b in may if b.job is not None
    ]
    with transaction.atomic():
        row = _claim(draft, seen_version, by, now)
        rows, nights = difference(draft.read, draft.plan, plan)
        made = HandChange.objects.create(
            draft=row,
            sequence=row.done + 1,
            job_id=draft.read.jobs[wish.placement.job],
            says=says[:300],
            placements=rows,
            stays=nights,
            pins=wish.pins or bool(waives),
            waives=waives,
            reason=wish.reason.strip()[:200],
            made_by=by,
            made_at=now,
        )
        HandDraft.objects.filter(pk=row.pk).update(done=made.sequence)
    return row


def split(job: Job, first_min: int, reason: str, *, seen_version: int, by: User, now: datetime) -> HandDraft:
    """Split a job in two and find the rest a place.  Raises HandRefused."""
    with _forgotten_if_refused(), transaction.atomic():
        before = _demand(draft_now(now=now))
        if before.version != seen_version:
            raise HandRefused(_("Somebody else changed the draft meanwhile: look at it again."))
        event, draft, plan = _split(job, first_min, reason, by, now)
        row = _claim(draft, seen_version, by, now)
        rows, nights = difference(draft.read, draft.plan, plan)
        HandChange.objects.create(
            draft=row,
            sequence=row.done + 1,
            job=job,
            says=event.says,
            placements=rows,
            stays=nights,
            reason=reason[:200],
            event=event,
            made_by=by,
            made_at=now,
        )
        HandDraft.objects.filter(pk=row.pk).update(done=F("done") + 1)
    return row


def _split(job: Job, first_min: int, reason: str, by: User, now: datetime) -> tuple[Event, Draft, PlannerPlan]:
    """Write the split; gives the draft on the facts as they are then, and its plan with both parts."""
    try:
        event = record_event(Split(job, first_min, reason), by=by, now=now)
    except EventRefused as error:
        raise HandRefused(str(error)) from error
    draft = _demand(draft_now(now=now))
    rest = job.later_parts.order_by("-id").first()
    if rest is None or job.pk not in draft.read.jobs or rest.pk not in draft.read.jobs:
        raise HandRefused(_("This job is not in the plan, so it is not split there."))
    first, second = draft.read.jobs.index(job.pk), draft.read.jobs.index(rest.pk)
    if first not in draft.plan.by_job():
        raise HandRefused(_("This job has no place in the plan yet, so it is not split there."))
    plan = rest_after(draft.read.problem, draft.plan, first, second)
    if plan is None:
        raise HandRefused(_("There is no room for the rest before the work that waits for it."))
    return event, draft, plan


@contextmanager
def _forgotten_if_refused() -> Iterator[None]:
    """The season is read in the transaction; where that is rolled back, what was kept of it was never so."""
    try:
        yield
    except BaseException:
        forget()
        raise


def undo(row: HandDraft, *, seen_version: int, by: User, now: datetime) -> None:
    """Take the last change back; it can be done again.  Raises HandRefused.

    What was undone after a split is forgotten with it: it may name the part that is gone.
    """
    with transaction.atomic():
        bump_facts()
        _claim_row(row, seen_version)
        last = row.changes.filter(sequence=row.done).first()
        if last is None:
            raise HandRefused(_("There is nothing to undo."))
        if last.event is not None:
            _unsplit(last.event, by, now)
            row.changes.filter(sequence__gt=row.done).delete()
        HandDraft.objects.filter(pk=row.pk).update(done=row.done - 1)


def redo(row: HandDraft, *, seen_version: int, by: User, now: datetime) -> None:
    """Do again what was undone last; a job is split as it was, and its rest put anew.  Raises HandRefused."""
    with _forgotten_if_refused(), transaction.atomic():
        _claim_row(row, seen_version)
        again = row.changes.filter(sequence=row.done + 1).select_related("event", "job").first()
        if again is None:
            raise HandRefused(_("There is nothing to do again."))
        if again.event is not None:
            again.event, draft, plan = _split(again.job, _first_min(again.event), again.reason, by, now)
            again.placements, again.stays = difference(draft.read, draft.plan, plan)
            again.save(update_fields=["event", "placements", "stays"])
        HandDraft.objects.filter(pk=row.pk).update(done=row.done + 1)


def _first_min(event: Event) -> int:
    """The minutes of the first part, as the split wrote them."""
    return next(int(one["after"]["duration_min"]) for one in event.rows if "duration_min" in one["after"])


def drop(row: HandDraft, *, seen_version: int, by: User, now: datetime) -> None:
    """Leave the plan as it hangs; jobs that were split are whole again.  Raises HandRefused."""
    with transaction.atomic():
        bump_facts()
        _claim_row(row, seen_version)
        for one in row.changes.filter(sequence__lte=row.done, event__isnull=False).order_by("-sequence"):
            assert one.event is not None
            _unsplit(one.event, by, now)
        HandDraft.objects.filter(pk=row.pk).update(state=State.DROPPED)


def post(row: HandDraft, *, seen_version: int, by: User, now: datetime) -> Plan:
    """Check the whole draft once more and put it on the wall, its waivers and pins with it.  Raises HandRefused.

    Reading a season takes most of the time, so what is kept in memory is used where no waiver changes the facts.
    """
    with transaction.atomic():
        lock_facts()
        _claim_row(row, seen_version)
        base = _demand(plan_in_memory(now=now), _("Another plan was posted since: drop these changes."))
        if base.posted.pk != row.based_on_id:
            raise HandRefused(_("Another plan was posted since: drop these changes, and make them on that one."))
        changes = list(row.changes.filter(sequence__lte=row.done).select_related("job").order_by("sequence"))
        if not changes:
            raise HandRefused(_("Nothing is changed, so there is nothing to post."))
        if any(one.waives for one in changes):
            bump_facts()
            write_waivers(changes, by, now)
            base = lay_posted(base.posted, read_problem(now=now))
        plan = base.plan
        for one in changes:
            plan = applied(base.read, plan, one)
        read = without_pins(base.read, changes)
        found = Planned(plan=plan, score=score(read.problem, plan), bound=0, proved=False, seconds=0, ended="stopped")
        try:
            draft = save_plan(read, found, Making(by=by, now=now, seed=0, note=_("changed by hand")))
        except PlanRefused as error:
            raise HandRefused(_("The plan with these changes does not hold as facts are now:"), error.faults) from error
        new = post_plan(draft, by=by, now=now)
        write_pins(changes, by, now)
        bump_facts()
        HandDraft.objects.filter(pk=row.pk).update(state=State.POSTED, posted=new)
    return new


def draft_faults(draft: Draft) -> tuple[Breach, ...]:
    """What the draft breaks as a whole, beyond what the plan on the wall breaks already."""
    problem = draft.read.problem
    before = {(b.rule, b.job, b.message) for b in faults(problem, draft.base.plan)}
    return tuple(b for b in faults(problem, draft.plan) if (b.rule, b.job, b.message) not in before)


def with_people(draft: Draft, placement: Placement, people: Iterable[int]) -> Placement:
    """The same with these people (the planner's indices), in the order of the way's needs."""
    crew = crew_in_order(draft.read.problem, placement.job, placement.way, people)
    return replace(placement, people=crew)


def _demand(found: Found | None, otherwise: str = "") -> Found:
    if found is None:
        raise HandRefused(otherwise or _("No plan is posted yet, so nothing is changed by hand."))
    return found


def _claim(draft: Draft, seen_version: int, by: User, now: datetime) -> HandDraft:
    """The open draft, made where there is none, for whoever saw its version; what was undone before is forgotten."""
    if draft.row is None:
        other = HandDraft.objects.filter(based_on=draft.base.posted, state=State.OPEN).exists()
        if other or seen_version:
            raise HandRefused(_("Somebody else began to change this plan meanwhile: look at it again."))
        return HandDraft.objects.create(based_on=draft.base.posted, made_by=by, made_at=now)
    _claim_row(draft.row, seen_version)
    draft.row.changes.filter(sequence__gt=draft.row.done).delete()
    return draft.row


def _claim_row(row: HandDraft, seen_version: int) -> None:
    rows = HandDraft.objects.filter(pk=row.pk, state=State.OPEN, version=seen_version)
    if rows.update(version=F("version") + 1) != 1:
        raise HandRefused(_("Somebody else changed the draft meanwhile: look at it again."))
    row.refresh_from_db()


def _unsplit(event: Event, by: User, now: datetime) -> None:
    if event.withdrawn_at is not None:
        return  # somebody took it back where events are listed
    try:
        take_back(event, by=by, now=now)
    except EventRefused as error:
        raise HandRefused(str(error)) from error


def _permit_missing(read: ReadProblem, breach: Breach) -> bool:
    """Whether what is broken is the date of a permit that is not here: that no reason excuses."""
    if breach.rule != "release" or breach.job is None:
        return False
    waits = Fact.objects.filter(jobs=read.jobs[breach.job], kind=FactKind.PERMIT)
    return waits.exclude(state=Fact.State.HERE).exists()
