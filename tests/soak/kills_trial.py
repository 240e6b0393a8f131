"""A site killed again and again while people write: nothing that it said was saved may be gone, the file is whole."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from django.db import connection

from tests.soak.served import Ledger, Person, boats, integrity, lost, served, sessions, write_draft, write_note
from yard.models import Boat

WRITERS, BOATS = 4, 3


def try_kills(folder: Path, times: int, *, seed: int = 1) -> Iterator[str]:
    """What went wrong, a line for each. Every other kill takes all of the site, the others the process that answers."""
    chance, ledger, over = random.Random(seed), Ledger(), threading.Event()
    hers = boats(BOATS)
    before = dict(Boat.objects.filter(pk__in=hers).values_list("pk", "version"))
    people = sessions(WRITERS)
    with served(folder) as site:
        if connection.vendor == "sqlite" and site.synchronous() != ("wal", 2):
            yield f"the site writes with {site.synchronous()}, not with a journal and in full"
        threads = [
            threading.Thread(target=_writes, args=(site.port, person, hers, ledger, over, seed + number))
            for number, person in enumerate(people)
        ]
        for thread in threads:
            thread.start()
        for number in range(times):
            site.wait()
            written = len(ledger.notes)
            _until(lambda: len(ledger.notes) > written, within_s=30)  # noqa: B023 - called before the next round
            time.sleep(chance.uniform(0, 0.3))
            if number % 2:
                site.kill_worker()
            else:
                site.kill()
                if connection.vendor == "sqlite" and (found := integrity(folder)):
                    yield f"after kill {number + 1} the file is not whole: {found[:3]}"
                site.start()
        over.set()
        for thread in threads:
            thread.join()
    connection.close()
    yield from lost(ledger, before)
    yield from ledger.wrong
    drafts, unknown = sum(ledger.drafts.values()), sum(ledger.unknown_drafts.values()) + len(ledger.unknown_notes)
    print(
        f"{times} kills: {len(ledger.notes)} notes and {drafts} drafts acknowledged, {ledger.refused_as_stale} drafts "
        f"refused because somebody was first, {unknown} writes cut off",
        flush=True,
    )
    if times > 5 and not unknown:
        yield "no write was cut off: these kills prove nothing"


def _writes(port: int, session: str, hers: Sequence[int], ledger: Ledger, over: threading.Event, seed: int) -> None:
    chance, person = random.Random(seed), Person(port, session)
    while not over.is_set():
        write = write_note if chance.random() < 0.6 else write_draft
        write(person, chance.choice(hers), ledger)
        if person.connection is None:
            time.sleep(0.2)  # nobody answers at this moment


def _until(holds: Callable[[], bool], within_s: float) -> None:
    until = time.monotonic() + within_s
    while time.monotonic() < until and not holds():
        time.sleep(0.02)
