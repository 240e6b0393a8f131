"""Real clients read what the plan holds, and one that syncs through ten rounds of changes ends equal to it."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import lru_cache

import pytest
from hypothesis import HealthCheck, given, settings

from tests.feeds.clients import READERS, Read
from tests.feeds.events import HEAD, called, event, event_lists, expected
from tests.feeds.feed_yard import FeedYard, Placed, at
from tests.feeds.syncing import Syncing, syncing_client
from yard.feeds.event import Days, Hours
from yard.feeds.writing import write_feed
from yard.models import FeedEntry, Job, YardHoliday
from yard.services.feeds.addresses import change_address

HALF_HOUR = timedelta(minutes=30)
every_client = pytest.mark.parametrize("client", READERS)


def around_the_clock_changes() -> list:
    """An event each half-hour about both nights, one each 11 days of two years, whole days, odd names."""
    nights = [
        datetime.fromisoformat(night) for night in ("2027-03-14T00:00Z", "2027-11-07T00:00Z", "2028-03-12T00:00Z")
    ]
    starts = [night + HALF_HOUR * step for night in nights for step in range(30)]
    starts += [datetime.fromisoformat("2027-01-01T03:30Z") + timedelta(days=11, hours=5) * step for step in range(60)]
    whens = [Hours(start, start + 3 * HALF_HOUR) for start in starts]
    days = [Days(date(2028, 2, 29), date(2028, 3, 1)), Days(date(2027, 12, 31), date(2028, 1, 2))]
    odd = ["⛵ Sew; cover, \\ “Wren’s”", "é" * 250, "a\nb", 'quote " colon: semi; 100 %', "👩‍🔧" * 70]
    shown = [
        called(odd[number % 5] if number % 3 == 0 else f"Job {number}", when=when)
        for number, when in enumerate(whens + days)
    ]
    return [event(number, each, cancelled=number % 7 == 0) for number, each in enumerate(shown, start=1)]


@every_client
def test_point_09_every_client_reads_the_same_events_as_the_plan_holds(client: str) -> None:
    events = around_the_clock_changes()
    found = READERS[client](write_feed(HEAD, events))
    assert set(found) == expected(events)
    assert len(found) == len(events)


@lru_cache(maxsize=1)
def a_thousand() -> tuple[bytes, set]:
    """Four hours apart, half an hour each; the bytes and what they hold."""
    start = datetime.fromisoformat("2027-01-04T13:15Z")
    whens = [Hours(start + 8 * HALF_HOUR * step, start + 8 * HALF_HOUR * step + HALF_HOUR) for step in range(1000)]
    events = [event(number, called(f"Job {number}", when=when)) for number, when in enumerate(whens, start=1)]
    return write_feed(HEAD, events), expected(events)


@every_client
def test_a_thousand_events(client: str) -> None:
    body, held = a_thousand()
    found = READERS[client](body)
    assert set(found) == held
    assert len(found) == 1000


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(events=event_lists())
def test_random_plans_in_the_clients_that_run_in_this_process(events) -> None:
    """Tabs in a title are a space to some readers, so titles are compared without white space."""

    def squeezed(read):
        return {(uid, starts, ends, "".join(summary.split())) for uid, starts, ends, summary in read}

    body = write_feed(HEAD, events)
    for client in ("icalendar", "vobject", "libical"):
        assert squeezed(READERS[client](body)) == squeezed(expected(events)), client


@pytest.mark.django_db
@every_client
def test_every_client_reads_a_served_calendar_as_the_plan_on_the_wall_holds_it(
    feed_yard: FeedYard, make, path, reader, client: str
) -> None:
    """Both half-past-ones of 7 November in New York are 05:30 and 06:30 UTC; a leap day; a job that was cancelled."""
    names = ["⛵ Sew; cover, \\ “Wren’s”", "é" * 80, "Night tide", "Later tide", "Leap"]
    jobs = [feed_yard.job(name) for name in names]
    off, holiday = feed_yard.job("Off"), date(2028, 2, 29)
    stamps = ["2027-05-10T13:00Z", "2027-03-14T06:30Z", "2027-11-07T05:30Z", "2027-11-07T06:30Z", "2028-02-29T15:00Z"]
    starts = [datetime.fromisoformat(stamp) for stamp in stamps]
    placed = [Placed(job, start, people=[feed_yard.arne]) for job, start in zip(jobs, starts, strict=True)]
    YardHoliday.objects.create(day=holiday, name="Leap day")
    feed_yard.post(*placed, Placed(off, starts[0], people=[feed_yard.arne]))
    feed_yard.post(*placed)
    uids = {row.key: str(row.uid) for row in FeedEntry.objects.all()}
    hour = timedelta(hours=1)
    held: set[Read] = {
        (uids[f"job {job.pk} visit 0"], start, start + hour, f"{job.name}, Wagtail")
        for job, start in zip(jobs, starts, strict=True)
    }
    held.add((uids[f"job {off.pk} visit 0"], starts[0], starts[0] + hour, "CANCELLED: Off, Wagtail"))
    held.add((uids[f"holiday {holiday}"], holiday, date(2028, 3, 1), "Yard closed: Leap day"))
    found = READERS[client](reader.get(path(make("person", feed_yard.arne, parts=["closures"]))).content)
    assert set(found) == held
    assert len(found) == len(held)


@dataclass
class Model:
    """What Arne's calendar must show, kept by rules of its own. known: by job (start, title, cancelled since)."""

    known: dict[int, tuple[datetime, str, datetime | None]] = field(default_factory=dict)

    def follow(self, plan: dict[int, tuple[datetime, str, bool]], now: datetime) -> None:
        """plan: by job (start, title, whether Arne is on it)."""
        for job, (starts, title, on) in plan.items():
            if on:
                self.known[job] = (starts, title, None)
        for job, (starts, title, since) in list(self.known.items()):
            there = job in plan and plan[job][2]
            if not there and since is None:
                self.known[job] = (starts, title, now)
            elif since is not None and not there and now >= since + timedelta(days=14):
                del self.known[job]

    def shows(self, uids: dict[int, str]) -> set:
        return {
            (uids[job], starts, starts + timedelta(hours=1), title if since is None else f"CANCELLED: {title}")
            for job, (starts, title, since) in self.known.items()
        }


