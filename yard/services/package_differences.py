"""What two editions of a package differ in, part by part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import msgspec

from yard.services.package_files import Fact, Head, Job, Link, Option, PackageFile, Stay

Part = Literal["head", "option", "order", "job", "ways", "needs", "link", "fact", "stay"]
Value = Head | Option | Job | Link | Fact | Stay


@dataclass(frozen=True)
class Difference:
    """part: what kind of thing. key: which one, a job by its key, a link by (before, after). None: not there.

    "job" is one that came or went whole; "ways" its hours, people and places; "needs" all else that it says.
    """

    part: Part
    key: tuple[str, ...]
    was: Value | None
    now: Value | None

    @property
    def name(self) -> str:
        """What tells it apart from the other differences of the same two editions."""
        return f"{self.part}:{'/'.join(self.key)}"


def differences(before: PackageFile, after: PackageFile) -> tuple[Difference, ...]:
    """None for two that say the same."""
    one, two = before.plain(), after.plain()
    found = [Difference("head", (), one.package, two.package)] if one.package != two.package else []
    found += _both("option", {(o.key,): o for o in one.option}, {(o.key,): o for o in two.option})
    found += _jobs({job.key: job for job in one.job}, {job.key: job for job in two.job})
    found += _moved(one, two)
    found += _both("link", {(x.before, x.after): x for x in one.link}, {(x.before, x.after): x for x in two.link})
    found += _both("fact", {(fact.key,): fact for fact in one.fact}, {(fact.key,): fact for fact in two.fact})
    return (*found, *_both("stay", _stays(one.stay), _stays(two.stay)))


def _stays(stays: Iterable[Stay]) -> dict[tuple[str, ...], Stay]:
    return {(stay.from_job, stay.until_job, stay.place_kind): stay for stay in stays}


def _both(
    part: Part, one: Mapping[tuple[str, ...], Value], two: Mapping[tuple[str, ...], Value]
) -> Iterator[Difference]:
    for key in dict.fromkeys([*one, *two]):
        if one.get(key) != two.get(key):
            yield Difference(part, key, one.get(key), two.get(key))


def _jobs(one: Mapping[str, Job], two: Mapping[str, Job]) -> Iterator[Difference]:
    for key in dict.fromkeys([*one, *two]):
        was, now = one.get(key), two.get(key)
        if was is None or now is None:
            yield Difference("job", (key,), was, now)
            continue
        if was.ways != now.ways:
            yield Difference("ways", (key,), was, now)
        if msgspec.structs.replace(was, ways=now.ways) != now:
            yield Difference("needs", (key,), was, now)


def _moved(one: PackageFile, two: PackageFile) -> Iterator[Difference]:
    common = {job.key for job in one.job} & {job.key for job in two.job}
    lists = [[job.key for job in file.job if job.key in common] for file in (one, two)]
    if lists[0] != lists[1]:
        yield Difference("order", (), None, None)
