"""Many people at one small site: `python -m tests.load --people 50 --minutes 10 --data FOLDER`.

FOLDER is that of an example yard (`YARD_DATA=FOLDER manage.py migrate`, then `manage.py example --size M`); a copy of
it is served, as `manage.py serve` does: one process, eight threads, SQLite that writes in full. With DATABASE_URL it is
that database, which has an example yard, and to which people and notes are added.

Each person reads a page, thinks, and goes on; three in ten of what they do writes: a note, the draft of a boat of
their own, or that of one of five boats at which others write too, each with the version that they saw. At the end each
acknowledged write is looked for. Ends with 1 where one is lost, an answer was an error, or p95 is over its bound.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import statistics
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.soak.served import Ledger, Person, Site

P95_MS = 300.0
SHARED = 5
READ = ("/", "/days/", "/launches/", "/boats/", "/orders/", "/today/", "/crew/", "/boats/{boat}/", "/boats/{boat}/")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.load", description=__doc__)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--think", type=float, default=10, help="seconds between two pages of one person (default 10)")
    parser.add_argument("--data", type=Path, required=True, help="the folder of an example yard of size M")
    given = parser.parse_args()
    from tests.soak.ground import own_yard

    with own_yard(copy_of=given.data) as folder:
        from django.db import connection

        from tests.soak.served import integrity, lost, served, sessions
        from yard.models import Boat

        before = dict(Boat.objects.values_list("pk", "version"))
        with served(folder) as site:
            how = f"SQLite writes {site.synchronous()}" if connection.vendor == "sqlite" else connection.vendor
            print(f"load of the machine before: {os.getloadavg()[0]:.1f}; {how}")
            people, ledger, spent_s = _live(site, sessions(given.people), sorted(before), given)
        wrong = [*lost(ledger, before), *ledger.wrong]
        if connection.vendor == "sqlite":
            wrong += integrity(folder)
        return _say(people, ledger, wrong, spent_s, given)


def _live(
    site: Site, those: Sequence[str], boats: Sequence[int], given: argparse.Namespace
) -> tuple[list[Person], Ledger, float]:
    """All of them at once; and the processor time that the site took, seconds."""
    from tests.soak.served import Ledger, Person

    people, ledger = [Person(site.port, session) for session in those], Ledger()
    for path in READ:
        people[0].get(path.format(boat=boats[0]))  # what a site reads once, it has read
    people[0].seconds.clear()
    before, until = site.cpu_s(), time.monotonic() + 60 * given.minutes
    threads = [
        threading.Thread(target=_person, args=(person, number, boats, ledger, until, given.think))
        for number, person in enumerate(people)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return people, ledger, site.cpu_s() - before


def _person(person: Person, number: int, boats: Sequence[int], ledger: Ledger, until: float, think_s: float) -> None:
    from tests.soak.served import write_draft, write_note

    chance, own = random.Random(number), boats[SHARED + number % (len(boats) - SHARED)]
    time.sleep(chance.uniform(0, think_s))
    while time.monotonic() < until:
        act = chance.random()
        try:
            if act < 0.7:
                status, _, _ = person.get(chance.choice(READ).format(boat=own))
                if status not in (200, 302):
                    ledger.wrong.append(f"a page was answered {status}")
            elif act < 0.85:
                write_note(person, own, ledger)
            else:
                write_draft(person, own if act < 0.95 else chance.choice(boats[:SHARED]), ledger)
        except (OSError, http.client.HTTPException) as error:
            ledger.wrong.append(f"no answer: {error}")
        time.sleep(chance.expovariate(1 / think_s))


def _say(people: list[Person], ledger: Ledger, wrong: list[str], spent_s: float, given: argparse.Namespace) -> int:
    kinds: dict[str, list[float]] = {}
    for kind, seconds in (each for person in people for each in person.seconds):
        kinds.setdefault(kind, []).append(1000 * seconds)
    every = sorted(ms for each in kinds.values() for ms in each)
    print(f"{'ms by the clock':<28} {'times':>6} {'p50':>7} {'p95':>7} {'most':>7}")
    for kind, each in [*sorted(kinds.items()), ("all", every)]:
        print(f"{kind:<28} {len(each):>6} {_at(each, 0.5):>7.0f} {_at(each, 0.95):>7.0f} {max(each):>7.0f}")
    seconds = 60 * given.minutes
    print(
        f"{len(every) / seconds:.1f} requests a second; the site's process was busy {100 * spent_s / seconds:.0f} % of"
        f" one core, {1000 * spent_s / len(every):.0f} ms a request, mean {statistics.mean(every):.0f} ms by the clock"
    )
    print(
        f"acknowledged: {len(ledger.notes)} notes, {sum(ledger.drafts.values())} drafts; refused because somebody was"
        f" first: {ledger.refused_as_stale}; load of the machine after: {os.getloadavg()[0]:.1f}"
    )
    for line in wrong[:20]:
        print(line)
    over = _at(every, 0.95) > P95_MS
    print(f"{len(wrong)} wrong; p95 is {'over' if over else 'within'} {P95_MS:.0f} ms")
    return int(bool(wrong) or over)


def _at(each: Sequence[float], share: float) -> float:
    """The value under which that share of them lies."""
    return sorted(each)[min(len(each) - 1, int(share * len(each)))]


if __name__ == "__main__":
    sys.exit(main())