@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_a_client_that_syncs_through_ten_rounds_ends_equal_to_the_plan(
    feed_yard: FeedYard, make, path, live_server, tmp_path
) -> None:
    """Move, cancel, rename, reassign, withdraw the plan, revive: nothing doubled, nothing stale, nothing lost."""
    dice = random.Random(20270506)
    jobs = [feed_yard.job(f"Job {number}") for number in range(12)]
    where = {job.pk: (at(10 + number, 9), True) for number, job in enumerate(jobs)}
    out: set[int] = set()
    model, address = Model(), make("person", feed_yard.arne)
    client: Syncing = syncing_client(tmp_path, live_server.url + path(address))
    for number in range(10):
        changed = _change(dice, jobs, where, out)
        plan = {} if number == 4 else {job.pk: where[job.pk] for job in jobs if job.pk not in out}
        _post(feed_yard, jobs, plan)
        titles = {job.pk: f"{Job.objects.get(pk=job.pk).name}, Wagtail" for job in jobs}
        model.follow({pk: (starts, titles[pk], on) for pk, (starts, on) in plan.items()}, feed_yard.now)
        client.sync()
        assert client.asks_again() == 304
        uids = {row.job_id: str(row.uid) for row in FeedEntry.objects.filter(part="jobs", owners=False)}
        assert sorted(client.holds()) == sorted(model.shows(uids)), f"round {number}: {changed}"
        assert sorted(client.holds_by_content()) == sorted(each[1:] for each in model.shows(uids)), f"round {number}"
        feed_yard.later(days=2)
    assert client.shows_in_khal() == model.shows(uids)
    change_address(address, "withdraw", now=datetime.fromisoformat("2027-05-06T14:00Z"))
    # Withdrawn at the yard's time, which the real clock has not reached: it says so, and the client drops all else.
    client.sync()
    assert {summary for *_, summary in client.holds()} == {"This calendar has been withdrawn"}


def _change(dice: random.Random, jobs: list[Job], where: dict[int, tuple[datetime, bool]], out: set[int]) -> list[str]:
    said = []
    for job in dice.sample(jobs, 4):
        what = dice.choice(["move", "cancel", "rename", "reassign", "revive"])
        starts, on = where[job.pk]
        match what:
            case "move":
                where[job.pk] = (starts + timedelta(days=dice.randint(-2, 5), hours=dice.randint(-2, 3)), on)
            case "cancel":
                out.add(job.pk)
            case "rename":
                Job.objects.filter(pk=job.pk).update(name=f"Job {dice.randint(100, 999)}, ⛵; é")
            case "reassign":
                where[job.pk] = (starts, not on)
            case "revive":
                out.discard(job.pk)
        said.append(f"{what} {job.pk}")
    return said


def _post(feed_yard: FeedYard, jobs: list[Job], plan: dict[int, tuple[datetime, bool]]) -> None:
    if not plan:
        feed_yard.withdraw()
        return
    placed = [
        Placed(job, plan[job.pk][0], people=[feed_yard.arne if plan[job.pk][1] else feed_yard.wren])
        for job in jobs
        if job.pk in plan
    ]
    feed_yard.post(*placed)
