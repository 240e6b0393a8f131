"""Owners on file: added, changed, put away and brought back; their numbers; whose boat is whose."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User

from yard.models import Boat, BoatOwner, Owner
from yard.services.keep_owner import OWNER, OWNERSHIP, Telephone, read_line, telephones
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker, Writer, add, archive, change, put_back

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
KEY = "0d4ef2a6-6d0c-4a5c-8f0a-2a1f6f5f7a11"


@pytest.fixture
def writer() -> Writer:
    return Writer(User.objects.create(username="cy"), NOW, date(2027, 5, 6))


def added(writer: Writer, **values: Any) -> Owner:
    outcome = add(OWNER, {"name": "Ann Hale"} | values, writer=writer)
    assert isinstance(outcome, Kept), outcome
    return outcome.row


def test_a_name_is_enough_and_the_ref_is_made_of_it(writer):
    first, second = added(writer), added(writer)
    assert (first.ref, second.ref) == ("ann-hale", "ann-hale-2")
    past = first.history.get()
    assert (past.history_user, past.history_date, past.history_change_reason) == (writer.by, NOW, "added")


def test_the_same_form_sent_twice_is_one_owner(writer):
    both = [add(OWNER, {"name": "Ann Hale"}, writer=writer, form_key=KEY) for _ in range(2)]
    assert [outcome.row.pk for outcome in both] == [Owner.objects.get().pk] * 2


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"name": "  "}, "name", "what the yard calls this owner"),
        ({"phone": "555"}, "phone", "“555” has 3 digits: is the area code, or a digit, missing?"),
        ({"phone": "ask at the bar"}, "phone", "has no digits"),
        ({"phone": "401 555 0142 401 555 0177"}, "phone", "are these two numbers?"),
        ({"other_phones": "401 555 0177, at work\n0177 the boy"}, "other_phones", "“0177” has 4 digits"),
        ({"email": "ann at creek"}, "email", "valid email"),
        ({"language": "xx"}, "language", "not a valid choice"),
    ],
)
def test_refused_with_the_remedy(writer, values, field, words):
    outcome = add(OWNER, {"name": "Ann Hale"} | values, writer=writer)
    assert isinstance(outcome, Refused)
    assert words in " ".join(outcome.words[field])
    assert not Owner.objects.exists()


@pytest.mark.parametrize(
    ("line", "number", "whose"),
    [
        ("401 555 0177, at work", "401 555 0177", "at work"),
        ("+1 (401) 555-0177 her son Jo", "+1 (401) 555-0177", "her son Jo"),
        ("work: 401 555 0177", "401 555 0177", "work"),
        ("401.555.0177", "401.555.0177", ""),
        ("  401 555 0177  – evenings", "401 555 0177", "evenings"),
        ("nobody knows", "nobody knows", ""),
    ],
)
def test_a_line_is_a_number_and_whose_it_is(line, number, whose):
    assert read_line(line) == Telephone(number, whose)


def test_every_number_the_first_one_first(writer):
    ann = added(writer, phone="401 555 0142", other_phones="401 555 0177, at work\n\n401 555 0178")
    assert [each.number for each in telephones(ann)] == ["401 555 0142", "401 555 0177", "401 555 0178"]


def test_the_second_of_two_is_told_and_nothing_is_overwritten(writer):
    ann = added(writer)
    seen = ann.version
    assert isinstance(change(OWNER, ann.pk, {"phone": "401 555 0142"}, seen_version=seen, writer=writer), Kept)
    late = change(OWNER, ann.pk, {"phone": "401 555 0199"}, seen_version=seen, writer=writer)
    assert isinstance(late, SomebodyWasQuicker)
    assert late.stored.phone == "401 555 0142"
    assert Owner.objects.get().phone == "401 555 0142"
    assert ann.history.first().history_change_reason == "phone changed"


def test_the_way_back(writer):
    ann = added(writer, address="12 Creek Road")
    was = ann.history.get().history_id
    outcome = change(OWNER, ann.pk, {"address": "", "notes": "moved"}, seen_version=ann.version, writer=writer)
    assert isinstance(outcome, Kept)
    assert outcome.changed == ("address", "notes")
    back = put_back(OWNER, ann.pk, was, seen_version=outcome.row.version, writer=writer)
    assert isinstance(back, Kept)
    ann.refresh_from_db()
    assert (ann.address, ann.notes, ann.history.count()) == ("12 Creek Road", "", 3)
    assert ann.history.first().history_change_reason == "as on 2027-05-06"
    with pytest.raises(Owner.DoesNotExist):
        put_back(OWNER, ann.pk, 99999, seen_version=ann.version, writer=writer)


def test_put_away_only_without_a_boat_and_brought_back(writer):
    ann = added(writer)
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2)
    hers = BoatOwner.objects.create(boat=wren, owner=ann, starts_on=date(2027, 1, 1))
    refused = archive(OWNER, ann.pk, True, seen_version=ann.version, writer=writer)
    assert isinstance(refused, Refused)
    assert "Still owner of Wren" in refused.words[""][0]
    hers.ends_on = date(2027, 5, 1)
    hers.save()
    assert isinstance(archive(OWNER, ann.pk, True, seen_version=ann.version, writer=writer), Kept)
    assert isinstance(archive(OWNER, ann.pk, False, seen_version=ann.version, writer=writer), SomebodyWasQuicker)
    ann.refresh_from_db()
    assert isinstance(archive(OWNER, ann.pk, False, seen_version=ann.version, writer=writer), Kept)


def test_one_who_was_merged_is_not_brought_back_alone(writer):
    ann, twin = added(writer), added(writer)
    Owner.objects.filter(pk=twin.pk).update(archived=True, merged_into=ann)
    outcome = archive(OWNER, twin.pk, False, seen_version=twin.version, writer=writer)
    assert isinstance(outcome, Refused)
    assert "take the merge back" in outcome.words[""][0]


def test_one_owner_of_a_boat_is_called_first_and_a_share_ends_after_it_began(writer):
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2)
    start = {"boat": wren, "starts_on": date(2027, 1, 1)}
    BoatOwner.objects.create(owner=added(writer), told_first=True, **start)
    other = BoatOwner.objects.create(owner=added(writer), **start)
    two = change(OWNERSHIP, other.pk, {"told_first": True}, seen_version=other.version, writer=writer)
    assert isinstance(two, Refused)
    assert "already the one called first" in " ".join(two.words[""])
    ends = change(OWNERSHIP, other.pk, {"ends_on": date(2026, 1, 1)}, seen_version=other.version, writer=writer)
    assert isinstance(ends, Refused)
