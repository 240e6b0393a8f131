"""How much calendars cost at the size of a large yard: `python -m tests.feed_load --port 8150`.

300 boats, 2,167 jobs over a year, 10 people and 200 addresses in a database of its own; with `--data FOLDER` those of
an example yard that is there (`YARD_DATA=FOLDER manage.py example --size L`), to which the addresses are added.
Figures are printed, and it ends with 1 where one is over its bound.  Processor time of this process where it says CPU,
else by the clock.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from typing import Any

BOATS, JOBS, PEOPLE, ADDRESSES = 300, 2167, 10, 200
COLD_MS, UNCHANGED_MS = 50.0, 5.0
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
Answer = tuple[int, str, float]
"""Status, entity tag, seconds."""


def main() -> int:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--port", type=int, default=8150)
    arguments.add_argument("--data", help="the folder of an example yard with a posted plan")
    given = arguments.parse_args()
    with tempfile.TemporaryDirectory(prefix="yard-load-") as folder:
        os.environ["YARD_DATA"] = given.data or folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "yard.settings" if given.data else "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        if not given.data:
            _fill()
        paths = _addresses()
        print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
        over = _in_process(paths)
        over |= _through_the_server(paths, given.port)
        print(f"load of the machine after: {os.getloadavg()[0]:.1f}")
        return int(over)


def _fill() -> None:
    """Rows of a large yard with a posted plan."""
    from tests.feeds.feed_yard import make_feed_yard
    from yard.models import (
        Boat,
        BoatOwner,
        Job,
        JobKind,
        Order,
        Person,
        Plan,
        PlannedJob,
        PlannedPerson,
        PlannedPlace,
    )

    dice, yard = random.Random(1), make_feed_yard()
    people = [yard.arne, yard.wren] + [
        Person.objects.create(name=f"Person {n}", short_name=f"P{n}") for n in range(PEOPLE - 2)
    ]
    boats = Boat.objects.bulk_create(
        Boat(ref=f"b{n}", name=f"Boat {n}", length_m=8, beam_m=2, draft_m=1.2) for n in range(BOATS)
    )
    orders = Order.objects.bulk_create(
        Order(ref=f"L{n}", boat=boat, name="Commissioning", made_at=NOW) for n, boat in enumerate(boats)
    )
    BoatOwner.objects.bulk_create(
        BoatOwner(boat=boat, owner=yard.cy if n % 2 else yard.dee, starts_on=NOW.date()) for n, boat in enumerate(boats)
    )
    tune, launch = JobKind.objects.get(key="tune"), JobKind.objects.get(key="launch")
    on_ramp = {"outdoor": True, "weather_class": "afloat", "water_need": "ramp"}
    jobs = Job.objects.bulk_create(
        Job(order=orders[n % BOATS], kind=tune, key=f"k{n}", name=f"Job {n}")
        if n % 8
        else Job(order=orders[n % BOATS], kind=launch, key=f"k{n}", name=f"Launch {n}", **on_ramp)
        for n in range(JOBS)
    )
    plan = Plan.objects.create(number=1, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    starts = [NOW + timedelta(days=dice.randint(-50, 315), minutes=15 * dice.randint(0, 24)) for _ in jobs]
    rows = PlannedJob.objects.bulk_create(
        PlannedJob(plan=plan, job=job, starts_at=at, ends_at=at + timedelta(hours=2))
        for job, at in zip(jobs, starts, strict=True)
    )
    PlannedPerson.objects.bulk_create(
        PlannedPerson(planned_job=row, person=person, name=person.short_name)
        for row in rows
        for person in dice.sample(people, 2)
    )
    PlannedPlace.objects.bulk_create(PlannedPlace(planned_job=row, place=yard.ramp) for row in rows)


def _addresses() -> list[str]:
    """Paths of 200 calendars of people and boats, the first of the person with most jobs, and of the whole yard."""
    from django.contrib.auth.models import Group, User
    from django.db.models import Count

    from yard.models import Boat, Person
    from yard.services.feeds.addresses import Rights, Wish, make_address, token_of

    people = list(Person.objects.annotate(jobs=Count("planned")).order_by("-jobs", "id"))
    boats = list(Boat.objects.order_by("id"))
    crew = [
        Rights(User.objects.create_user(f"reader-{number}-{time.time_ns()}"), plans=False, sees_owners=False)
        for number in range(10)
    ]
    planner = User.objects.create_user(f"planner-{time.time_ns()}")
    planner.groups.add(Group.objects.get(name="planner"))
    paths = []
    for number in range(ADDRESSES):
        subject = boats[number % len(boats)] if number % 4 == 3 else people[number % len(people)]
        kind = "boat" if number % 4 == 3 else "person"
        address = make_address(Wish(kind, "load", subject), by=crew[number % 10], now=NOW)
        paths.append(f"/calendar/{token_of(address)}.ics")
    whole = make_address(Wish("yard", "all"), by=Rights(planner, plans=True, sees_owners=True), now=NOW)
    return [*paths, f"/calendar/{token_of(whole)}.ics"]


def _in_process(paths: list[str]) -> bool:
    """What the writer and one reading cost this process, without a network."""
    from django.core.cache import cache
    from django.test import Client

    from yard.models import CalendarAddress, FeedEntry
    from yard.services.facts_revision import bump_facts
    from yard.services.feeds.bring_up_to_date import bring_up_to_date

    FeedEntry.objects.all().delete()
    bump_facts()
    print(f"entries written first: {_cpu_ms(lambda: bring_up_to_date(now=NOW)):.0f} ms CPU", end=", ")
    print(f"{FeedEntry.objects.count()} of them")
    bump_facts()
    print(f"a fact changed that no calendar shows: {_cpu_ms(lambda: bring_up_to_date(now=NOW)):.0f} ms CPU")
    client = Client(headers={"Host": "localhost"})
    tag = client.get(paths[0]).headers["ETag"]
    cold, unchanged = [], []
    for _ in range(20):
        cache.clear()
        CalendarAddress.objects.update(written_for="", tag="")
        cold.append(_cpu_ms(lambda: client.get(paths[0])))
        unchanged.append(_cpu_ms(lambda: client.get(paths[0], headers={"If-None-Match": tag})))
    body = client.get(paths[0]).content
    print(f"one person's year: {body.count(b'BEGIN:VEVENT')} events, {len(body) / 1000:.0f} kB")
    whole = client.get(paths[-1]).content
    print(f"the whole yard: {whole.count(b'BEGIN:VEVENT')} events, {len(whole) / 1000:.0f} kB")
    told = [("cold", cold, COLD_MS), ("unchanged (304)", unchanged, UNCHANGED_MS)]
    over = False
    for name, figures, bound in told:
        middle = statistics.median(figures)
        over |= middle > bound
        print(f"{name}: median {middle:.1f} ms CPU, {min(figures):.1f} to {max(figures):.1f}; bound {bound:.0f}")
    return over


def _cpu_ms(do: Callable[[], Any]) -> float:
    began = time.process_time()
    do()
    return 1000 * (time.process_time() - began)


def _through_the_server(paths: list[str], port: int) -> bool:
    """One small server, as `manage.py serve` starts it, and eight at a time of its subscribers.

    They read, then ask whether it changed; then something did, and all of them come at once to ask for it.
    """
    from yard.models import Job, PlannedJob
    from yard.services.facts_revision import bump_facts

    options = ["--workers", "1", "--threads", "8", "--no-control-socket", "--log-level", "warning"]
    command = [sys.executable, "-m", "gunicorn", "yard.wsgi:application", "--bind", f"127.0.0.1:{port}"]
    server = subprocess.Popen([*command, *options])
    try:
        _connected(port).close()
        whole, spent = _all_ask(port, [(path, None) for path in paths])
        tags = [each[1] for each in whole]
        good = _say("first reading", whole, spent, {200})
        again, spent = _all_ask(port, list(zip(paths, tags, strict=True)))
        good &= _say("304", again, spent, {304})
        shown = PlannedJob.objects.filter(plan__state="posted", starts_at__gt=NOW).first()
        assert shown is not None  # the plan has a future
        Job.objects.filter(pk=shown.job_id).update(name="Another name")
        bump_facts()
        after, spent = _all_ask(port, list(zip(paths, tags, strict=True)))
        good &= _say("after a change, some before it was told", after, spent, {200, 304})
    finally:
        server.terminate()
        server.wait()
    return not good


def _say(what: str, answers: list[Answer], spent_s: float, wanted: set[int]) -> bool:
    each = [answer[2] for answer in answers]
    print(
        f"{len(each)} subscribers, {what}: {spent_s:.1f} s by the clock, {100 * spent_s / 900:.2f} % of 15 minutes;"
        f" each median {1000 * statistics.median(each):.0f} ms, slowest {1000 * max(each):.0f} ms"
    )
    return {answer[0] for answer in answers} <= wanted


def _all_ask(port: int, asked: list[tuple[str, str | None]]) -> tuple[list[Answer], float]:
    """Eight at a time, as calendar programs that wake together do; and how long all of it took, s."""
    began = time.monotonic()
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda each: _ask(_connected(port), *each), asked))
    return answers, time.monotonic() - began


def _connected(port: int) -> http.client.HTTPConnection:
    for _ in range(300):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            connection.connect()
            return connection
        except ConnectionRefusedError:
            time.sleep(0.1)
    raise SystemExit("the server did not start")


def _ask(connection: http.client.HTTPConnection, path: str, tag: str | None) -> Answer:
    began = time.monotonic()
    connection.request("GET", path, headers={"If-None-Match": tag} if tag else {})
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status, answer.headers.get("ETag", ""), time.monotonic() - began


if __name__ == "__main__":
    sys.exit(main())
