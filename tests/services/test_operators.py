"""Who may work a place: read from rows into ways and skills, and looked at again at the door."""

from __future__ import annotations

import pytest

from yard.models import Person, PersonSkill, Place, Skill
from yard.planning.problem import Crew, PlaceNeed, Way
from yard.services.read_problem.operators import OperatorBook
from yard.services.read_problem.places import PlaceBook

pytestmark = pytest.mark.django_db

STEP = Way(duration_quarters=6, crew=(Crew(skill="rigger", level=2), Crew(skill="hand", count=2)), name="1")


@pytest.fixture
def people() -> dict[str, Person]:
    made = {}
    for name, skills in {
        "Ann": {"rigger": 3, "hand": 1},
        "Bo": {"rigger": 1, "hand": 2},
        "Cal": {"hand": 1},
        "Di": {"rigger": 2},
    }.items():
        person = Person.objects.create(name=name, short_name=name)
        for key, level in skills.items():
            skill, _ = Skill.objects.get_or_create(key=key, defaults={"name": key})
            PersonSkill.objects.create(person=person, skill=skill, level=level)
        made[name] = person
    return made


def book_of(*places: tuple[str, list[Person]]) -> OperatorBook:
    rows = []
    for ref, operators in places:
        place = Place.objects.create(ref=ref, name=ref.replace("-", " "), kind="other")
        place.operators.set(operators)
        rows.append(place)
    people = list(Person.objects.prefetch_related("skills__skill").order_by("id"))
    return OperatorBook.read(PlaceBook(axis=None, rows=list(rows)), people)  # no hours are read here


def at(way: Way, *places: tuple[int, ...]) -> Way:
    return Way(
        duration_quarters=way.duration_quarters,
        crew=way.crew,
        name=way.name,
        places=tuple(PlaceNeed(any_of=each) for each in places),
    )


def test_a_place_that_names_nobody_leaves_a_way_as_it_is(people: dict[str, Person]) -> None:
    way = at(STEP, (0,))
    assert book_of(("gin-pole", [])).ways(way) == [way]


def test_one_of_the_crew_may_work_the_place_as_whichever_of_them(people: dict[str, Person]) -> None:
    """Ann as rigger or as hand, Bo only as hand: his level is too low for this rigger."""
    book = book_of(("gin-pole", [people["Ann"], people["Bo"]]))
    ways = book.ways(at(STEP, (0,)))
    assert [way.crew for way in ways] == [
        (Crew(skill="rigger for gin pole", level=2), Crew(skill="hand", count=2)),
        (Crew(skill="rigger", level=2), Crew(skill="hand for gin pole"), Crew(skill="hand")),
    ]
    assert [way.name for way in ways] == ["1", "1"]
    assert book.skills_of(people["Ann"].pk) == {"rigger for gin pole": 3, "hand for gin pole": 1}
    assert book.skills_of(people["Bo"].pk) == {"rigger for gin pole": 1, "hand for gin pole": 2}
    assert book.skills_of(people["Di"].pk) == {}


def test_nobody_with_the_skill_may_work_it_so_there_is_no_way(people: dict[str, Person]) -> None:
    cal = book_of(("gin-pole", [people["Cal"]]))
    assert cal.ways(Way(duration_quarters=6, crew=(Crew(skill="rigger"),), places=(PlaceNeed(any_of=(0,)),))) == []


def test_work_without_people_needs_no_operator(people: dict[str, Person]) -> None:
    drying = Way(duration_quarters=96, places=(PlaceNeed(any_of=(0,)),))
    assert book_of(("line", [people["Ann"]])).ways(drying) == [drying]


def test_two_places_are_worked_by_one_person_or_by_two(people: dict[str, Person]) -> None:
    book = book_of(("ramp", [people["Ann"], people["Cal"]]), ("trailer", [people["Ann"]]))
    ways = book.ways(at(Way(duration_quarters=4, crew=(Crew(skill="hand", count=2),)), (0,), (1,)))
    assert [way.crew for way in ways] == [
        (Crew(skill="hand for ramp and trailer"), Crew(skill="hand")),  # Ann alone may work both
        (Crew(skill="hand for ramp"), Crew(skill="hand for ramp and trailer")),
    ]
    assert book.skills_of(people["Cal"].pk) == {"hand for ramp": 1}


def test_places_of_one_need_with_different_operators_become_ways_of_their_own(people: dict[str, Person]) -> None:
    book = book_of(("loft", []), ("bench", [people["Di"]]), ("floor", []))
    ways = book.ways(at(Way(duration_quarters=4, crew=(Crew(skill="rigger"),)), (0, 1, 2)))
    assert [(way.places[0].any_of, way.crew[0].skill) for way in ways] == [
        ((0, 2), "rigger"),
        ((1,), "rigger for bench"),
    ]
