"""A boat that is put into a row of the store may stand in the way of one that leaves before her: then a plan is asked.

Taking a boat out of a row puts nobody in the way, so it asks for nothing; nor does a row without a planned day.
"""

from __future__ import annotations

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Event, Whereabouts
from yard.queries.plans import posted_plan
from yard.queries.store import store_rows
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Moved
from yard.services.record_event import record_event
from yard.services.say_hours import Clocks, WrittenDown, ask_after


def behind_her(here: Whereabouts) -> list[str]:
    """Boats farther in that the posted plan takes out before she leaves, by name; none where no plan hangs there."""
    plan = posted_plan()
    if plan is None or here.kind != Whereabouts.Kind.STORE_ROW or here.place_id is None:
        return []
    rows = store_rows(plan)
    hers = rows.leaves.get(here.boat_id)
    inner = [row for row in rows.standing.get(here.place_id, ()) if (row.position or 0) < (here.position or 0)]
    stuck = [
        row for row in inner if (goes := rows.leaves.get(row.boat_id)) is not None and (hers is None or goes <= hers)
    ]
    return sorted(row.boat.name for row in stuck)


def ask_of_row(here: Whereabouts, *, by: User | None, clocks: Clocks) -> WrittenDown | None:
    """Write down whom she stands in front of, and ask for a proposal.

    None where she stands in nobody's way, or where this was asked when she came: a button may be pressed twice.
    """
    names = behind_her(here)
    if not names:
        return None
    says = _("{boat} stands in {place}, in front of {boats}").format(
        boat=here.boat, place=here.place, boats=", ".join(names)
    )
    with transaction.atomic():
        bump_facts()  # locks: of two presses the second finds what the first wrote
        told = Event.objects.filter(kind=Event.Kind.MOVED, says=says[:300], recorded_at__gte=here.since)
        if told.exists():
            return None
        event = record_event(Moved(says), by=by, now=clocks.yard_now)
    return ask_after([event], by=by, real_now=clocks.real_now)
