"""The jobs that a package makes for a boat, before anything is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Boat, FactKind, Package, PackageFact, PackageJob, PackageLink
from yard.queries.packages import PackageContent, package_content
from yard.services.order_package import default_options, in_light
from yard.web.orders.words import between_words, crew_words, hours_words, need_words, place_words


@dataclass(frozen=True)
class OptionLine:
    """A choice, whether it is on, and the jobs that it brings, each with its hours."""

    key: str
    name: str
    on: bool
    brings: str


@dataclass(frozen=True)
class JobLine:
    """One job that will be made. waits: what must pass before it. facts: what it waits on."""

    name: str
    hours: str
    crew: str
    places: str
    needs: str
    waits: tuple[str, ...]
    facts: tuple[str, ...]


@dataclass(frozen=True)
class Preview:
    """What a package brings with these options. hours: those of its people, medians of the usual way."""

    package: Package
    options: tuple[OptionLine, ...]
    jobs: tuple[JobLine, ...]
    hours: str
    facts: tuple[str, ...]


def preview(package: Package, boat: Boat | None, options: frozenset[str] | None, skills: Mapping[str, str]) -> Preview:
    """options: keys that are on; None: those of default_options. Seven queries."""
    content = package_content(package)
    on = default_options(package, boat) if options is None else options
    jobs = [job for job in content.jobs if job.option is None or job.option.key in on]
    names = {job.pk: job.name for job in jobs}
    links = [link for link in content.links if _holds(link, on) and {link.before_id, link.after_id} <= names.keys()]
    facts = [fact for fact in content.facts if _waited_on(fact, on, boat)]
    return Preview(
        package=package,
        options=tuple(_option(content, option.key, option.name, option.key in on) for option in content.options),
        jobs=tuple(_line(job, links, facts, names, skills) for job in jobs),
        hours=hours_words(sum(person_minutes(job) for job in jobs)),
        facts=tuple(_fact_words(fact) for fact in facts),
    )


def person_minutes(job: PackageJob) -> int:
    """Minutes of all its people together, by the usual way."""
    way = job.ways.all()[0]
    people: int = sum(line["count"] for line in way.crew)
    return way.duration_min * people


def _option(content: PackageContent, key: str, name: str, on: bool) -> OptionLine:
    brings = [
        f"{job.name} {hours_words(job.ways.all()[0].duration_min)}"
        for job in content.jobs
        if job.option is not None and job.option.key == key
    ]
    return OptionLine(key, name, on, ", ".join(brings) or _("no job of its own"))


def _holds(link: PackageLink, on: frozenset[str]) -> bool:
    with_it = link.option is None or link.option.key in on
    return with_it and not (link.unless_option is not None and link.unless_option.key in on)


def _waited_on(fact: PackageFact, on: frozenset[str], boat: Boat | None) -> bool:
    if fact.kind == FactKind.DRAFT and boat is not None and boat.draft_m is not None:
        return False
    return fact.option is None or fact.option.key in on


def _fact_words(fact: PackageFact) -> str:
    if fact.default_days is None:
        return _("{fact}: unknown until somebody says").format(fact=fact.name)
    said = ngettext(  # the same in English, not everywhere
        "{fact}: expected in {n} days, the yard's guess",
        "{fact}: expected in {n} days, the yard's guess",
        fact.default_days,
    )
    return said.format(fact=fact.name, n=fact.default_days)


def _line(
    job: PackageJob,
    links: list[PackageLink],
    facts: list[PackageFact],
    names: Mapping[int, str],
    skills: Mapping[str, str],
) -> JobLine:
    way, kind = job.ways.all()[0], job.kind
    waits = [
        _("{wait} after {job}").format(wait=between, job=names[link.before_id])
        for link in links
        if link.after_id == job.pk and (between := between_words(link.min_wait_min, link.max_wait_min))
    ]
    return JobLine(
        name=job.name,
        hours=hours_words(way.duration_min),
        crew=crew_words(way.crew, skills),
        places=place_words(way.place_kinds),
        needs=need_words(
            water=job.water_need or kind.water_need,
            weather=job.weather_class or kind.weather_class,
            light=in_light(job, kind),
        ),
        waits=tuple(waits),
        facts=tuple(fact.name for fact in facts if any(row.pk == job.pk for row in fact.jobs.all())),
    )
