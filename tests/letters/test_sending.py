"""Letters go out at most once by themselves, and none is forgotten, wherever the program is killed."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from smtplib import SMTPAuthenticationError, SMTPRecipientsRefused, SMTPServerDisconnected
from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend
from django.db import connection
from told_yard import NOW, make_order, make_owner, move, read, reader

from yard.models import Letter, Plan, StaleRow, Telling, YardSettings
from yard.services.letters.release import OwnWords, keep_words, release
from yard.services.letters.sending import GIVEN_UP_AFTER, decide, message_of, send_one, send_released, settle

REAL = datetime(2027, 5, 6, 15, tzinfo=UTC)


class Killed(BaseException):
    """The process ends here: nothing that would clean up is run, as far as a test can do that."""


class Server(BaseEmailBackend):
    """A mail server that keeps what it took, and may be told to fail."""

    taken: list[Any] = []
    at_open: Callable[[], None] = staticmethod(lambda: None)
    before: Callable[[], None] = staticmethod(lambda: None)
    after: Callable[[], None] = staticmethod(lambda: None)

    def open(self) -> bool:
        type(self).at_open()
        return True

    def send_messages(self, messages: Any) -> int:
        type(self).before()
        type(self).taken += messages
        type(self).after()
        return len(messages)


@pytest.fixture
def server(settings, monkeypatch: pytest.MonkeyPatch) -> type[Server]:
    settings.EMAIL_BACKEND = f"{__name__}.Server"
    for name in ("at_open", "before", "after"):
        monkeypatch.setattr(Server, name, staticmethod(lambda: None))
    monkeypatch.setattr(Server, "taken", [])
    monkeypatch.setattr("yard.services.letters.sending.get_connection", Server)
    return Server


def released(plan: Plan, yard: YardSettings, by: Any, name: str = "Pia") -> Letter:
    owner = make_owner(name)
    make_order(plan, owner, f"Boat of {name}", NOW + timedelta(days=9))
    reading = read(owner, yard)
    assert reading is not None
    return release(owner, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(by, yard))


def fails(error: BaseException) -> Callable[[], None]:
    def fail() -> None:
        raise error

    return staticmethod(fail)


def test_a_letter_is_stored_as_sent_and_the_owner_is_told(
    yard: YardSettings, plan: Plan, cast, server: type[Server]
) -> None:
    letter = released(plan, yard, cast.ada)
    assert send_released(clock=lambda: REAL).sent == 1
    letter.refresh_from_db()
    assert (letter.state, letter.sent_at) == (Letter.State.SENT, NOW)
    told = Telling.objects.get()
    assert (told.how, told.said, told.letter, told.told_by) == ("email", letter.text, letter, cast.ada)
    (message,) = server.taken
    assert message.to == ["pia@example.org"]
    assert message.from_email == "Tallow Creek Yard <yard@example.org>"
    assert message.body == letter.text
    assert message.alternatives[0][0] == letter.html
    assert letter.message_id in message.message()["Message-ID"]
    assert send_released(clock=lambda: REAL).sent == 0
    assert len(server.taken) == 1


@pytest.mark.parametrize(
    ("where", "error", "state"),
    [
        ("at_open", ConnectionRefusedError("nobody there"), "refused"),
        ("at_open", SMTPAuthenticationError(535, b"wrong password"), "refused"),
        ("before", SMTPRecipientsRefused({"pia@example.org": (550, b"no such box")}), "refused"),
        ("before", SMTPServerDisconnected("closed"), "perhaps"),
        ("after", TimeoutError("no answer"), "perhaps"),
        ("after", OSError("disk full"), "perhaps"),
    ],
)
def test_what_is_known_is_said_and_nothing_is_sent_anew(
    yard: YardSettings, plan: Plan, cast, server: type[Server], where: str, error: Exception, state: str, monkeypatch
) -> None:
    letter = released(plan, yard, cast.ada)
    monkeypatch.setattr(server, where, fails(error))
    send_released(clock=lambda: REAL)
    letter.refresh_from_db()
    assert letter.state == state
    assert letter.trouble
    assert not Telling.objects.exists()
    for name in ("at_open", "before", "after"):
        monkeypatch.setattr(server, name, staticmethod(lambda: None))
    taken = len(server.taken)
    send_released(clock=lambda: REAL + timedelta(days=1))
    assert len(server.taken) == taken, "a person decides"
    assert read(letter.owner, yard) is None, "and nothing is written beside it meanwhile"


QUERIES = 33
"""Of sending one letter: the kills are spread over all of them."""


def kill_at(query: int) -> Callable[..., Any]:
    """Ends the process in place of that query."""
    counted = count()

    def killing(execute: Any, *args: Any) -> Any:
        if next(counted) + 1 == query:
            raise Killed
        return execute(*args)

    return killing


@pytest.mark.once
def test_a_hundred_kills_around_sending_send_nothing_twice_and_forget_nothing(
    yard: YardSettings, plan: Plan, cast, server: type[Server], monkeypatch
) -> None:
    """Killed at a random query, or before or after the mail server took it; then the worker starts again."""
    rng = random.Random(7)
    letters = [released(plan, yard, cast.ada, f"Owner{number}") for number in range(100)]
    points = []
    for letter in letters:
        point = rng.choice(["query", "query", "query", "at_open", "before", "after"])
        points.append(point)
        try:
            if point == "query":
                with connection.execute_wrapper(kill_at(rng.randrange(1, QUERIES + 1))):
                    send_one(letter.pk, real_now=REAL)
            else:
                with monkeypatch.context() as patch:
                    patch.setattr(server, point, fails(Killed()))
                    send_one(letter.pk, real_now=REAL)
        except Killed:
            pass
    killed_sending = Letter.objects.filter(state=Letter.State.SENDING).count()
    assert killed_sending > 10
    assert len({*points}) == 4
    for hour in (1, 2, 3):  # the worker starts again, three times
        send_released(clock=lambda hour=hour: REAL + timedelta(hours=hour))
    taken = [message.to[0] for message in server.taken]
    assert len(taken) == len(set(taken)), "nobody has it twice"
    states = list(Letter.objects.values_list("state", flat=True))
    assert set(states) == {Letter.State.SENT, Letter.State.PERHAPS}, "none is forgotten"
    assert states.count(Letter.State.PERHAPS) == killed_sending
    for letter in Letter.objects.filter(state=Letter.State.SENT):
        assert letter.to_address in taken
        assert letter.tellings.count() == 1
    assert not Telling.objects.filter(letter__state=Letter.State.PERHAPS).exists()


def test_perhaps_sent_a_person_decides_it_went(yard: YardSettings, plan: Plan, cast, server: type[Server]) -> None:
    letter = released(plan, yard, cast.ada)
    Letter.objects.filter(pk=letter.pk).update(
        state=Letter.State.SENDING, claim="00000000-0000-4000-8000-000000000001", claimed_at=REAL
    )
    assert settle(real_now=REAL + timedelta(minutes=9)) == 0
    assert settle(real_now=REAL + GIVEN_UP_AFTER + timedelta(seconds=1)) == 1
    letter.refresh_from_db()
    decide(letter, went=True, seen_version=letter.version, by=cast.cy, now=NOW)
    letter.refresh_from_db()
    assert (letter.state, letter.decided_by) == (Letter.State.SENT, cast.cy)
    assert Telling.objects.count() == 1
    with pytest.raises(StaleRow):
        decide(letter, went=True, seen_version=letter.version, by=cast.ada, now=NOW)
    assert Telling.objects.count() == 1


def test_perhaps_sent_a_person_decides_it_did_not_and_reads_it_anew(
    yard: YardSettings, plan: Plan, cast, server: type[Server], monkeypatch
) -> None:
    pia = make_owner("Pia")
    make_order(plan, pia, "Tern", NOW + timedelta(days=9))
    keep_words(pia, OwnWords("Two coats on."), seen_version=0, reader=reader(cast.ada, yard))
    reading = read(pia, yard)
    assert reading is not None
    letter = release(pia, Letter.Way.EMAIL, seen=reading.fingerprint, reader=reader(cast.ada, yard))
    monkeypatch.setattr(server, "before", fails(TimeoutError("no answer")))
    send_released(clock=lambda: REAL)
    letter.refresh_from_db()
    decide(letter, went=False, seen_version=letter.version, by=cast.cy, now=NOW)
    again = read(pia, yard)
    assert again is not None
    assert "Two coats on." in again.written.as_text()
    assert Letter.objects.get(pk=letter.pk).state == Letter.State.DROPPED


def test_a_late_sender_cannot_write_over_what_a_person_decided(
    yard: YardSettings, plan: Plan, cast, server: type[Server], monkeypatch
) -> None:
    """It hangs in the mail server, is given up, a person decides that it did not go; then it comes back."""
    letter = released(plan, yard, cast.ada)

    def hangs() -> None:
        settle(real_now=REAL + timedelta(hours=1))
        row = Letter.objects.get(pk=letter.pk)
        assert row.state == Letter.State.PERHAPS
        decide(row, went=False, seen_version=row.version, by=cast.cy, now=NOW)

    monkeypatch.setattr(server, "after", staticmethod(hangs))
    send_one(letter.pk, real_now=REAL)
    letter.refresh_from_db()
    assert letter.state == Letter.State.DROPPED
    assert not Telling.objects.exists()


def test_a_late_sender_that_was_only_given_up_still_says_that_it_went(
    yard: YardSettings, plan: Plan, cast, server: type[Server], monkeypatch
) -> None:
    letter = released(plan, yard, cast.ada)
    monkeypatch.setattr(server, "after", staticmethod(lambda: settle(real_now=REAL + timedelta(hours=1))))
    send_one(letter.pk, real_now=REAL)
    letter.refresh_from_db()
    assert letter.state == Letter.State.SENT
    assert Telling.objects.count() == 1


def test_two_workers_send_one_letter_once(
    yard: YardSettings, plan: Plan, cast, server: type[Server], monkeypatch
) -> None:
    letter = released(plan, yard, cast.ada)
    monkeypatch.setattr(server, "before", staticmethod(lambda: send_one(letter.pk, real_now=REAL)))
    send_one(letter.pk, real_now=REAL)
    assert len(server.taken) == 1


def test_a_plan_that_changed_before_it_went_out_stops_it(
    yard: YardSettings, plan: Plan, cast, server: type[Server]
) -> None:
    letter = released(plan, yard, cast.ada)
    move(letter.owner.boats.get().orders.get(), plan, 2)
    assert send_released(clock=lambda: REAL).again == 1
    assert server.taken == []
    letter.refresh_from_db()
    assert letter.state == Letter.State.DROPPED
    reading = read(letter.owner, yard)
    assert reading is not None
    assert "Monday 17 May" in reading.written.as_text()


@pytest.mark.parametrize(
    ("field", "value"),
    [("subject", "Hello\nBcc: all@example.org"), ("to_address", "pia@example.org\r\nBcc: all@example.org")],
)
def test_a_header_that_smuggles_another_is_refused_and_nothing_goes(
    yard: YardSettings, plan: Plan, cast, server: type[Server], field: str, value: str
) -> None:
    letter = released(plan, yard, cast.ada)
    Letter.objects.filter(pk=letter.pk).update(**{field: value})
    send_released(clock=lambda: REAL)
    letter.refresh_from_db()
    assert letter.state == Letter.State.REFUSED
    assert server.taken == []


def test_a_yard_name_with_a_line_break_stays_one_header(yard: YardSettings, plan: Plan, cast) -> None:
    letter = released(plan, yard, cast.ada)
    yard.name = "Yard\r\nBcc: all@example.org"
    message = message_of(letter, yard).message()
    assert message["Bcc"] is None
    assert "\n" not in str(message["From"])


def test_without_a_mail_server_letters_are_files(yard: YardSettings, plan: Plan, cast, settings, tmp_path) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path / "letters"
    released(plan, yard, cast.ada)
    assert send_released(clock=lambda: REAL).sent == 1
    (path,) = (tmp_path / "letters").iterdir()
    assert "To: pia@example.org" in path.read_text()
    assert mail.outbox == []


def test_the_kills_reach_every_query_of_a_sending(
    yard: YardSettings, plan: Plan, cast, server: type[Server], django_assert_num_queries
) -> None:
    letter = released(plan, yard, cast.ada)
    with django_assert_num_queries(QUERIES):
        send_one(letter.pk, real_now=REAL)
