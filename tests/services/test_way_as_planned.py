"""A stored job is read back by the way it was planned by, where one row is several of the planner's ways."""

from __future__ import annotations

from tests.planning.tiny import job, person, place, way, yard
from yard.planning.problem import Crew, Problem
from yard.services.stored_plan import way_as_planned


def launches() -> Problem:
    """Jo may work the trailer, as skipper or as hand: two ways of one name."""
    ways = (
        way(4, name="0", places=(0,), crew=(Crew(skill="skipper for Trailer"), Crew(skill="hand"))),
        way(4, name="0", places=(0,), crew=(Crew(skill="hand for Trailer"), Crew(skill="skipper"))),
        way(2, name="1", crew=(Crew(skill="hand"),)),
    )
    people = (
        person("Jo", "skipper", "hand", "skipper for Trailer", "hand for Trailer"),
        person("Ann", "skipper", "hand"),
    )
    return yard(job("launch", *ways), people=people, places=(place("Trailer"),))


def test_the_way_that_its_people_fill() -> None:
    problem = launches()
    assert way_as_planned(problem, 0, "0", (0, 1), ((0, 0),)) == 0  # both fit: the first
    swapped = (person("Jo", "hand", "hand for Trailer"), person("Ann", "skipper"))
    other = yard(problem.jobs[0], people=swapped, places=problem.places)
    assert way_as_planned(other, 0, "0", (0, 1), ((0, 0),)) == 1


def test_where_nobody_fits_the_first_of_that_name_stands_for_the_check() -> None:
    assert way_as_planned(launches(), 0, "0", (1, 0), ((0, 0),)) == 0
    assert way_as_planned(launches(), 0, "1", (1,), ()) == 2
    assert way_as_planned(launches(), 0, "7", (1,), ()) == -1
