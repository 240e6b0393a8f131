"""What is wrong with a package, whether it was read from a file or changed on a page; whole sentences with the remedy.

Every choice of options is gone through: a circle, or a longest wait that the jobs between cannot keep, is found
before anybody orders that choice.
"""

from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import combinations

from django.utils.translation import gettext as _

from yard.services.package_files import Job, KindsFile, Link, PackageFile

MOST_OPTIONS = 10  # every choice of options is checked: 1,024 of them


def twice(what: str, keys: Sequence[str]) -> list[str]:
    return [
        _("{what} '{key}' stands twice: give each its own key.").format(what=what, key=key)
        for key in sorted({k for k in keys if keys.count(k) > 1})
    ]


def kind_faults(file: KindsFile) -> Iterator[str]:
    yield from twice(_("skill"), [skill.key for skill in file.skill])
    yield from twice(_("kind"), [kind.key for kind in file.kind])
    for kind in file.kind:
        if len(kind.short_name) > 8:
            yield _("kind '{key}': the short name '{short_name}' is longer than 8 characters.").format(
                key=kind.key, short_name=kind.short_name
            )
        if kind.weather_class != "none" and not kind.outdoor:
            yield _("kind '{key}' has weather limits but is not outdoors: set outdoor, or leave the class out.").format(
                key=kind.key
            )
        if kind.shares_boat and not kind.needs_boat:
            yield _("kind '{key}' shares a boat it does not need: set needs_boat.").format(key=kind.key)


def package_faults(file: PackageFile, kinds: KindsFile, place_kinds: Sequence[str]) -> Iterator[str]:
    yield from twice(_("job"), [job.key for job in file.job])
    yield from twice(_("option"), [option.key for option in file.option])
    yield from twice(_("fact"), [fact.key for fact in file.fact])
    pairs = [_("{before} before {after}").format(before=link.before, after=link.after) for link in file.links()]
    yield from twice(_("link"), pairs)
    for number, job in enumerate(file.job):
        if job.split_of in {later.key for later in file.job[number:]}:
            yield _("job '{key}' stands before '{part}', of which it is the later part: write it after.").format(
                key=job.key, part=job.split_of
            )
    unknown = list(_unknown_names(file, kinds, place_kinds))
    yield from unknown
    for job in file.job:
        yield from _way_faults(job, kinds)
    yield from (
        _("link '{before}' before '{after}': the longest wait is shorter than the least.").format(
            before=link.before, after=link.after
        )
        for link in file.link
        if link.max_wait_min is not None and link.max_wait_min < link.min_wait_min
    )
    if not unknown:
        yield from _order_faults(file)


def _unknown_names(file: PackageFile, kinds: KindsFile, place_kinds: Sequence[str]) -> Iterator[str]:
    jobs, options = {job.key for job in file.job}, {option.key for option in file.option}
    kind_keys, skills = {kind.key for kind in kinds.kind}, {skill.key for skill in kinds.skill}
    for where, what, name, known in _names(file):
        pool = {"job": jobs, "option": options, "kind": kind_keys, "skill": skills, "place": set(place_kinds)}[known]
        if name and name not in pool:
            yield _("{where} names the {what} '{name}', which is not there; known: {pool}.").format(
                where=where, what=what, name=name, pool=", ".join(sorted(pool)) or _("none")
            )


def _names(file: PackageFile) -> Iterator[tuple[str, str, str, str]]:
    """(where, what it is called there, the name, which pool it must be in)."""
    for job in file.job:
        where = _("job '{key}'").format(key=job.key)
        yield where, _("kind of job"), job.kind, "kind"
        yield where, _("option"), job.option, "option"
        yield where, _("earlier part"), job.split_of, "job"
        for key in job.after:
            yield where, _("job before it"), key, "job"
        for key in job.waits_for_open:
            yield where, _("kind of job to wait for"), key, "kind"
        for way in job.ways:
            for line in way.crew:
                yield where, _("skill"), line.skill, "skill"
            for kind in way.places:
                yield where, _("kind of place"), kind, "place"
    for link in file.link:
        where = _("link '{before}' before '{after}'").format(before=link.before, after=link.after)
        yield from ((where, _("job"), key, "job") for key in (link.before, link.after))
        yield from ((where, _("option"), key, "option") for key in (link.option, link.unless_option))
    for fact in file.fact:
        where = _("fact '{key}'").format(key=fact.key)
        yield from ((where, _("job"), key, "job") for key in fact.jobs)
        yield where, _("option"), fact.option, "option"
    for stay in file.stay:
        where = _("stay from '{key}'").format(key=stay.from_job)
        yield from ((where, _("job"), key, "job") for key in (stay.from_job, stay.until_job))
        yield where, _("kind of place"), stay.place_kind, "place"
        yield from ((where, _("option"), key, "option") for key in (stay.option, stay.unless_option))


