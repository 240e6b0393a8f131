"""Who can do a job: people by class of hours, and Hall's condition for each set of needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, combinations_with_replacement, product

from yard.planning.problem import Crew, Person
from yard.planning.units import CannotExpress

MAX_PEOPLE = 62  # one word of people for a way
MAX_NEEDS = 6
MAX_MIXES = 24  # ways to draw one paused crew from several classes of hours; beyond, one class must give it all


@dataclass(frozen=True, slots=True)
class Hall:
    """At least `wanted` people of `members` (positions in `Gang.people`) must be free; `needs`: a word of needs."""

    wanted: int
    members: tuple[int, ...]
    needs: int


@dataclass(frozen=True, slots=True)
class Gang:
    """The people who could do one way of a job.

    people: indices.  needs: (count, members) for each distinct need.  halls: tightest first.
    turn: for each person of the crew, in the order of the way's crew, the distinct need that gives them.
    """

    people: tuple[int, ...]
    needs: tuple[tuple[int, tuple[int, ...]], ...]
    halls: tuple[Hall, ...]
    turn: tuple[int, ...]


Part = tuple[Crew, tuple[int, ...]]
"""A need and the people among whom to look."""


def gang_for(parts: Sequence[Part], people: tuple[Person, ...]) -> Gang | None:
    """The gang for these needs, or None where there are too few people.

    Raises CannotExpress for more than the engine takes.
    """
    distinct: dict[tuple[str, int, tuple[int, ...]], int] = {}
    turn: list[int] = []
    for need, among in parts:
        number = distinct.setdefault((need.skill, need.level, among), len(distinct))
        turn += [number] * need.count
    able = [
        tuple(person for person in among if people[person].skills.get(skill, 0) >= level)
        for skill, level, among in distinct
    ]
    everybody = tuple(sorted({person for group in able for person in group}))
    if len(everybody) > MAX_PEOPLE or len(distinct) > MAX_NEEDS:
        raise CannotExpress(f"a job with {len(everybody)} possible people and {len(distinct)} kinds of need")
    at = {person: number for number, person in enumerate(everybody)}
    needs = tuple((turn.count(number), tuple(at[p] for p in group)) for number, group in enumerate(able))
    halls = tuple(sorted(_halls(needs), key=lambda hall: (len(hall.members) - hall.wanted, hall.needs)))
    if any(len(hall.members) < hall.wanted for hall in halls):
        return None
    return Gang(everybody, needs, halls, tuple(turn))


def _halls(needs: tuple[tuple[int, tuple[int, ...]], ...]) -> list[Hall]:
    """One condition for each set of needs that do not fall apart into needs without common people."""
    halls: list[Hall] = []
    for size in range(1, len(needs) + 1):
        for chosen in combinations(range(len(needs)), size):
            if _hangs_together([set(needs[n][1]) for n in chosen]):
                members = tuple(sorted({member for n in chosen for member in needs[n][1]}))
                halls.append(Hall(sum(needs[n][0] for n in chosen), members, sum(1 << n for n in chosen)))
    return halls


def _hangs_together(groups: list[set[int]]) -> bool:
    reached, rest = set(groups[0]), groups[1:]
    while True:
        touching = [group for group in rest if group & reached]
        if not touching:
            return not rest
        reached.update(*touching)
        rest = [group for group in rest if not group & reached]


def mixes(crew: tuple[Crew, ...], classes: Sequence[tuple[int, ...]]) -> Iterator[tuple[list[Part], list[int]]]:
    """For a job that pauses: each way to draw its crew from classes of people of equal hours, with the classes used.

    One class for all comes first.
    """
    for number, people in enumerate(classes):
        yield [(need, people) for need in crew], [number]
    choices = [list(combinations_with_replacement(range(len(classes)), need.count)) for need in crew]
    size = 1
    for choice in choices:
        size *= len(choice)
    if size > MAX_MIXES:
        return
    for chosen in product(*choices):
        used = sorted({number for numbers in chosen for number in numbers})
        if len(used) > 1:
            yield (
                [
                    (replace(need, count=numbers.count(number)), classes[number])
                    for need, numbers in zip(crew, chosen, strict=True)
                    for number in sorted(set(numbers))
                ],
                used,
            )
