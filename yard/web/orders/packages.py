"""A package as its page shows it: the network, and the same as a table with everything that each job needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Package, PackageJob, PackageLink, PackageStay, Skill
from yard.pictures.package_network import PackageNetworkPicture, lay_out
from yard.pictures.package_network_input import PackageNetworkInput
from yard.queries.packages import PackageContent, package_content
from yard.services.order_package import default_options, in_light
from yard.web.orders.network import network_input
from yard.web.orders.words import between_words, crew_words, hours_words, need_words, place_words, wait_words

UNSOURCED = gettext_lazy("common practice")


@dataclass(frozen=True)
class WayLine:
    hours: str
    crew: str
    places: str


@dataclass(frozen=True)
class PackageJobRow:
    """One job of the table. after: (job, wait, why and whose figure)."""

    job: PackageJob
    option: str
    critical: bool
    spare: str
    ways: tuple[WayLine, ...]
    needs: str
    cautions: tuple[str, ...]
    after: tuple[tuple[str, str, str], ...]
    facts: tuple[str, ...]


@dataclass(frozen=True)
class PackageFactRow:
    name: str
    expected: str
    jobs: str
    source: str


@dataclass(frozen=True)
class PackagePage:
    """options: (key, name, whether it is on in the picture). critical: (job, hours, begins after), in order."""

    package: Package
    options: tuple[tuple[str, str, bool], ...]
    network: PackageNetworkPicture
    rows: tuple[PackageJobRow, ...]
    facts: tuple[PackageFactRow, ...]
    stays: tuple[str, ...]
    longest: str
    critical: tuple[tuple[str, str, str], ...]


def package_page(package: Package, options: frozenset[str] | None) -> PackagePage:
    """options: keys that are on; None: the usual ones. About nine queries."""
    content = package_content(package)
    on = default_options(package, None) if options is None else options
    jobs = [job for job in content.jobs if job.option is None or job.option.key in on]
    names = {job.pk: job.name for job in jobs}
    links = [
        link
        for link in content.links
        if {link.before_id, link.after_id} <= names.keys()
        and (link.option is None or link.option.key in on)
        and (link.unless_option is None or link.unless_option.key not in on)
    ]
    network = lay_out(_network(jobs, [link for link in links if not link.only_if_covers_gate]))
    skills = dict(Skill.objects.values_list("key", "name"))
    return PackagePage(
        package=package,
        options=tuple((option.key, option.name, option.key in on) for option in content.options),
        network=network,
        rows=tuple(_row(job, content, links, network, skills) for job in jobs),
        facts=_facts(content, names, on),
        stays=_stays(content, names, on),
        longest=wait_words(network.path.length_min),
        critical=_critical(jobs, network),
    )


def _critical(jobs: list[PackageJob], network: PackageNetworkPicture) -> tuple[tuple[str, str, str], ...]:
    by_key = {job.key: job for job in jobs}
    return tuple(
        (
            by_key[key].name,
            hours_words(by_key[key].ways.all()[0].duration_min),
            wait_words(network.path.starts_min[key]) if network.path.starts_min[key] else "",
        )
        for key in network.path.jobs
    )


def _network(jobs: list[PackageJob], links: list[PackageLink]) -> PackageNetworkInput:
    minutes = {job.pk: job.ways.all()[0].duration_min for job in jobs}
    return network_input(jobs, links, minutes, optional={job.pk for job in jobs if job.option is not None})


def _row(
    job: PackageJob,
    content: PackageContent,
    links: list[PackageLink],
    network: PackageNetworkPicture,
    skills: Mapping[str, str],
) -> PackageJobRow:
    kind, spare = job.kind, network.path.float_min[job.key]
    names = {each.pk: each.name for each in content.jobs}
    return PackageJobRow(
        job=job,
        option=job.option.name if job.option else "",
        critical=spare == 0,
        spare="" if spare == 0 else hours_words(spare),
        ways=tuple(
            WayLine(
                hours_words(way.duration_min),
                crew_words(way.crew, skills),
                ", ".join(
                    each
                    for each in (place_words(way.place_kinds), way.get_boat_at_display() if way.boat_at else "")
                    if each
                ),
            )
            for way in job.ways.all()
        ),
        needs=need_words(
            water=job.water_need or kind.water_need,
            weather=job.weather_class or kind.weather_class,
            light=in_light(job, kind),
        ),
        cautions=tuple(text for text in (kind.cautions, job.cautions) if text),
        after=tuple(
            (names[link.before_id], _between(link), "; ".join(each for each in (link.reason, link.source) if each))
            for link in links
            if link.after_id == job.pk
        ),
        facts=tuple(fact.name for fact in content.facts if any(each.pk == job.pk for each in fact.jobs.all())),
    )


def _between(link: PackageLink) -> str:
    words = between_words(link.min_wait_min, link.max_wait_min)
    gate = _("only where covers gate the delivery") if link.only_if_covers_gate else ""
    return ", ".join(each for each in (words, gate) if each)


def _facts(content: PackageContent, names: Mapping[int, str], on: frozenset[str]) -> tuple[PackageFactRow, ...]:
    return tuple(
        PackageFactRow(
            name=fact.name,
            expected=_expected(fact.default_days),
            jobs=", ".join(names[job.pk] for job in fact.jobs.all() if job.pk in names),
            source=fact.source or str(UNSOURCED),
        )
        for fact in content.facts
        if fact.option is None or fact.option.key in on
    )


def _expected(days: int | None) -> str:
    if days is None:
        return _("unknown until told")
    # The same in English, not everywhere.
    return ngettext("{n} days after ordering", "{n} days after ordering", days).format(n=days)


def _stays(content: PackageContent, names: Mapping[int, str], on: frozenset[str]) -> tuple[str, ...]:
    return tuple(
        _stay(stay, names[stay.from_job_id], names[stay.until_job_id])
        for stay in content.stays
        if {stay.from_job_id, stay.until_job_id} <= names.keys()
        and (stay.option is None or stay.option.key in on)
        and (stay.unless_option is None or stay.unless_option.key not in on)
    )


def _stay(stay: PackageStay, first: str, last: str) -> str:
    said = _("{place} from {first} until {last}")
    if stay.counted_by_night:
        said = _("{place} from {first} until {last}, counted by night")
    return said.format(place=stay.get_place_kind_display(), first=first, last=last)
