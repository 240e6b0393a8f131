"""People with their skills and hours: partial facts, two people at once, the way back, absences that ask for a plan."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.contrib.auth.models import User

from yard.models import DatedHours, Event, FactsRevision, Person, PersonSkill, Skill
from yard.services.happenings import EventRefused, Hours
from yard.services.keep_person import PERSON, SKILL, Held
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker, Writer, add, archive, change, put_back
from yard.services.read_problem.people import _weekly
from yard.services.say_hours import Clocks, drop_hours, say_hours

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
CLOCKS = Clocks(NOW, NOW)
WEEK = ((0, time(7), time(12)), (0, time(12, 30), time(15, 30)), (4, time(8), time(12)))


@pytest.fixture
def writer() -> Writer:
    return Writer(User.objects.create_user("cy", first_name="Cy"), NOW, NOW.date())


@pytest.fixture
def nell(writer) -> Person:
    kept = add(PERSON, {"name": "Nell Frost", "short_name": "Nell"}, writer=writer)
    assert isinstance(kept, Kept)
    return kept.row


def count() -> int:
    return FactsRevision.objects.values_list("count", flat=True).get(pk=1)


def test_a_name_is_enough_and_the_rest_follows_in_one_change(nell, writer):
    rig, sails = Skill.objects.create(key="rig", name="Rigging"), Skill.objects.create(key="sails", name="Sails")
    held = {rig.pk: Held(3, "crane certificate 17", date(2028, 1, 31)), sails.pk: Held(1)}
    told = change(PERSON, nell.pk, {"skills": held, "hours": WEEK, "phone": "555 0101"}, seen_version=1, writer=writer)
    assert isinstance(told, Kept)
    assert set(told.changed) == {"skills", "hours", "phone"}
    row = Person.objects.get()
    assert PERSON.read(row)["skills"] == held
    assert PERSON.read(row)["hours"] == WEEK
    assert row.version == 2
    assert PersonSkill.history.filter(history_user=writer.by).count() == 2


def test_two_people_at_once_overwrite_nothing_even_beside_the_row(nell, writer):
    change(PERSON, nell.pk, {"hours": WEEK}, seen_version=1, writer=writer)
    before = count()
    told = change(PERSON, nell.pk, {"hours": ()}, seen_version=1, writer=writer)
    assert isinstance(told, SomebodyWasQuicker)
    assert PERSON.read(told.stored)["hours"] == WEEK
    assert count() == before


def test_saved_as_it_is_changes_nothing_and_makes_no_plan_old(nell, writer):
    before = count()
    told = change(PERSON, nell.pk, PERSON.read(nell), seen_version=1, writer=writer)
    assert told == Kept(nell, ())
    assert count() == before


@pytest.mark.parametrize(
    ("values", "key", "words"),
    [
        ({"contractor": True, "hours": WEEK}, "hours", "agreed dates"),
        ({"hours": ((0, time(7), time(12)), (0, time(11), time(13)))}, "hours", "two stretches overlap"),
        ({"hours": ((2, time(5), time(20)),)}, "hours", "Wednesday has 15 h, more than the longest day of 10 h"),
        ({"slides_per_week": 2}, "slides_per_week", "how far a day may slide"),
        ({"name": ""}, "name", "blank"),
        ({"starts_on": date(2027, 6, 1), "leaves_on": date(2027, 5, 1)}, "", "last day lies before the first"),
    ],
)
def test_refused_with_the_field_and_nothing_saved(nell, writer, values, key, words):
    before = count()
    told = change(PERSON, nell.pk, values, seen_version=1, writer=writer)
    assert isinstance(told, Refused)
    assert words in " ".join(told.words[key])
    assert Person.objects.get().version == 1
    assert count() == before


def test_the_way_back_takes_hours_and_skills_along_on_a_clock_that_stands_still(nell, writer):
    rig = Skill.objects.create(key="rig", name="Rigging")
    change(PERSON, nell.pk, {"hours": WEEK, "skills": {rig.pk: Held(2)}}, seen_version=1, writer=writer)
    change(PERSON, nell.pk, {"hours": WEEK[:1], "skills": {}, "notes": "left-handed"}, seen_version=2, writer=writer)
    second = nell.history.order_by("history_id")[1]
    assert [kept["hours"] for kept in PERSON.was(list(nell.history.order_by("history_id")))] == [(), WEEK, WEEK[:1]]
    told = put_back(PERSON, nell.pk, second.history_id, seen_version=3, writer=writer)
    assert isinstance(told, Kept)
    row = Person.objects.get()
    assert PERSON.read(row)["hours"] == WEEK
    assert PERSON.read(row)["skills"] == {rig.pk: Held(2)}
    assert row.notes == ""
    with pytest.raises(Person.DoesNotExist):
        put_back(PERSON, nell.pk, 10_000, seen_version=4, writer=writer)


def test_archived_and_back_unless_somebody_goes_by_the_short_name(nell, writer):
    assert isinstance(archive(PERSON, nell.pk, True, seen_version=1, writer=writer), Kept)
    other = add(PERSON, {"name": "Nell Marsh", "short_name": "Nell"}, writer=writer)
    assert isinstance(other, Kept)
    told = archive(PERSON, nell.pk, False, seen_version=2, writer=writer)
    assert isinstance(told, Refused)
    assert "Somebody else in the yard already goes by this short name." in str(told.words)
    assert Person.objects.get(pk=nell.pk).archived


def test_a_skill_has_a_version_and_a_history(writer):
    kept = add(SKILL, {"name": "Splicing"}, writer=writer)
    assert isinstance(kept, Kept)
    assert kept.row.key == "splicing"
    assert isinstance(change(SKILL, kept.row.pk, {"name": "Rope work"}, seen_version=1, writer=writer), Kept)
    stale = change(SKILL, kept.row.pk, {"name": "Ropes"}, seen_version=1, writer=writer)
    assert isinstance(stale, SomebodyWasQuicker)
    assert [row.name for row in kept.row.history.order_by("history_id")] == ["Splicing", "Rope work"]
    assert Skill.objects.get().key == "splicing"  # packages ask by the key


def test_away_is_a_happening_and_is_taken_back_whole(nell, writer):
    what = Hours(DatedHours.Kind.AWAY, (nell,), NOW, NOW + timedelta(days=1), "ill")
    told = say_hours(what, by=writer.by, clocks=CLOCKS)
    assert told.proposal is None
    assert "No plan is posted yet" in told.why
    assert Event.objects.get().says == "Nell: away, ill"
    with pytest.raises(EventRefused, match="already"):
        say_hours(what, by=writer.by, clocks=CLOCKS)
    assert DatedHours.objects.count() == 1
    drop_hours(DatedHours.objects.get(), by=writer.by, clocks=CLOCKS)
    assert not DatedHours.objects.exists()
    assert Event.objects.get().withdrawn_at == NOW


def test_agreed_hours_that_no_event_wrote_are_dropped_with_their_history(nell, writer):
    row = DatedHours.objects.create(
        person=nell, kind="here", starts_at=NOW, ends_at=NOW + timedelta(hours=4), reason="agreed"
    )
    drop_hours(row, by=writer.by, clocks=CLOCKS)
    assert DatedHours.history.filter(person_id=nell.pk, history_type="-", history_user=writer.by).count() == 1


class FourDays:
    """The days of an axis, each minute of it told as (day, minute)."""

    dates = tuple(date(2027, 5, day) for day in (3, 10, 17, 24))  # Mondays

    @staticmethod
    def local(day: date, minute: int) -> int:
        return day.toordinal() * 1440 + minute


def test_weekly_hours_count_from_the_first_day_and_end_before_the_day_of_leaving(nell, writer):
    values = {"hours": WEEK[:1], "starts_on": date(2027, 5, 10), "leaves_on": date(2027, 5, 24)}
    change(PERSON, nell.pk, values, seen_version=1, writer=writer)
    spans = _weekly(FourDays(), Person.objects.get())  # as much of an axis as it reads
    assert [start // 1440 for start, _ in spans] == [date(2027, 5, day).toordinal() for day in (10, 17)]
