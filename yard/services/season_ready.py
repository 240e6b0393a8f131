"""The season and all that a caller's question needs, ready before it is asked: read here, or by another process."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from yard.services.plan_in_memory import InMemory, Key, keep, key_of, plan_in_memory
from yard.services.promise_input import PromiseGround
from yard.services.promise_of_one import ground_for, keep_ground, live_through_once


@dataclass(frozen=True, slots=True)
class Ready:
    """The posted plan on the facts that were read, and what its odds rest on. key: as it was before the reading."""

    key: Key
    memory: InMemory
    ground: PromiseGround


def read_ready(*, now: datetime) -> Ready | None:
    """None where no plan is posted.  Raises YardNotReady."""
    key = key_of(now=now)
    memory = plan_in_memory(now=now)
    if key is None or memory is None:
        return None
    return Ready(key, memory, ground_for(memory.read, _of_odds(memory)))


def keep_ready(ready: Ready) -> None:
    """Take what another process has read into this one, and live through the season once: that loads compiled code."""
    keep(ready.key, ready.memory)
    keep_ground(_of_odds(ready.memory), ready.ground)
    live_through_once(ready.memory.read, ready.memory.plan, _of_odds(ready.memory))


def make_ready(*, now: datetime) -> bool:
    """Read the season into this process's memory, so that the first caller need not wait for that.

    False where no plan is posted. Raises YardNotReady.
    """
    memory = plan_in_memory(now=now)
    if memory is None:
        return False
    live_through_once(memory.read, memory.plan, _of_odds(memory))
    return True


def _of_odds(memory: InMemory) -> tuple[int, int]:
    return memory.posted.pk, memory.read.revision
