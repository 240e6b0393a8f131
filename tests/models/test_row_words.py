"""What people mistype is refused in the yard's words; versions and history; the roles."""

from datetime import UTC, date, datetime, time

import pytest
from django.apps import apps
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.utils import translation

from yard.models import (
    Boat,
    FactKind,
    MaterialUsed,
    Person,
    Place,
    Plan,
    StaleRow,
    Telling,
    Weekday,
    WeeklyHours,
    YardSettings,
)
from yard.models.checks import is_crew, is_day_of_year, is_parts, is_time_zone, on_the_quarter, whole_quarters
from yard.models.spoken import Spoken


@pytest.mark.parametrize(
    ("check", "value", "says"),
    [
        (on_the_quarter, time(8, 10), "not on a quarter"),
        (on_the_quarter, datetime(2027, 4, 5, 8, 0, 1, tzinfo=UTC), "not on a quarter"),
        (whole_quarters, 50, "whole number of quarters"),
        (whole_quarters, 0, "whole number of quarters"),
        (is_time_zone, "Boston", "America/New_York"),
        (is_day_of_year, "02-29", "not a day of every year"),
        (is_crew, "two hands", "A crew is a list"),
        (is_crew, [{"skill": "hand", "count": 2}], "has exactly"),
        (is_crew, [{"skill": "hand", "level": 4, "count": 1}], "1, 2 or 3"),
        (is_crew, [{"skill": "hand", "level": 1, "count": 0}], "at least one"),
        (is_crew, [{"skill": "hand", "level": True, "count": 1}], "not int"),
        (is_parts, [{"name": "load", "minutes": 20, "water": False}], "quarters"),
        (is_parts, [{"name": "load", "minutes": 30, "water": "no"}], "not bool"),
    ],
)
def test_a_wrong_value_is_named(check, value, says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        check(value)


@pytest.mark.parametrize(
    ("check", "value"),
    [
        (on_the_quarter, time(8, 45)),
        (whole_quarters, 90),
        (is_time_zone, "America/New_York"),
        (is_day_of_year, "11-20"),
        (is_crew, [{"skill": "hand", "level": 1, "count": 2}]),
        (is_parts, [{"name": "load", "minutes": 30, "water": False}]),
    ],
)
def test_a_right_value_passes(check, value) -> None:
    check(value)


def test_a_draft_typed_in_feet_is_questioned() -> None:
    boat = Boat(ref="tern", name="Tern", length_m=8.0, beam_m=2.5, draft_m=14.0)
    with pytest.raises(ValidationError) as refused:
        boat.clean_fields()
    assert refused.value.message_dict == {"draft_m": ["A draft over 12 m does not float here: was it typed in feet?"]}


def test_a_choice_is_said_in_the_yards_language_and_kept_by_its_value() -> None:
    """Django's own German catalogue knows the days of the week."""
    hours = WeeklyHours(weekday=Weekday.MONDAY)
    with translation.override("de"):
        assert (hours.get_weekday_display(), dict(Weekday.choices)[0], hours.weekday) == ("Montag", "Montag", 0)
    assert hours.get_weekday_display() == "Monday"


def test_a_row_says_figures_and_days_in_the_yards_language() -> None:
    """A comma for tenths as in DIN 1333; Django's own German catalogue knows days and months."""
    told_at = datetime(2027, 3, 6, 14, tzinfo=UTC)
    with translation.override("de"):
        assert str(MaterialUsed(name="Resin", quantity=1.5, unit="kg")) == "Resin, 1,5 kg"
        assert str(Telling(state="firm", told_date=date(2027, 5, 6), told_at=told_at)).endswith(
            " Do 6 Mai, told 6 Mär 2027"
        )
    assert str(MaterialUsed(name="Resin", quantity=1.5, unit="kg")) == "Resin, 1.5 kg"


def test_a_plans_draft_and_a_boats_are_two_words(monkeypatch: pytest.MonkeyPatch) -> None:
    told = {"of a plan": "Entwurf", "of a boat": "Tiefgang"}
    monkeypatch.setattr(translation._trans, "pgettext", lambda context, message: told[context])
    assert (str(Plan.State.DRAFT.label), str(FactKind.DRAFT.label)) == ("Entwurf", "Tiefgang")


def test_one_choice_costs_one_look_up(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(translation._trans, "gettext", lambda message: asked.append(message) or message)
    assert (Place(kind="slings").get_kind_display(), asked) == ("slings", ["slings"])
    assert Place(kind="of another program").get_kind_display() == "of another program"


def test_every_row_with_choices_says_them_so() -> None:
    """Past rows are told on few pages, and simple_history makes their classes."""
    of_the_yard = [model for model in apps.get_app_config("yard").get_models() if not hasattr(model, "history_object")]
    dear = {model for model in of_the_yard for field in model._meta.fields if field.choices} - {
        model for model in of_the_yard if issubclass(model, Spoken)
    }
    assert dear == set()


@pytest.mark.django_db
def test_hours_that_overlap_are_refused_and_touching_ones_kept() -> None:
    ada = Person.objects.create(name="Ada Quill", short_name="Ada")
    WeeklyHours.objects.create(person=ada, weekday=0, starts=time(8), ends=time(12))
    WeeklyHours(person=ada, weekday=0, starts=time(12), ends=time(17)).full_clean()
    WeeklyHours(person=ada, weekday=1, starts=time(11), ends=time(17)).full_clean()
    with pytest.raises(ValidationError, match="overlap"):
        WeeklyHours(person=ada, weekday=0, starts=time(11, 45), ends=time(17)).full_clean()


@pytest.mark.django_db
def test_a_contractor_has_no_weekly_hours() -> None:
    diver = Person.objects.create(name="Sound Moorings", short_name="Sound", contractor=True)
    with pytest.raises(ValidationError, match="agreed dates"):
        WeeklyHours(person=diver, weekday=0, starts=time(8), ends=time(12)).full_clean()


@pytest.mark.django_db
def test_each_save_raises_the_version_and_leaves_a_history() -> None:
    boat = Boat.objects.create(ref="tern", name="Tern", length_m=8.0, beam_m=2.5)
    boat.draft_m = 1.2
    boat.save()
    boat.notes = "keel stepped"
    boat.save(update_fields=["notes"])
    boat.refresh_from_db()
    assert boat.version == 3
    assert list(boat.history.order_by("version").values_list("version", "draft_m")) == [(1, None), (2, 1.2), (3, 1.2)]


@pytest.mark.django_db
def test_a_stale_page_does_not_overwrite_a_newer_row() -> None:
    YardSettings.objects.create(name="Quill's Yard")
    seen_by_ada, seen_by_ben = YardSettings.objects.get(), YardSettings.objects.get()
    seen_by_ada.trailer_height_m = 0.6
    seen_by_ada.save_over(1)
    seen_by_ben.trailer_height_m = 0.9
    with pytest.raises(StaleRow, match="changed meanwhile"):
        seen_by_ben.save_over(1)
    row = YardSettings.objects.get()
    assert (row.trailer_height_m, row.version) == (0.6, 2)


@pytest.mark.django_db
def test_the_four_roles_are_there() -> None:
    assert set(Group.objects.values_list("name", flat=True)) >= {"planner", "office", "crew", "viewer"}