def _way_faults(job: Job, kinds: KindsFile) -> Iterator[str]:
    kind = next((kind for kind in kinds.kind if kind.key == job.kind), None)
    if not job.ways:
        yield _("job '{key}' has no way of doing it: give minutes, crew and places.").format(key=job.key)
    for way in job.ways:
        if way.minutes <= 0 or way.minutes % 15:
            yield _("job '{key}': {minutes} min is not a whole number of quarters of an hour.").format(
                key=job.key, minutes=way.minutes
            )
        if any(line.count < 1 or not 1 <= line.level <= 3 for line in way.crew):
            yield _("job '{key}': a crew line counts at least one, at level 1 to 3.").format(key=job.key)
        if kind is None:
            continue
        parts = way.parts or kind.parts
        if parts and sum(part.minutes for part in parts) != way.minutes:
            yield _("job '{key}': its parts do not add up to {minutes} min.").format(key=job.key, minutes=way.minutes)
        if kind.not_alone and sum(line.count for line in way.crew) < 2:
            yield _("job '{key}': nobody does this alone, but a way names fewer than two.").format(key=job.key)
        if kind.pausing == "elapsed" and way.crew:
            yield _("job '{key}' runs on the clock without hands: leave the crew out.").format(key=job.key)


def _order_faults(file: PackageFile) -> Iterator[str]:
    """What is wrong with the order of jobs for some choice of options; the choice with fewest options is told."""
    if len(file.option) > MOST_OPTIONS:
        yield _("it has {n} options, more than {most}: make two packages of it.").format(
            n=len(file.option), most=MOST_OPTIONS
        )
        return
    told: set[object] = set()
    for count in range(len(file.option) + 1):
        for chosen in combinations([option.key for option in file.option], count):
            for about, fault in _choice_faults(file, frozenset(chosen)):
                if about not in told:
                    told.add(about)
                    yield fault


def _choice_faults(file: PackageFile, options: frozenset[str]) -> Iterator[tuple[object, str]]:
    """(what it is about, the sentence) for one choice of options."""
    quickest = {
        job.key: min((way.minutes for way in job.ways), default=0)
        for job in file.job
        if not job.option or job.option in options
    }
    links = [link for link in file.links() if link.holds(options) and {link.before, link.after} <= quickest.keys()]
    network = TopologicalSorter[str](dict.fromkeys(quickest, ()))
    for link in links:
        network.add(link.after, link.before)
    try:
        network.prepare()
    except CycleError as circle:
        yield (
            "circle",
            _("jobs wait for each other in a circle: {jobs}.").format(
                jobs=_(" after ").join(repr(key) for key in reversed(circle.args[1]))
            ),
        )
        return
    for link in links:
        if link.max_wait_min is None:
            continue
        between = _least_between(link.before, link.after, links, quickest)
        if between > link.max_wait_min:
            yield (
                (link.before, link.after),
                _(
                    "link '{before}' before '{after}': at most {minutes} min may pass, but what "
                    "lies between takes {between}."
                ).format(before=link.before, after=link.after, minutes=link.max_wait_min, between=between),
            )


def _least_between(start: str, end: str, links: Sequence[Link], quickest: dict[str, int]) -> int:
    """Minutes that must pass from the end of one job to the start of another, by the longest way round."""
    if start == end:
        return 0
    found = 0
    for link in links:
        if link.after == end and (link.before == start or _follows(link.before, start, links)):
            inner = 0 if link.before == start else quickest[link.before]
            found = max(found, _least_between(start, link.before, links, quickest) + inner + link.min_wait_min)
    return found


def _follows(key: str, start: str, links: Sequence[Link]) -> bool:
    return any(link.after == key and (link.before == start or _follows(link.before, start, links)) for link in links)
