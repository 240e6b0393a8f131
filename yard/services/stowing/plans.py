"""The one writer of store plans: proposed by the room that plans them, accepted by a person, taken back, dropped."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import StowPlan, StowSpot, YardSettings
from yard.services.facts_revision import bump_facts, lock_facts
from yard.services.pen import sign
from yard.services.stowing.ground import Ground, read_ground
from yard.services.stowing.hauled import extra_as_hauled, ground_as_hauled, posted_hauls
from yard.stowing.planning import Stowed, stow
from yard.stowing.values import Emptied, NoRoom, Stuck, launch_order

ROUNDS = 4_000
TENTHS = (5, 8, 9)


class StowRefused(Exception):
    """There is nothing to plan, or no room; the text says why and what to do. Nothing was saved."""


def propose(
    kind: StowPlan.Kind, *, yard: YardSettings, by: User | None, now: datetime, as_hauled: bool = False
) -> StowPlan:
    """Plan the store from the facts as they are; the proposal that was there before is dropped.

    as_hauled: each boat comes when the posted plan hauls her, not when her owner would have it. The same facts again
    give the same plan. Raises StowRefused.
    """
    ground = read_ground(kind, yard=yard, now=now)
    _refuse_nothing(ground)
    inputs = ground.fingerprint
    told: dict[str, Any] = {}
    if as_hauled:
        ground, told = _as_hauled(ground, yard)
    found = stow(ground.store, rounds=ROUNDS)
    if isinstance(found, NoRoom):
        raise StowRefused(_no_room(ground, found))
    with transaction.atomic():
        lock_facts()
        for old in StowPlan.objects.filter(kind=kind, state=StowPlan.State.PROPOSED):
            _decide(old, StowPlan.State.DROPPED, by=by, now=now, reason=_("planned anew"))
        figures = _figures(ground, found) | told
        plan = StowPlan(kind=kind, inputs=inputs, figures=figures, made_by=by, made_at=now)
        sign(plan, by=by, now=now, reason=_("planned"))
        plan.save()
        StowSpot.objects.bulk_create(_spots(ground, found, plan))
    return plan


def _as_hauled(ground: Ground, yard: YardSettings) -> tuple[Ground, dict[str, Any]]:
    """The ground with the posted plan's hauls, and the figures that tell of it. Raises StowRefused."""
    hauls = posted_hauls()
    if hauls is None or ground.kind != StowPlan.Kind.BOATS:
        raise StowRefused(_("No posted plan hauls a boat: post one first, or plan the store by the owners' dates."))
    zone = ZoneInfo(yard.time_zone)
    spots = list(StowSpot.objects.filter(plan__kind=ground.kind, plan__state=StowPlan.State.ACCEPTED))
    before = extra_as_hauled(spots, ground, hauls, zone)
    return ground_as_hauled(ground, hauls, zone), {"hauled_by": hauls.number, "before": before}


@transaction.atomic
def accept(plan: StowPlan, *, seen_version: int, by: User | None, now: datetime) -> StowPlan:
    """From now on the season is planned so. The plan accepted before steps back. Raises StowRefused, StaleRow."""
    bump_facts()
    if plan.state != StowPlan.State.PROPOSED:
        raise StowRefused(_("This plan waits no longer for a word: look at the store plan again."))
    before = StowPlan.objects.filter(kind=plan.kind, state=StowPlan.State.ACCEPTED).first()
    if before is not None:
        _decide(before, StowPlan.State.DROPPED, by=by, now=now, reason=_("another plan was accepted"))
    plan.state, plan.replaced, plan.decided_by, plan.decided_at = StowPlan.State.ACCEPTED, before, by, now
    sign(plan, by=by, now=now, reason=_("accepted"))
    return plan.save_over(seen_version)


@transaction.atomic
def take_back(plan: StowPlan, *, seen_version: int, by: User | None, now: datetime) -> StowPlan:
    """Acceptance is taken back; the plan that stood before stands again. Raises StowRefused, StaleRow."""
    bump_facts()
    if plan.state != StowPlan.State.ACCEPTED:
        raise StowRefused(_("This plan is not the accepted one: look at the store plan again."))
    for other in StowPlan.objects.filter(kind=plan.kind, state=StowPlan.State.PROPOSED):
        _decide(other, StowPlan.State.DROPPED, by=by, now=now, reason=_("an accepted plan was taken back"))
    plan.state, plan.decided_by, plan.decided_at = StowPlan.State.PROPOSED, by, now
    sign(plan, by=by, now=now, reason=_("acceptance taken back"))
    plan.save_over(seen_version)
    if plan.replaced is not None and plan.replaced.state == StowPlan.State.DROPPED:
        _decide(plan.replaced, StowPlan.State.ACCEPTED, by=by, now=now, reason=_("stands again"))
    return plan


