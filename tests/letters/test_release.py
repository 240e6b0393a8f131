"""A person reads and releases: own words, a plan that moved meanwhile, two people at once, calls."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from told_yard import NOW, make_order, make_owner, move, read, reader, tell

from yard.models import Letter, OwnerPage, Plan, StaleRow, Telling, YardSettings
from yard.services.letters.release import (
    OwnWords,
    ReadAgain,
    ReleaseRefused,
    keep_words,
    release,
    told_by_word,
)

IN_NINE_DAYS = NOW + timedelta(days=9)


def test_what_goes_out_is_what_was_read(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    keep_words(pia, OwnWords("Two coats on.", "See you soon."), seen_version=0, reader=reader(cast.ada, yard))
    reading = read(pia, yard, cast.ada)
    assert reading is not None
    row = release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    assert row.state == Letter.State.RELEASED
    assert row.text.startswith("Dear Pia,\n\nTwo coats on.\n\nWe plan to finish the spring commissioning for Tern")
    assert "See you soon.\n\nAll her dates, and a place to answer, are on your own page: http" in row.text
    assert row.tells == [{"order": order.pk, "state": "day", "date": "2027-05-15", "reserve": "2027-05-17"}]
    assert not Telling.objects.exists(), "nobody was told yet"
    assert read(pia, yard) is None, "it is on its way"
    assert OwnerPage.objects.filter(owner=pia, withdrawn_at=None).count() == 1


def test_a_plan_that_moved_meanwhile_asks_for_another_reading(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    keep_words(pia, OwnWords("Two coats on."), seen_version=0, reader=reader(cast.ada, yard))
    before = read(pia, yard)
    assert before is not None
    assert not before.read_before_a_change
    move(order, plan, 2)
    with pytest.raises(ReadAgain):
        release(pia, Letter.Way.EMAIL, seen=before.fingerprint, reader=reader(cast.ada, yard))
    after = read(pia, yard)
    assert after is not None
    assert after.read_before_a_change
    assert Letter.objects.get().state == Letter.State.READING
    release(pia, Letter.Way.EMAIL, seen=after.fingerprint, reader=reader(cast.ada, yard))


def test_pressed_twice_is_released_once(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    reading = read(pia, yard)
    assert reading is not None
    release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    with pytest.raises(ReleaseRefused, match="nothing to tell Pia any more"):
        release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    assert Letter.objects.count() == 1


def test_a_change_without_a_reason_is_not_released(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    tell(order, "day", date(2027, 5, 12))
    reading = read(pia, yard)
    assert reading is not None
    with pytest.raises(ReleaseRefused, match="say the reason"):
        release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    keep_words(pia, OwnWords(reason="the crane was broken"), seen_version=0, reader=reader(cast.ada, yard))
    again = read(pia, yard)
    assert again is not None
    row = release(pia, Letter.Way.EMAIL, seen=again.fingerprint, reader=reader(cast.ada, yard))
    assert "That has changed: the crane was broken." in row.text


@pytest.mark.parametrize(
    "email", ["", "no address", "pia@example.org\nBcc: all@example.org", "pia@example.org, gus@example.org"]
)
def test_an_address_that_is_none_or_smuggles_a_header_is_refused(
    yard: YardSettings, plan: Plan, cast, email: str
) -> None:
    pia = make_owner("Pia", email=email)
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    reading = read(pia, yard)
    assert reading is not None
    with pytest.raises(ReleaseRefused, match="no e-mail address that can be written to"):
        release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    assert not Letter.objects.exists()


def test_a_letter_on_paper_is_told_at_once(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia", email="")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    reading = read(pia, yard)
    assert reading is not None
    row = release(pia, Letter.Way.POST, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    assert (row.state, row.sent_at) == (Letter.State.SENT, NOW)
    told = Telling.objects.get()
    assert (told.how, told.state, told.told_date, told.letter, told.plan) == (
        "letter",
        "day",
        date(2027, 5, 15),
        row,
        plan,
    )
    assert read(pia, yard) is None


def test_a_call_is_one_line_for_each_order(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    make_order(plan, pia, "Gull", IN_NINE_DAYS)
    keep_words(pia, OwnWords("Two coats on."), seen_version=0, reader=reader(cast.ada, yard))
    reading = read(pia, yard)
    assert reading is not None
    rows = told_by_word(pia, Telling.How.CALL, seen=reading.fingerprint, said="", reader=reader(cast.ada, yard))
    assert len(rows) == Telling.objects.count() == 2
    assert {row.said for row in rows} == {reading.spoken}
    assert {row.told_by for row in rows} == {cast.ada}
    assert read(pia, yard) is None
    assert Letter.objects.get().state == Letter.State.DROPPED
    with pytest.raises(ReleaseRefused):
        told_by_word(pia, Telling.How.CALL, seen=reading.fingerprint, said="", reader=reader(cast.ada, yard))
    assert Telling.objects.count() == 2


def test_two_people_with_own_words_the_second_is_told(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    keep_words(pia, OwnWords("Ada's"), seen_version=0, reader=reader(cast.ada, yard))
    with pytest.raises(StaleRow):
        keep_words(pia, OwnWords("Cy's"), seen_version=0, reader=reader(cast.cy, yard))
    row = Letter.objects.get()
    keep_words(pia, OwnWords("Both's"), seen_version=row.version, reader=reader(cast.cy, yard))
    with pytest.raises(StaleRow):
        keep_words(pia, OwnWords("Late"), seen_version=row.version, reader=reader(cast.ada, yard))
    assert Letter.objects.get().before == "Both's"
    assert [each.before for each in Letter.objects.get().history.all()] == ["Both's", "Ada's"]


def test_own_words_have_an_end(yard: YardSettings, plan: Plan, cast) -> None:
    with pytest.raises(ReleaseRefused, match="shorten"):
        keep_words(make_owner("Pia"), OwnWords("x" * 4001), seen_version=0, reader=reader(cast.ada, yard))
