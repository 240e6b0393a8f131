"""Calendars as files: every feed of the posted plan into a folder, and one event by itself."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from uuid import uuid5

from django.db.models import Model
from django.utils.translation import gettext as _

from yard.feeds.event import FeedHead
from yard.feeds.writing import write_feed
from yard.models import Boat, CalendarAddress, FeedEntry, FeedMember, FeedState, Owner, Person, Place, YardSettings
from yard.queries.feeds import feed_state
from yard.services.feeds.addresses import OWN_PARTS
from yard.services.feeds.bring_up_to_date import bring_up_to_date
from yard.services.feeds.reading import Readable, body_of
from yard.services.feeds.wanted import event_of

Kind = CalendarAddress.Kind


def events_file(entries: Sequence[FeedEntry], yard: YardSettings) -> bytes:
    """A calendar of these events alone; at least one."""
    head = FeedHead(name=entries[0].content["summary"], zone=yard.time_zone)
    return write_feed(head, [event_of(entry) for entry in entries])


def write_files(folder: Path, *, real_now: datetime) -> list[Path]:
    """Write each feed as <kind>-<whom>.ics, replacing the file there was only when the new one is whole.

    A feed that has nothing to show any more says so in the file that was written before: no reader keeps old events.

    Owners' files are named by number: a folder on a web server tells no names.  Raises OSError, and ValueError for a
    yard without settings.
    """
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is None:
        raise ValueError(_("The yard has no settings yet: enter its name, zone and tide station first (Yard)."))
    bring_up_to_date(now=real_now)
    state = feed_state(real_now=real_now)
    assert state is not None  # just brought up to date
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, address, shows in _addresses(state.row, yard, state.now):
        path = folder / f"{name}.ics"
        if not shows and not path.exists():
            continue
        body = body_of(Readable(address, state, written_for="", shut=False))
        part = path.with_suffix(".part")
        part.write_bytes(body)
        os.replace(part, path)
        written.append(path)
    return written


def _addresses(state: FeedState, yard: YardSettings, now: datetime) -> Iterator[tuple[str, CalendarAddress, bool]]:
    """A name and an address, never saved, for everything that can have a feed, and whether it has something to show."""
    shown = set(FeedMember.objects.values_list("kind", "subject").distinct())

    def made(name: str, title: str, kind: Kind, **subject: Model) -> tuple[str, CalendarAddress, bool]:
        uid = uuid5(state.reckoned, f"file {name}")
        parts = list(OWN_PARTS.get(kind, ()))
        address = CalendarAddress(kind=kind, name=title[:80], parts=parts, uid=uid, made_at=now, **subject)
        return name, address, all((kind, row.pk) in shown for row in subject.values())

    for person in Person.objects.all():
        yield made(f"person-{person.pk}", _("{name}: jobs").format(name=person.short_name), Kind.PERSON, person=person)
    for boat in Boat.objects.all():
        yield made(f"boat-{boat.ref}", _("{name}: jobs").format(name=boat.name), Kind.BOAT, boat=boat)
    for place in Place.objects.all():
        yield made(f"place-{place.ref}", _("{name}: jobs").format(name=place.name), Kind.PLACE, place=place)
    for owner in Owner.objects.all():
        yield made(f"owner-{owner.pk}", _("{yard}: your boats").format(yard=yard.name), Kind.OWNER, owner=owner)
    yield made("yard", _("{name}: jobs").format(name=yard.name), Kind.YARD)
    for kind in (Kind.TIDES, Kind.CLOSURES, Kind.DEADLINES):
        yield made(kind.value, f"{yard.name}: {kind.label}", kind)
