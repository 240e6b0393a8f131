"""One broken rule, and which rules a person may give leave to break."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from yard.planning.problem import Waiver

WAIVABLE = frozenset({"hours", "slides", "closed", "windows", "release", "waits"})
"""The yard's own limits. Never waived: a person or a boat in two places, a missing skill, work alone where two are
needed, a full berth; and of the windows those of `NEVER_WAIVED_WINDOWS`."""

NEVER_WAIVED_WINDOWS = frozenset({"water", "manual", "permit"})
"""Kinds of `WindowSet.rule` that no person at the yard can give leave to break: water below draft, the machine's
manual, a permit. (A permit's date is therefore a window set, not a `not_before`.)"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Breach:
    """A rule broken by a plan.

    job, boat: indices of the Problem, None where the breach belongs to none.
    numbers: what the message leaves to the page: clock minutes since the epoch end in `_minute`, durations in
    `_min`; `window` is the kind of a window set.
    waivable: a waiver of this rule for this job would excuse it.
    pins_alone: it lies between pinned jobs, so no plan can mend it; a person must.
    """

    rule: str
    job: int | None
    boat: int | None
    message: str
    numbers: dict[str, int | str] = field(default_factory=dict)
    waivable: bool = False
    pins_alone: bool = False


def waived(breach: Breach, waivers: Iterable[Waiver]) -> bool:
    return breach.waivable and any(waiver.rule == breach.rule and waiver.job == breach.job for waiver in waivers)
