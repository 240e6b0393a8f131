"""A package changed by the yard: rows and value are one, all or nothing, two at once, the way back, the shipped one."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest
from django.contrib.auth.models import User

from tests.services.ordering import JANUARY, ordered
from tests.services.package_walk import FOLDER
from yard.models import Boat, FactsRevision, JobKind, Order, Package, PackageEdition, PackageWay
from yard.services.change_package import (
    Changed,
    NothingChanged,
    Refused,
    SomebodyWasQuicker,
    add_package,
    archive_package,
    as_shipped,
    change_package,
    put_back,
)
from yard.services.keeping import Writer
from yard.services.package_editions import file_of, shipped
from yard.services.package_edits import (
    JobSheet,
    broken_in_two,
    job_of,
    moved,
    sheet_of,
    with_facts,
    with_job,
    with_options,
    with_stays,
    without_job,
)
from yard.services.package_files import CrewLine, Job, Link, PackageFile, Way
from yard.services.package_rows import content_of
from yard.services.packages import load_packages

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]


@pytest.fixture
def spring() -> Package:
    return Package.objects.get(key="spring_commissioning")


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


def longer(file: PackageFile, key: str = "wash", minutes: int = 240) -> PackageFile:
    sheet = sheet_of(file, key)
    ways = tuple(msgspec.structs.replace(way, minutes=minutes) for way in sheet.job.ways)
    return with_job(file, replace(sheet, job=msgspec.structs.replace(sheet.job, ways=ways)))


def change(package: Package, edit, seen: int | None = None, by: User | None = None):
    version = Package.objects.get(pk=package.pk).version if seen is None else seen
    return change_package(
        package.pk, edit, seen_version=version, reason="tried", writer=Writer(by, JANUARY, JANUARY.date())
    )


def count() -> int:
    return FactsRevision.objects.values_list("count", flat=True).get(pk=1)


def test_rows_say_what_every_shipped_file_says() -> None:
    """Read back, each package is the file that it was loaded from, and is its own first edition."""
    assert {package.key: content_of(package) for package in Package.objects.all()} == shipped()
    assert {edition.package.key: file_of(edition) for edition in PackageEdition.objects.all()} == shipped()


def test_hours_changed_keep_the_rows_and_an_edition(spring, ada) -> None:
    ids = list(spring.jobs.values_list("pk", flat=True))
    before = count()
    outcome = change(spring, longer, by=ada)
    assert isinstance(outcome, Changed)
    assert (outcome.edition.number, outcome.edition.origin, outcome.edition.made_by) == (2, "yard", ada)
    assert set(PackageWay.objects.filter(job__package=spring, job__key="wash").values_list("duration_min")) == {(240,)}
    assert list(spring.jobs.values_list("pk", flat=True)) == ids
    assert count() == before + 1


def test_what_stands_so_already_is_not_written(spring) -> None:
    before = count()
    assert isinstance(change(spring, lambda file: file), NothingChanged)
    assert (spring.editions.count(), count()) == (1, before)


def test_the_second_of_two_people_is_told_and_nothing_is_lost(spring) -> None:
    assert isinstance(change(spring, longer, seen=1), Changed)
    assert isinstance(change(spring, lambda file: without_job(file, "sea_trial"), seen=1), SomebodyWasQuicker)
    assert spring.jobs.filter(key="sea_trial").exists()


def circle(file: PackageFile) -> PackageFile:
    return msgspec.structs.replace(file, link=(*file.link, Link(before="deliver", after="wash", reason="", source="")))


def alone(file: PackageFile) -> PackageFile:
    sheet = sheet_of(file, "step")
    way = Way(minutes=60, crew=(CrewLine(skill="rigger"),))
    return with_job(file, replace(sheet, job=msgspec.structs.replace(sheet.job, ways=(way,))))


def no_source(file: PackageFile) -> PackageFile:
    sheet = sheet_of(file, "wash")
    job = msgspec.structs.replace(sheet.job, source="")
    return with_job(file, replace(sheet, job=job))


def no_such_skill(file: PackageFile) -> PackageFile:
    way = Way(minutes=60, crew=(CrewLine(skill="diver"),))
    return with_job(file, JobSheet(Job(key="dive", kind="wash", name="Dive", source="x", ways=(way,)), (), frozenset()))


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (circle, "Jobs wait for each other in a circle: "),
        (circle, "“Deliver to the mooring” after"),
        (alone, "Job “Step the mast”: nobody does this alone"),
        (no_source, "cannot be blank"),
        (no_such_skill, "names the skill “diver”, which is not there"),
        (lambda file: longer(file, minutes=50), "50 min is not a whole number of quarters"),
        (lambda file: broken_in_two(file, "launch"), "cannot be broken in two"),
    ],
)
def test_what_cannot_be_is_said_in_names_and_nothing_is_saved(spring, edit, says) -> None:
    before, facts = content_of(spring), count()
    outcome = change(spring, edit)
    assert isinstance(outcome, Refused)
    assert says in " ".join(outcome.faults)
    assert (content_of(spring), count(), spring.editions.count()) == (before, facts, 1)


def test_a_job_taken_out_joins_what_stood_around_it(spring) -> None:
    """Wash lay between the cover and coat and launch: both follow the cover now. Its option alone is not lost."""
    change(spring, lambda file: without_job(file, "wash"))
    pairs = set(spring.links.values_list("before__key", "after__key"))
    assert {("uncover", "first_coat"), ("uncover", "launch")} <= pairs
    assert not any("wash" in pair for pair in pairs)


def test_a_job_broken_in_two_has_its_hours_and_what_followed_it(spring) -> None:
    """Wash: 180 min by one is 90 and 90; 105 by two is 60 and 45 in whole quarters. The launch follows the second."""
    change(spring, lambda file: broken_in_two(file, "wash"))
    first, later = spring.jobs.get(key="wash"), spring.jobs.get(key="wash_later")
    assert [list(job.ways.values_list("duration_min", flat=True)) for job in (first, later)] == [[90, 60], [90, 45]]
    assert later.split_of == first
    pairs = set(spring.links.values_list("before__key", "after__key"))
    assert ("wash", "wash_later") in pairs
    assert ("wash_later", "launch") in pairs
    assert ("wash", "launch") not in pairs


def test_order_options_facts_and_stays_change_and_the_way_back_restores_all(spring) -> None:
    whole = content_of(spring)
    change(spring, lambda file: moved(file, "wash", -1))
    assert list(spring.jobs.values_list("key", flat=True))[:2] == ["wash", "uncover"]
    change(spring, lambda file: with_options(file, [o for o in file.option if o.key != "take_up"]))
    assert spring.jobs.get(key="take_up").option is None
    change(spring, lambda file: with_facts(file, [f for f in file.fact if f.key != "permit"]))
    change(spring, lambda file: with_stays(file, []))
    assert (spring.facts.filter(key="permit").exists(), spring.stays.exists()) == (False, False)
    spring.refresh_from_db()
    outcome = put_back(spring.pk, 1, seen_version=spring.version, writer=Writer(None, JANUARY, JANUARY.date()))
    assert isinstance(outcome, Changed)
    assert content_of(spring) == whole == file_of(outcome.edition)
    assert outcome.edition.origin == "shipped"


def test_loading_again_never_takes_the_yards_own_change_even_when_asked_to_overwrite(spring) -> None:
    change(spring, longer)
    JobKind.objects.filter(key="wash").update(short_name="scrub")
    told = load_packages(FOLDER, now=JANUARY, overwrite=True)
    assert told.own == ("package spring_commissioning",)
    assert told.overwritten == ("kind wash",)
    assert job_of(content_of(spring), "wash").ways[0].minutes == 240


def test_loading_raises_the_count_of_facts() -> None:
    before = count()
    load_packages(FOLDER, now=JANUARY)
    assert count() == before + 1


def test_the_shipped_one_comes_back_by_name(spring) -> None:
    change(spring, longer)
    spring.refresh_from_db()
    as_shipped(spring.pk, seen_version=spring.version, writer=Writer(None, JANUARY, JANUARY.date()))
    assert content_of(spring) == shipped()["spring_commissioning"]
    assert load_packages(FOLDER, now=JANUARY, overwrite=True).own == ()


def test_a_package_of_the_yards_own(ada) -> None:
    added = add_package("Keel bolts", "Drawn and looked at.", writer=Writer(ada, JANUARY, JANUARY.date()))
    assert isinstance(added, Changed)
    job = Job(
        key="draw",
        kind="finish",
        name="Draw the bolts",
        source="common practice",
        ways=(Way(minutes=60, crew=(CrewLine(skill="hand"),)),),
    )
    outcome = change(added.package, lambda file: with_job(file, JobSheet(job, (), frozenset())))
    assert isinstance(outcome, Changed)
    assert isinstance(
        as_shipped(added.package.pk, seen_version=2, writer=Writer(ada, JANUARY, JANUARY.date())), Refused
    )
    archived = archive_package(added.package.pk, True, seen_version=2, writer=Writer(ada, JANUARY, JANUARY.date()))
    assert isinstance(archived, Changed)
    assert Package.objects.get(key="keel_bolts").archived


def test_an_order_remembers_the_edition_that_it_copies(spring) -> None:
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    first = ordered(wren, "spring_commissioning")
    change(spring, longer)
    second = ordered(wren, "spring_commissioning")
    assert [order.package_edition.number for order in (first, second)] == [1, 2]
    assert Order.objects.get(pk=first.pk).jobs.get(key="wash").ways.first().duration_min == 180
