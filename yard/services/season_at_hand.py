"""The season kept in memory before anybody asks: read when the site starts and when a plan was posted or facts changed.

Reading takes seconds, and whoever asks "when could it be done?" has an owner on the telephone. A thread of the site
looks at the count of facts every few seconds; while people are tapping it waits until they are quiet. It has the season
read by another process (`season_apart`), so that no page waits for that.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from datetime import datetime

from django.db import Error, connections

from yard.models import YardSettings
from yard.queries.clock import yard_clock
from yard.services.plan_in_memory import Key, key_of
from yard.services.read_problem import YardNotReady
from yard.services.season_apart import SeasonNotHandedOver, read_apart

log = logging.getLogger(__name__)

LOOK_EVERY_S = 5.0
QUIET_LOOKS = 3
"""So often the facts must be found unchanged before they are read: taps of one round come close behind one another."""


class SeasonAtHand:
    """What is at hand, and whether that is still so. `real_now`: the clock of the machine."""

    def __init__(self, real_now: Callable[[], datetime]) -> None:
        self._real_now = real_now
        self._read: Key | None = None
        self._seen: Key | None = None
        self._quiet = QUIET_LOOKS  # the first reading waits for nobody

    def look(self) -> bool:
        """Read the season if it is another than the one at hand and nobody changes it just now. Whether it was read."""
        yard = YardSettings.objects.filter(pk=1).first()
        if yard is None:
            return False
        now = yard_clock(yard, real_now=self._real_now())
        key = key_of(now=now)
        if key is None or key == self._read:
            return False
        self._quiet = self._quiet + 1 if key == self._seen or self._read is None else 0
        self._seen = key
        if self._quiet < QUIET_LOOKS and _changed(key, self._read):
            return False
        self._read = key  # also where it cannot be read: only another fact helps then
        try:
            return read_apart(now=now)
        except YardNotReady as error:
            log.info("the season is not at hand: %s", error)
        except SeasonNotHandedOver as error:
            log.warning("the season is not at hand: %s", error)
        return False


def _changed(key: Key, read: Key | None) -> bool:
    """Other facts, not another plan or another quarter of an hour: these are read at once."""
    return read is not None and key[1] != read[1]


def keep_at_hand(real_now: Callable[[], datetime], ended: threading.Event) -> None:
    """Look until it is ended. A database that cannot be read just now is looked at again later."""
    at_hand = SeasonAtHand(real_now)
    while True:
        try:
            at_hand.look()
        except Error as error:
            log.warning("the season was not read ahead: %s", type(error).__name__)
        except Exception:
            log.exception("the season was not read ahead")
        finally:
            connections.close_all()
        if ended.wait(LOOK_EVERY_S):
            return


def start(real_now: Callable[[], datetime]) -> threading.Event:
    """Keep it at hand in a thread that ends with the process, or when the event given is set."""
    ended = threading.Event()
    threading.Thread(target=keep_at_hand, args=(real_now, ended), name="season at hand", daemon=True).start()
    return ended
