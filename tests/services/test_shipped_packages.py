"""The shipped packages against the trade's rules, read from the files by other means than the loader's."""

import re

import pytest

from tests.services.package_walk import KINDS, PACKAGES, Choice, choices, earliest_starts, follows, table

ORDERED = {"launch", "mooring", "rig"}
HALF_DAY_MIN = 240  # common practice: 08 to 12
BOOKED = 1.1  # hours are booked above the median (YardSettings.duration_factor)


def all_choices() -> list[Choice]:
    return [choice for name in PACKAGES for choice in choices(name)]


def test_all_of_the_trade_is_there() -> None:
    assert set(PACKAGES) == {
        "autumn_lay_up",
        "canvas_order",
        "canvas_sent_out",
        "cushions",
        "furler",
        "halyard",
        "mooring_tackle",
        "new_boat",
        "new_boat_delivery",
        "rig_survey",
        "sail_clean",
        "sail_repair",
        "sail_wash_and_repair",
        "spring_commissioning",
        "standing_rigging",
        "yard_extinguishers",
        "yard_gear",
    }


@pytest.mark.parametrize("name", PACKAGES)
def test_every_choice_of_options_can_be_done_in_its_waits(name: str) -> None:
    """No circle, and a start for each job that keeps least and longest waits together."""
    for choice in choices(name):
        assert earliest_starts(choice) is not None, sorted(choice.options)


def test_the_walk_sees_a_circle_and_a_wait_that_cannot_be_kept() -> None:
    jobs = {key: {"key": key, "ways": [{"minutes": 60}]} for key in "abc"}
    assert earliest_starts(Choice("x", frozenset(), jobs, [("a", "b", 0, None), ("b", "a", 0, None)])) is None
    # b takes 60 min between a and c: c cannot start within 45 min of a's end.
    late = [("a", "b", 0, None), ("b", "c", 0, None), ("a", "c", 0, 45)]
    assert earliest_starts(Choice("x", frozenset(), jobs, late)) is None
    assert earliest_starts(Choice("x", frozenset(), jobs, [*late[:2], ("a", "c", 0, 60)])) == {
        "a": 0,
        "b": 60,
        "c": 120,
    }


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_work_that_can_hurt_carries_a_caution(kind: str) -> None:
    row = KINDS[kind]
    dangerous = (
        row["trade"] in ORDERED
        or row.get("not_alone")
        or row.get("water_need", "none") != "none"
        or row.get("weather_class") in {"mast", "afloat", "coating"}
    )
    if dangerous:
        assert len(row.get("cautions", "")) > 40


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("step", "under the mast.*lightning.*manual.*person in charge"),
        ("unstep", "under the mast.*lightning.*manual.*person in charge"),
        ("tune", "two halyards.*second person.*never.*jackstands"),
        ("halyard", "two halyards.*second person.*never.*jackstands"),
        ("furler", "two halyards.*second person.*never.*jackstands"),
        ("launch", "Predicted tides leave out wind, pressure and river flow.*lifejackets.*person in charge"),
        ("haul", "Predicted tides leave out wind, pressure and river flow.*lifejackets.*person in charge"),
        ("deliver", "Lifejackets.*Predicted tides leave out.*person in charge"),
        ("load_road", "Slings.*nobody under the load.*manual"),
        ("take_up", "slings.*person in charge"),
        ("tackle_set", "Lifejackets.*bight"),
    ],
)
def test_the_caution_names_the_danger(kind: str, words: str) -> None:
    assert re.search(words, KINDS[kind]["cautions"])


def test_every_number_has_its_source() -> None:
    for name in PACKAGES:
        for job in table(name)["job"]:
            assert job["source"].strip(), (name, job["key"])
        for row in [*table(name).get("link", []), *table(name).get("fact", [])]:
            assert row["source"].strip(), (name, row)


def test_a_job_that_must_fit_one_stretch_fits_half_a_day_as_booked() -> None:
    for choice in all_choices():
        for key, job in choice.jobs.items():
            if KINDS[job["kind"]].get("pausing", "fitted") == "fitted":
                assert min(way["minutes"] for way in job["ways"]) * BOOKED <= HALF_DAY_MIN, (choice.name, key)


def test_launch_is_one_job_of_three_parts_and_only_floating_off_needs_water() -> None:
    launch = next(job for job in table("spring_commissioning")["job"] if job["key"] == "launch")
    assert [(part["name"], part["water"]) for part in KINDS["launch"]["parts"]] == [
        ("load", False),
        ("float off", True),
        ("trailer back", False),
    ]
    for way in launch["ways"]:
        assert [part["name"] for part in way.get("parts", KINDS["launch"]["parts"]) if part["water"]] == ["float off"]


# Section by section, what comes before what in each season's work (common practice of the trade).
BEFORE = [
    ("spring_commissioning", "uncover", "wash"),
    ("spring_commissioning", "wash", "first_coat"),
    ("spring_commissioning", "first_coat", "launch"),
    ("spring_commissioning", "dress", "step"),
    ("spring_commissioning", "launch", "step"),
    ("spring_commissioning", "step", "tune"),
    ("spring_commissioning", "tune", "bend_on"),
    ("spring_commissioning", "sails", "bend_on"),
    ("spring_commissioning", "bend_on", "fit_covers"),
    ("spring_commissioning", "bend_on", "sea_trial"),
    ("spring_commissioning", "bend_on", "deliver"),
    ("spring_commissioning", "sea_trial", "deliver"),
    ("spring_commissioning", "take_up", "step"),
    ("autumn_lay_up", "collect", "unbend"),
    ("autumn_lay_up", "unbend", "unstep"),
    ("autumn_lay_up", "unstep", "haul"),
    ("autumn_lay_up", "haul", "wash_bottom"),
    ("autumn_lay_up", "wash_bottom", "winterise"),
    ("autumn_lay_up", "frame", "cover"),
    ("autumn_lay_up", "unstep", "rig_survey"),
    ("autumn_lay_up", "wash_sails", "dry_sails"),
    ("autumn_lay_up", "dry_sails", "inspect"),
    ("autumn_lay_up", "inspect", "repair"),
    ("autumn_lay_up", "repair", "store"),
    ("canvas_order", "pattern", "cut"),
    ("canvas_order", "cut", "sew"),
    ("canvas_order", "sew", "trial_fit"),
    ("canvas_order", "trial_fit", "hand_over"),
    ("new_boat_delivery", "covers", "load"),
    ("new_boat_delivery", "load", "road_out"),
    ("new_boat_delivery", "road_out", "road_back"),
    ("mooring_tackle", "inspect", "set"),
]


@pytest.mark.parametrize(("name", "first", "then"), BEFORE)
def test_one_comes_before_the_other_whatever_the_options(name: str, first: str, then: str) -> None:
    seen = [choice for choice in choices(name) if first in choice.jobs and then in choice.jobs]
    assert seen
    for choice in seen:
        assert follows(choice, first, then), sorted(choice.options)


def test_covers_follow_at_the_mooring_unless_they_gate() -> None:
    with_covers = [c for c in choices("spring_commissioning") if "fit_covers" in c.jobs]
    gates = {follows(choice, "fit_covers", "deliver") for choice in with_covers}
    assert gates == {False, True}
