"""Loading packages: all of them, twice, over the yard's own figures, and broken files."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.services.ordering import JANUARY
from tests.services.package_walk import FOLDER
from yard.models import JobKind, Package, PackageFact, PackageJob, PackageLink, PackageStay, PackageWay, Skill
from yard.services.package_files import PackageFileInvalid
from yard.services.packages import load_packages

pytestmark = pytest.mark.django_db

FAMILIES = (Skill, JobKind, Package, PackageJob, PackageWay, PackageLink, PackageFact, PackageStay)


def rows() -> dict[str, list[tuple]]:
    return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in FAMILIES}


def test_loading_twice_changes_nothing() -> None:
    first = load_packages(FOLDER, now=JANUARY)
    before = rows()
    second = load_packages(FOLDER, now=JANUARY)
    assert (first.packages, len(first.kept)) == (17, 0)
    assert (second.skills, second.kinds, second.packages) == (0, 0, 0)
    assert len(second.kept) == first.skills + first.kinds + first.packages
    assert rows() == before


def test_every_row_is_clean() -> None:
    load_packages(FOLDER, now=JANUARY)
    for model in FAMILIES:
        for row in model._default_manager.all():
            row.full_clean()


def test_the_yards_own_hours_stay_unless_overwritten() -> None:
    load_packages(FOLDER, now=JANUARY)
    wash = PackageWay.objects.get(job__package__key="spring_commissioning", job__key="wash", sequence=0)
    PackageWay.objects.filter(pk=wash.pk).update(duration_min=120)
    JobKind.objects.filter(key="wash").update(short_name="scrub")
    load_packages(FOLDER, now=JANUARY)
    assert PackageWay.objects.get(pk=wash.pk).duration_min == 120
    assert JobKind.objects.get(key="wash").short_name == "scrub"
    load_packages(FOLDER, now=JANUARY, overwrite=True)
    again = PackageWay.objects.get(job__package__key="spring_commissioning", job__key="wash", sequence=0)
    assert again.duration_min == 180
    assert JobKind.objects.get(key="wash").short_name == "wash"
    assert PackageJob.objects.filter(package__key="spring_commissioning").count() == 21


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FOLDER, tmp_path / "packages"))


def edit(file: str, old: str, new: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            edit("halyard.toml", 'kind = "halyard"', 'kind = "halliard"'),
            r"halyard.toml: job 'halyard' names the kind of job",
        ),
        (
            edit("halyard.toml", 'skill = "rigger"', 'skill = "riggr"'),
            r"names the skill 'riggr', which is not there; known: canvas",
        ),
        (edit("halyard.toml", "minutes = 60", "minutes = 50"), r"50 min is not a whole number of quarters"),
        (
            edit("halyard.toml", "minutes = 60", 'minutes = "60"'),
            r"halyard.toml: Expected `int`, got `str` - at `\$.job",
        ),
        (edit("halyard.toml", "minutes", "mintues"), r"unknown field `mintues`"),
        (edit("halyard.toml", "[package]", "[package"), r"halyard.toml: "),
        (edit("rig_survey.toml", '"spar_rack"', '"spar_rak"'), r"kind of place 'spar_rak'"),
        (edit("sail_repair.toml", 'after = ["inspect"]', 'after = ["hand_over"]'), r"in a circle: "),
        (edit("sail_repair.toml", 'after = ["inspect"]', 'after = ["inspekt"]'), r"the job before it 'inspekt'"),
        (edit("sail_repair.toml", 'key = "sail_repair"', 'key = "halyard"'), r"package 'halyard' stands twice"),
        (edit("furler.toml", 'split_of = "prepare"', 'split_of = "fit"'), r"of which it is the later part"),
        (
            edit("furler.toml", "max_wait_min = 4320", "min_wait_min = 60\nmax_wait_min = 30"),
            r"longest wait is shorter",
        ),
        (
            edit("spring_commissioning.toml", "max_wait_min = 60\n", "max_wait_min = 60\nmin_wait_min = 90\n"),
            r"shorter",
        ),
        (
            edit(
                "spring_commissioning.toml",
                'minutes = 150, crew = [{ skill = "operator',
                'minutes = 165, crew = [{ skill = "operator',
            ),
            r"parts do not add up to 165",
        ),
        (
            edit(
                "spring_commissioning.toml",
                'count = 2 }], boat_at = "ashore" },',
                'count = 1 }], boat_at = "ashore" },',
            ),
            r"nobody does this alone",
        ),
        (
            edit("sail_clean.toml", "minutes = 1440, places", 'minutes = 1440, crew = [{ skill = "hand" }], places'),
            r"without hands",
        ),
        (
            edit("kinds.toml", 'short_name = "wash btm"', 'short_name = "wash bottom"'),
            r"kinds.toml: kind 'wash_bottom'",
        ),
        (lambda folder: (folder / "kinds.toml").unlink(), r"there is no kinds.toml"),
    ],
)
def test_a_broken_file_is_named_and_nothing_is_saved(folder: Path, change: Callable[[Path], None], says: str) -> None:
    change(folder)
    with pytest.raises(PackageFileInvalid, match=says):
        load_packages(folder, now=JANUARY)
    assert not any(model._default_manager.exists() for model in FAMILIES)


def test_a_longest_wait_that_the_jobs_between_cannot_keep_is_refused(folder: Path) -> None:
    """Launch to bend on in at most 2 h, but stepping (60) and tuning (90) lie between: 150 min."""
    path = folder / "spring_commissioning.toml"
    link = '[[link]]\nbefore = "launch"\nafter = "bend_on"\nmax_wait_min = 120\nreason = "soon"\nsource = "invented"\n'
    path.write_text(path.read_text(encoding="utf-8") + link, encoding="utf-8")
    with pytest.raises(PackageFileInvalid, match="at most 120 min may pass, but what lies between takes 150"):
        load_packages(folder, now=JANUARY)
