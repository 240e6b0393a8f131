"""Through random rounds of changes, a client that goes by SEQUENCE and DTSTAMP alone never keeps anything old.

Some clients take a changed event only where these rose (RFC 5546, 2.1.5), and remember an event's count after it is
gone. What is checked is the bytes of every kind of calendar, as they are served.
"""

from __future__ import annotations

import random
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.cache import cache
from django.test import Client

from tests.feeds import raw
from tests.feeds.feed_yard import NOW, FeedYard, Placed, at
from yard.models import BoatOwner, CalendarAddress, Closure, Job, Telling, YardHoliday
from yard.services.feeds.addresses import AddressRefused, change_address

ROUNDS = 10
HAPPENS = "move cancel revive rename reassign firm told untold sold sold closed holiday"
STAMPS = ("SEQUENCE", "DTSTAMP", "LAST-MODIFIED")


@dataclass
class Remembering:
    """One subscriber. held: by UID what it has; seen: the highest stamps of every UID that it ever read."""

    held: dict[str, list[raw.Property]] = field(default_factory=dict)
    seen: dict[str, tuple[int, datetime, datetime]] = field(default_factory=dict)

    def read(self, body: bytes) -> None:
        events = raw.read(body).inside("VEVENT")
        told = {event.one("UID").value: event for event in events}
        assert len(told) == len(events), "one UID twice"
        for uid, event in told.items():
            content = [each for each in event.properties if each.name not in STAMPS]
            stamps = _stamps(event)
            before = self.seen.get(uid)
            if before is not None and self.held.get(uid) == content:
                assert stamps == before, f"raised though nothing changed: {event.text('SUMMARY')}"
            elif before is not None and uid in self.held:
                assert all(new > old for new, old in zip(stamps, before, strict=True)), (
                    f"changed and not raised: {event.text('SUMMARY')}, {before} to {stamps}"
                )
            elif before is not None:
                assert stamps >= before, f"back with an older revision: {event.text('SUMMARY')}"
            self.held[uid], self.seen[uid] = content, stamps
        self.held = {uid: self.held[uid] for uid in told}


def _stamps(event: raw.Part) -> tuple[int, datetime, datetime]:
    dtstamp, modified = (raw.moment(event.one(name)) for name in STAMPS[1:])
    assert isinstance(dtstamp, datetime)
    assert isinstance(modified, datetime)
    return int(event.one("SEQUENCE").value), dtstamp, modified


@dataclass
class Season:
    """What changes: where each job stands (start, crew, provisional), and everything else by `happens`."""

    yard: FeedYard
    dice: random.Random
    jobs: list[Job]
    where: dict[int, tuple[datetime, str, bool]]
    out: set[int] = field(default_factory=set)

    def happens(self) -> str:
        """One thing, at random; gives its name."""
        job = self.dice.choice(self.jobs)
        starts, crew, provisional = self.where[job.pk]
        what = self.dice.choice(HAPPENS.split())
        match what:
            case "move":
                hours = self.dice.randint(-60, 200)
                self.where[job.pk] = (starts + timedelta(hours=hours), crew, provisional)
            case "cancel":
                self.out.add(job.pk)
            case "revive":
                self.out.discard(job.pk)
            case "rename":
                Job.objects.filter(pk=job.pk).update(name=self.dice.choice(["⛵; é, \\", "Dock tune", "x" * 80]))
            case "reassign":
                self.where[job.pk] = (starts, self.dice.choice(["arne", "wren", "arne wren"]), provisional)
            case "firm":
                self.where[job.pk] = (starts, crew, not provisional)
            case "told":
                Telling.objects.create(
                    order=job.order,
                    boat=job.order.boat,
                    state="firm",
                    told_date=date(2027, 5, 12),
                    how="call",
                    told_at=self.yard.now,
                )
            case "untold":
                Telling.objects.update(taken_back_at=self.yard.now)
            case "sold":
                boat = BoatOwner.objects.order_by("id").first()
                assert boat is not None
                ends = None if boat.ends_on else self.yard.now.date() + timedelta(days=self.dice.randint(0, 1))
                BoatOwner.objects.filter(pk=boat.pk).update(ends_on=ends)
            case "closed":
                Closure.objects.update_or_create(
                    covers="outdoors",
                    reason="gale",
                    made_at=NOW,
                    defaults={"state": "accepted", "starts_at": starts, "ends_at": starts + timedelta(hours=8)},
                )
            case "holiday":
                day, _ = YardHoliday.objects.get_or_create(day=date(2027, 5, 31), defaults={"name": "Memorial Day"})
                if self.dice.random() < 0.5:
                    day.delete()
        return what

    def post(self) -> None:
        if self.dice.random() < 0.15:
            self.yard.withdraw()
            return
        people = {"arne": self.yard.arne, "wren": self.yard.wren}
        self.yard.post(
            *(
                Placed(
                    job,
                    starts,
                    lasts=timedelta(hours=30) if job.kind.key == "sew" else timedelta(hours=1),
                    people=[people[name] for name in crew.split()],
                    places=[self.yard.ramp if len(crew) > 4 else self.yard.loft],
                    provisional=provisional,
                )
                for job in self.jobs
                if job.pk not in self.out
                for starts, crew, provisional in [self.where[job.pk]]
            )
        )


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(2))
def test_point_03_whatever_changed_was_raised_and_nothing_else(
    feed_yard: FeedYard, reader: Client, make, path, seed: int
) -> None:
    dice = random.Random(seed)
    boats = (feed_yard.wagtail, feed_yard.kittiwake)
    jobs = [feed_yard.job(f"Job {n}", boats[n % 2], kind=("tune", "sew", "launch")[n % 3]) for n in range(6)]
    season = Season(feed_yard, dice, jobs, {job.pk: (at(8 + n, 9), "arne", False) for n, job in enumerate(jobs)})
    subjects = [("person", feed_yard.arne), ("person", feed_yard.wren), ("place", feed_yard.ramp)]
    subjects += [("boat", boats[0]), ("owner", feed_yard.cy), ("yard", None), ("closures", None), ("deadlines", None)]
    addresses = [make(kind, subject) for kind, subject in subjects]
    clients = [Remembering() for _ in addresses]
    happened: list[str] = []
    for _ in range(ROUNDS):
        happened += [season.happens() for _ in range(4)]
        season.post()
        _handle(dice, addresses)
        for address, client in zip(addresses, clients, strict=True):
            cache.clear()
            answer = reader.get(path(address))
            assert answer.status_code == 200
            client.read(answer.content)
        feed_yard.later(hours=dice.choice([0, 1, 30, 200]))
    assert len(set(happened)) >= 6  # of the eleven, by chance


def _handle(dice: random.Random, addresses: list[CalendarAddress]) -> None:
    """Now and then a calendar is paused, goes on, or is withdrawn for good."""
    action = dice.choice(["pause", "resume", "resume", "nothing", "nothing", "nothing"])
    with suppress(AddressRefused):
        if action != "nothing":
            change_address(dice.choice(addresses), action, now=NOW)
        if dice.random() < 0.05:
            change_address(dice.choice(addresses), "withdraw", now=datetime.now(UTC))
