"""What is wrong with a package, whether it was read from a file or changed on a page; whole sentences with the remedy.

Every choice of options is gone through: a circle, or a longest wait that the jobs between cannot keep, is found
before anybody orders that choice.
"""

from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import combinations

from yard.services.package_files import Job, KindsFile, Link, PackageFile

MOST_OPTIONS = 10  # every choice of options is checked: 1,024 of them


def twice(what: str, keys: Sequence[str]) -> list[str]:
    return [
        f"{what} '{key}' stands twice: give each its own key." for key in sorted({k for k in keys if keys.count(k) > 1})
    ]


def kind_faults(file: KindsFile) -> Iterator[str]:
    yield from twice("skill", [skill.key for skill in file.skill])
    yield from twice("kind", [kind.key for kind in file.kind])
    for kind in file.kind:
        if len(kind.short_name) > 8:
            yield f"kind '{kind.key}': the short name '{kind.short_name}' is longer than 8 characters."
        if kind.weather_class != "none" and not kind.outdoor:
            yield f"kind '{kind.key}' has weather limits but is not outdoors: set outdoor, or leave the class out."
        if kind.shares_boat and not kind.needs_boat:
            yield f"kind '{kind.key}' shares a boat it does not need: set needs_boat."


def package_faults(file: PackageFile, kinds: KindsFile, place_kinds: Sequence[str]) -> Iterator[str]:
    yield from twice("job", [job.key for job in file.job])
    yield from twice("option", [option.key for option in file.option])
    yield from twice("fact", [fact.key for fact in file.fact])
    pairs = [f"{link.before} before {link.after}" for link in file.links()]
    yield from twice("link", pairs)
    for number, job in enumerate(file.job):
        if job.split_of in {later.key for later in file.job[number:]}:
            yield f"job '{job.key}' stands before '{job.split_of}', of which it is the later part: write it after."
    unknown = list(_unknown_names(file, kinds, place_kinds))
    yield from unknown
    for job in file.job:
        yield from _way_faults(job, kinds)
    yield from (
        f"link '{link.before}' before '{link.after}': the longest wait is shorter than the least."
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
            yield f"{where} names the {what} '{name}', which is not there; known: {', '.join(sorted(pool)) or 'none'}."


def _names(file: PackageFile) -> Iterator[tuple[str, str, str, str]]:
    """(where, what it is called there, the name, which pool it must be in)."""
    for job in file.job:
        where = f"job '{job.key}'"
        yield where, "kind of job", job.kind, "kind"
        yield where, "option", job.option, "option"
        yield where, "earlier part", job.split_of, "job"
        for key in job.after:
            yield where, "job before it", key, "job"
        for key in job.waits_for_open:
            yield where, "kind of job to wait for", key, "kind"
        for way in job.ways:
            for line in way.crew:
                yield where, "skill", line.skill, "skill"
            for kind in way.places:
                yield where, "kind of place", kind, "place"
    for link in file.link:
        where = f"link '{link.before}' before '{link.after}'"
        yield from ((where, "job", key, "job") for key in (link.before, link.after))
        yield from ((where, "option", key, "option") for key in (link.option, link.unless_option))
    for fact in file.fact:
        yield from ((f"fact '{fact.key}'", "job", key, "job") for key in fact.jobs)
        yield f"fact '{fact.key}'", "option", fact.option, "option"
    for stay in file.stay:
        where = f"stay from '{stay.from_job}'"
        yield from ((where, "job", key, "job") for key in (stay.from_job, stay.until_job))
        yield where, "kind of place", stay.place_kind, "place"
        yield from ((where, "option", key, "option") for key in (stay.option, stay.unless_option))


def _way_faults(job: Job, kinds: KindsFile) -> Iterator[str]:
    kind = next((kind for kind in kinds.kind if kind.key == job.kind), None)
    if not job.ways:
        yield f"job '{job.key}' has no way of doing it: give minutes, crew and places."
    for way in job.ways:
        if way.minutes <= 0 or way.minutes % 15:
            yield f"job '{job.key}': {way.minutes} min is not a whole number of quarters of an hour."
        if any(line.count < 1 or not 1 <= line.level <= 3 for line in way.crew):
            yield f"job '{job.key}': a crew line counts at least one, at level 1 to 3."
        if kind is None:
            continue
        parts = way.parts or kind.parts
        if parts and sum(part.minutes for part in parts) != way.minutes:
            yield f"job '{job.key}': its parts do not add up to {way.minutes} min."
        if kind.not_alone and sum(line.count for line in way.crew) < 2:
            yield f"job '{job.key}': nobody does this alone, but a way names fewer than two."
        if kind.pausing == "elapsed" and way.crew:
            yield f"job '{job.key}' runs on the clock without hands: leave the crew out."


def _order_faults(file: PackageFile) -> Iterator[str]:
    """What is wrong with the order of jobs for some choice of options; the choice with fewest options is told."""
    if len(file.option) > MOST_OPTIONS:
        yield f"it has {len(file.option)} options, more than {MOST_OPTIONS}: make two packages of it."
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
            f"jobs wait for each other in a circle: {' after '.join(repr(key) for key in reversed(circle.args[1]))}.",
        )
        return
    for link in links:
        if link.max_wait_min is None:
            continue
        between = _least_between(link.before, link.after, links, quickest)
        if between > link.max_wait_min:
            yield (
                (link.before, link.after),
                f"link '{link.before}' before '{link.after}': at most {link.max_wait_min} min may pass,"
                f" but what lies between takes {between}.",
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
