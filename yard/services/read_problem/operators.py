"""Who may work a place: where a place names its operators, one of the crew is one of them.

The planner knows skills, not permissions. So a skill held by somebody who may work a place becomes a skill of its
own ("operator for Gin pole"), and a way that needs the place asks for one of it in place of the plain skill: one way
for each crew member who could be that person.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from yard.models import Person
from yard.planning import problem as planner
from yard.services.read_problem.places import PlaceBook

Group = frozenset[int]
"""Ids of the people who may work a place."""


@dataclass
class OperatorBook:
    """The operators of each of the planner's places, and the skills made for them so far.

    named: who is named for a place, by the planner's index.  levels: level by skill of each person, by id.
    """

    places: PlaceBook
    named: Mapping[int, Group]
    levels: Mapping[int, Mapping[str, int]]
    made: dict[str, tuple[str, Group]] = field(default_factory=dict)

    @classmethod
    def read(cls, places: PlaceBook, people: Sequence[Person]) -> OperatorBook:
        groups = {
            index: frozenset(person.pk for person in row.operators.all())
            for index, row in enumerate(places.rows)
            if row is not None
        }
        named = {index: group for index, group in groups.items() if group}
        return cls(places, named, {row.pk: {held.skill.key: held.level for held in row.skills.all()} for row in people})

    def ways(self, way: planner.Way) -> list[planner.Way]:
        """The way itself where nobody is named; else a way for each place and each crew member who may work it."""
        found = []
        for choice in product(*(self._choices(need) for need in way.places)):
            places = tuple(need for need, _ in choice)
            groups = [group for _, group in choice if group is not None]
            found += [replace(way, places=places, crew=crew) for crew in self._crews(way.crew, groups)]
        return found

    def skills_of(self, person: int) -> dict[str, int]:
        """The skills made here that this person has, with their level in the plain skill."""
        held = self.levels.get(person, {})
        return {name: held[skill] for name, (skill, group) in self.made.items() if person in group and skill in held}

    def _choices(self, need: planner.PlaceNeed) -> list[tuple[planner.PlaceNeed, Group | None]]:
        """The need's places, those with the same operators together."""
        by_group: dict[Group | None, list[int]] = {}
        for index in need.any_of:
            by_group.setdefault(self.named.get(index), []).append(index)
        return [(replace(need, any_of=tuple(indices)), group) for group, indices in by_group.items()]

    def _crews(self, crew: tuple[planner.Crew, ...], groups: list[Group]) -> Iterator[tuple[planner.Crew, ...]]:
        """Every crew in which each group has a member (where nobody is needed, nobody); one may stand for two."""
        if not groups or not crew:
            yield crew
            return
        group, *rest = groups
        seen = set()
        for index, need in enumerate(crew):
            narrowed = self._narrowed(need, group)
            if narrowed is None:
                continue
            left = (replace(need, count=need.count - 1),) if need.count > 1 else ()
            for made in self._crews((*crew[:index], narrowed, *left, *crew[index + 1 :]), rest):
                if made not in seen:
                    seen.add(made)
                    yield made

    def _narrowed(self, need: planner.Crew, group: Group) -> planner.Crew | None:
        """One of this need who is in the group; None where nobody in it has the skill at that level."""
        plain, already = self.made.get(need.skill, (need.skill, None))
        both = group if already is None else group & already
        if not any(self.levels.get(person, {}).get(plain, 0) >= need.level for person in both):
            return None
        name = f"{plain} for {' and '.join(sorted(self._names(both)))}"
        self.made[name] = (plain, both)
        return planner.Crew(skill=name, count=1, level=need.level)

    def _names(self, group: Group) -> list[str]:
        """The places whose operators this group is part of."""
        rows = ((self.places.rows[index], named) for index, named in self.named.items())
        return [row.name for row, named in rows if row is not None and group <= named]
