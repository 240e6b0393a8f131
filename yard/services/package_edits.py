"""A package changed, value in and value out: nothing is checked here (package_faults) and nothing is saved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import msgspec
from django.utils.translation import gettext as _

from yard.services.package_files import Fact, Head, Job, Link, Option, PackageFile, Stay, Way

QUARTER_MIN = 15


@dataclass(frozen=True)
class JobSheet:
    """One job with what it follows (links whose `after` it is) and the keys of the facts that it waits on."""

    job: Job
    follows: tuple[Link, ...]
    facts: frozenset[str]


def sheet_of(file: PackageFile, key: str) -> JobSheet:
    """Raises KeyError where the package has no such job."""
    job = job_of(file, key)
    follows = tuple(link for link in file.links() if link.after == key)
    return JobSheet(job, follows, frozenset(fact.key for fact in file.fact if key in fact.jobs))


def job_of(file: PackageFile, key: str) -> Job:
    """Raises KeyError where the package has no such job."""
    return {job.key: job for job in file.job}[key]


def with_head(file: PackageFile, head: Head) -> PackageFile:
    return msgspec.structs.replace(file, package=head)


def with_job(file: PackageFile, sheet: JobSheet) -> PackageFile:
    """The job in the place of the one of its key, or as the last; its links and facts as the sheet says."""
    key, plain = sheet.job.key, file.plain()
    known = any(job.key == key for job in plain.job)
    jobs = tuple(sheet.job if job.key == key else job for job in plain.job)
    return msgspec.structs.replace(
        plain,
        job=jobs if known else (*jobs, sheet.job),
        link=(*(link for link in plain.link if link.after != key), *sheet.follows),
        fact=tuple(_waiting(fact, key, fact.key in sheet.facts) for fact in plain.fact),
    ).plain()


def _waiting(fact: Fact, key: str, waits: bool) -> Fact:
    others = tuple(each for each in fact.jobs if each != key)
    return msgspec.structs.replace(fact, jobs=(*others, key) if waits else others)


def without_job(file: PackageFile, key: str) -> PackageFile:
    """The job taken out; what followed it follows what it followed, with no wait that nobody wrote for the two."""
    plain = file.plain()
    befores = [link for link in plain.link if link.after == key]
    afters = [link for link in plain.link if link.before == key]
    links = [link for link in plain.link if key not in (link.before, link.after)]
    known = {(link.before, link.after) for link in links}
    bridges = [
        Link(
            before=one.before,
            after=two.after,
            reason="",
            source="",
            option=two.option or one.option,
            unless_option=two.unless_option or one.unless_option,
            only_if_covers_gate=one.only_if_covers_gate or two.only_if_covers_gate,
        )
        for one in befores
        for two in afters
        if (one.before, two.after) not in known and one.before != two.after
    ]
    return msgspec.structs.replace(
        plain,
        job=tuple(
            msgspec.structs.replace(job, split_of="") if job.split_of == key else job
            for job in plain.job
            if job.key != key
        ),
        link=(*links, *{(link.before, link.after): link for link in bridges}.values()),
        fact=tuple(_waiting(fact, key, False) for fact in plain.fact),
        stay=tuple(stay for stay in plain.stay if key not in (stay.from_job, stay.until_job)),
    ).plain()


def moved(file: PackageFile, key: str, by: int) -> PackageFile:
    """The job by so many places further down (by < 0: up) in the list; what follows what is not touched."""
    jobs = list(file.job)
    at = next(number for number, job in enumerate(jobs) if job.key == key)
    job = jobs.pop(at)
    jobs.insert(max(0, at + by), job)
    return msgspec.structs.replace(file, job=tuple(jobs))


def broken_in_two(file: PackageFile, key: str) -> PackageFile:
    """A break point in the job: its first part, and a second one that follows it and takes what came after it.

    Each way's time is halved to whole quarters, the first part taking what is over. Raises ValueError for a job whose
    time is made of parts, or is a quarter alone.
    """
    plain, job = file.plain(), job_of(file, key)
    if any(way.parts or way.minutes < 2 * QUARTER_MIN for way in job.ways):
        raise ValueError(
            _("“{job}” cannot be broken in two: it is made of parts, or a quarter of an hour long.").format(
                job=job.name
            )
        )
    second = free_key([each.key for each in plain.job], f"{key}_later")
    later = msgspec.structs.replace(
        job,
        key=second,
        name=_("{job}, second part").format(job=job.name[:66]),
        split_of=key,
        ways=tuple(_shortened(way, way.minutes // 2 // QUARTER_MIN * QUARTER_MIN) for way in job.ways),
        waits_for_open=(),
    )
    first = msgspec.structs.replace(
        job,
        ways=tuple(_shortened(way, way.minutes - way.minutes // 2 // QUARTER_MIN * QUARTER_MIN) for way in job.ways),
    )
    joint = Link(before=key, after=second, reason=_("break point of the same work"), source=_("common practice"))
    jobs = [part for each in plain.job for part in ((first, later) if each.key == key else (each,))]
    return msgspec.structs.replace(
        plain,
        job=tuple(jobs),
        link=(
            *(msgspec.structs.replace(link, before=second) if link.before == key else link for link in plain.link),
            joint,
        ),
        stay=tuple(
            msgspec.structs.replace(stay, until_job=second) if stay.until_job == key else stay for stay in plain.stay
        ),
    ).plain()


def _shortened(way: Way, minutes: int) -> Way:
    return msgspec.structs.replace(way, minutes=minutes)


def with_options(file: PackageFile, options: Iterable[Option]) -> PackageFile:
    """What named an option that is gone stands without it: a job always comes then, a link always holds."""
    kept = tuple(options)
    keys = {option.key for option in kept}

    def settled(value: Job | Link | Fact | Stay) -> dict[str, str]:
        names = [name for name in ("option", "unless_option") if getattr(value, name, "")]
        return {name: "" for name in names if getattr(value, name) not in keys}

    return msgspec.structs.replace(
        file,
        option=kept,
        job=tuple(msgspec.structs.replace(job, **settled(job)) for job in file.job),
        link=tuple(msgspec.structs.replace(link, **settled(link)) for link in file.link),
        fact=tuple(msgspec.structs.replace(fact, **settled(fact)) for fact in file.fact),
        stay=tuple(msgspec.structs.replace(stay, **settled(stay)) for stay in file.stay),
    )


def with_facts(file: PackageFile, facts: Iterable[Fact]) -> PackageFile:
    return msgspec.structs.replace(file, fact=tuple(facts)).plain()


def with_stays(file: PackageFile, stays: Iterable[Stay]) -> PackageFile:
    return msgspec.structs.replace(file, stay=tuple(stays)).plain()


def free_key(taken: Iterable[str], wanted: str) -> str:
    """The key, or the next that is free, at most 40 letters long as the rows have room for."""
    stem, known = wanted[:36] or "job", set(taken)
    return next(key for key in (stem, *(f"{stem}_{n}" for n in range(2, len(known) + 3))) if key not in known)
