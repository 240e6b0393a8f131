"""What a first plan needs, in the easiest order: what is there of each, and where it is entered."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from yard.queries.first_steps import FirstSteps


@dataclass(frozen=True, slots=True)
class Step:
    """brings: what a press of its button brings in, "" where there is none; links: (words, address)."""

    title: str
    done: bool
    told: str
    about: str
    links: tuple[tuple[str, str], ...] = ()
    brings: str = ""
    press: str = ""


def steps_of(there: FirstSteps) -> tuple[Step, ...]:
    """Eight, none of which must be done before the others but the plan itself."""
    return (
        Step(
            "The work that you do",
            there.packages > 0,
            _count(there.packages, "package"),
            "Spring commissioning, lay-up, canvas, sails, rigs: jobs with hours, people, waits and cautions, mostly"
            " common practice. Each is changed on its page; hours are learnt from your own finished jobs.",
            (("Packages", reverse("packages")),),
            "packages",
            "Bring in the usual packages",
        ),
        Step(
            "The places",
            there.places > 0,
            _count(there.places, "place"),
            "Ramp, trailer, workboat, berths, wash deck, drying lines, loft floor: their numbers and limits are yours.",
            (("Places", reverse("places")), ("A sheet of places", reverse("list_import", args=["places"]))),
            "places",
            "Bring in the usual places",
        ),
        Step(
            "The hours",
            there.hours > 0,
            f"{_count(there.hours, 'stretch', 'stretches')} a week",
            "When the yard is open; holidays stand beside them.",
            (("Settings", reverse("yard_settings")),),
        ),
        Step(
            "The people",
            there.working > 0,
            f"{_count(there.people, 'person', 'people')}, {there.working} with a skill and hours",
            "Nobody is planned without skills and hours. A name, three presses and a week are enough.",
            (("Add a person", reverse("person_new")), ("A sheet of people", reverse("list_import", args=["people"]))),
        ),
        Step(
            "The boats",
            there.boats > 0,
            _count(there.boats, "boat"),
            "Your own spreadsheet will do: columns are matched, every row is shown before it is saved.",
            (("Bring in a sheet", reverse("list_import", args=["boats"])), ("Add one boat", reverse("boat_new"))),
        ),
        Step(
            "The moorings",
            there.moorings > 0,
            _count(there.moorings, "mooring"),
            "Where boats are delivered to. One whose mooring nobody knows stays at a berth once she floats, and berths"
            " are few: a sheet with each mooring's number and its boat is enough.",
            (
                ("A sheet of moorings", reverse("list_import", args=["moorings"])),
                ("Add a mooring", reverse("mooring_new")),
            ),
        ),
        Step(
            "What is ordered",
            there.orders > 0,
            _count(there.orders, "open order"),
            "A boat, a package, the day it is wanted by.",
            (("New order", reverse("order_new")), ("A sheet of orders", reverse("list_import", args=["orders"]))),
        ),
        Step(
            "The plan",
            there.planned,
            "made" if there.planned else "none yet",
            "Press Plan the season on the season's page: people, places and hours for every job, checked by rules that"
            " share no code with the planner. You post it, or not.",
            (("The season", reverse("season")),),
        ),
    )


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