@transaction.atomic
def drop(plan: StowPlan, *, seen_version: int, by: User | None, now: datetime) -> StowPlan:
    """A proposal is not wanted. Raises StowRefused, StaleRow."""
    if plan.state != StowPlan.State.PROPOSED:
        raise StowRefused(_("Only a plan that waits for a word is dropped: look at the store plan again."))
    plan.state, plan.decided_by, plan.decided_at = StowPlan.State.DROPPED, by, now
    sign(plan, by=by, now=now, reason=_("dropped"))
    return plan.save_over(seen_version)


def _decide(plan: StowPlan, state: StowPlan.State, *, by: User | None, now: datetime, reason: str) -> None:
    plan.state, plan.decided_by, plan.decided_at = state, by, now
    sign(plan, by=by, now=now, reason=reason)
    plan.save()


def _refuse_nothing(ground: Ground) -> None:
    spars = ground.kind == StowPlan.Kind.SPARS
    if not ground.rows:
        raise StowRefused(
            _("No rack says what it takes: give its levels on the page Autumn.")
            if spars
            else _("The yard has no row of the store: add one under Places.")
        )
    if not ground.store.coming:
        raise StowRefused(
            _("No mast is to come: no boat with a measured mast has an open order that hauls her.")
            if spars
            else _("No boat is to come: no open order hauls one.")
        )


def _no_room(ground: Ground, found: NoRoom) -> str:
    names = [ground.boats[boat].name for boat in found.boats]
    few = ", ".join(names[:5])
    if len(names) > 5:
        few = _("{names} and {n} more").format(names=few, n=len(names) - 5)
    total = len(ground.boats)
    if total > ground.holds():
        return _(
            "The store takes {most}, and {total} are to stand in it: add a row, or move somebody elsewhere."
        ).format(most=ground.holds(), total=total)
    return _(
        "No place was found for {boats}: look at lengths, widths and headroom of the rows, and at their dates."
    ).format(boats=few)


def _figures(ground: Ground, found: Stowed) -> dict[str, Any]:
    """As JSON keeps it. extra, first_come: None where the store cannot be emptied so."""
    names = [boat.name for boat in ground.boats]
    return {
        "boats": len(ground.boats),
        "extra": _extra(found.emptied),
        "stuck": names[found.emptied.boat] if isinstance(found.emptied, Stuck) else "",
        "first_come": _extra(found.first_come),
        "first_come_fails": "" if isinstance(found.first_come, Emptied) else _why(found.first_come, names),
        "at_least": found.at_least,
        "proved": found.proved,
        "springs": {str(tenths): found.springs.in_so_many_of_ten(tenths) for tenths in TENTHS},
        "springs_drawn": len(found.springs.extra) + found.springs.stuck,
        "springs_stuck": found.springs.stuck,
        "not_known": sum(each.by == "not known" for each in ground.leaving),
        "moves": _moves(ground, found),
    }


def _moves(ground: Ground, found: Stowed) -> list[dict[str, str]]:
    """Each extra move in words' parts: who, out of which row, into which, so that who can leave."""
    if not isinstance(found.emptied, Emptied):
        return []
    moves: list[dict[str, str]] = []
    waiting: list[dict[str, str]] = []
    for step in found.emptied.steps:
        name, row = ground.boats[step.boat].name, ground.store.rows[step.row].name
        if step.do == "out":
            waiting.append({"boat": name, "out_of": row, "into": "", "for": ""})
            moves.append(waiting[-1])
        elif step.do == "in":
            last = next(each for each in reversed(moves) if each["boat"] == name)
            last["into"] = row
        else:
            for each in waiting:
                each["for"] = name
            waiting = []
    return moves


def _extra(found: Emptied | Stuck | NoRoom) -> int | None:
    return found.extra if isinstance(found, Emptied) else None


def _why(found: Stuck | NoRoom, names: list[str]) -> str:
    if isinstance(found, Stuck):
        return _("{boat} could not be taken out: the apron is too small for those in her way").format(
            boat=names[found.boat]
        )
    return _("{boat} would find no row").format(boat=names[found.boats[0]])


def _spots(ground: Ground, found: Stowed, plan: StowPlan) -> list[StowSpot]:
    here = ground.store.standing_set
    turn = {boat: number for number, boat in enumerate(launch_order(ground.store.boats), start=1)}
    return [
        StowSpot(
            plan=plan,
            boat=ground.boats[boat],
            item=ground.items[boat],
            place=place,
            level=level,
            position=position,
            standing=boat in here,
            on=None if boat in here else ground.open_days[found.plan.days[boat]],
            turn=turn[boat],
            leaves=ground.leaving[boat].on,
        )
        for (place, level), row in zip(ground.rows, found.plan.layout, strict=True)
        for position, boat in enumerate(row, start=1)
    ]
