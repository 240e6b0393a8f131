"""A second factor: set up, asked for, throttled, lost and mended; and who needs one.

Codes are those of RFC 6238, appendix B, SHA-1: the last six of its eight figures, since both are one number modulo
10**6 and 10**8 (RFC 4226, section 5.3).
"""

from __future__ import annotations

import re
import time
from base64 import b32decode
from datetime import timedelta
from io import StringIO
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_otp.oath import TOTP
from django_otp.plugins.otp_totp.models import TOTPDevice

from tests.conftest import Cast
from yard.models import RecoveryCode, SecurityEvent, YardSettings
from yard.services import second_factor
from yard.services.people_accounts import new_password
from yard.services.second_factor import Answer
from yard.web.access import RoleBackend

BACKEND = f"{RoleBackend.__module__}.{RoleBackend.__name__}"
RFC_6238_KEY = b"12345678901234567890"
RFC_6238 = {
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}


@pytest.fixture
def phone(cast: Cast) -> TOTPDevice:
    """Ada's phone, with the secret of RFC 6238."""
    return TOTPDevice.objects.create(user=cast.ada, key=RFC_6238_KEY.hex(), confirmed=True)


@pytest.fixture
def codes(phone: TOTPDevice) -> list[str]:
    return second_factor.new_codes(phone.user, now=timezone.now())


def shown_by(device: TOTPDevice) -> str:
    """What the phone shows at this moment."""
    totp = TOTP(device.bin_key, device.step, device.t0, device.digits)
    totp.time = time.time()
    return f"{totp.token():06d}"


def password_of(name: str) -> dict[str, str]:
    return {"username": name, "password": f"{name}-knows-the-tide"}


def half_way(name: str = "ada") -> Client:
    client = Client()
    answer = client.post("/sign-in/?next=/yard/accounts/", password_of(name))
    assert answer.headers["Location"] == "/sign-in/code/"
    return client


def is_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


@pytest.mark.parametrize("at", RFC_6238)
def test_the_vectors_of_rfc_6238_open_the_door(phone, monkeypatch, at):
    client = half_way()
    monkeypatch.setattr("django_otp.plugins.otp_totp.models.time", SimpleNamespace(time=lambda: at))
    answer = client.post("/sign-in/code/", {"code": f"{int(RFC_6238[at][-6:]) ^ 1:06d}"})
    assert answer.status_code == 422
    TOTPDevice.objects.update(throttling_failure_count=0)
    answer = client.post("/sign-in/code/", {"code": RFC_6238[at][-6:]})
    assert (answer.status_code, answer.headers.get("Location")) == (302, "/yard/accounts/")


def test_the_password_alone_opens_nothing(phone):
    client = half_way()
    assert not is_in(client)
    assert "_auth_user_id" not in client.session


def test_a_code_is_good_once_also_for_somebody_who_looked_over_the_shoulder(phone):
    code = shown_by(phone)
    assert half_way().post("/sign-in/code/", {"code": f" {code[:3]} {code[3:]} "}).status_code == 302
    assert half_way().post("/sign-in/code/", {"code": code}).status_code == 422


def test_the_second_step_waits_five_minutes_and_no_longer(phone, settings):
    settings.SECOND_STEP_S = -1
    answer = half_way().post("/sign-in/code/", {"code": shown_by(phone)}, follow=True)
    assert "That took too long" in answer.content.decode()


def test_a_password_changed_meanwhile_ends_the_second_step(phone):
    client = half_way()
    phone.user.set_password("another one altogether")
    phone.user.save()
    client.post("/sign-in/code/", {"code": shown_by(phone)})
    assert not is_in(client)


def test_after_a_wrong_code_the_right_one_waits(phone):
    client = half_way()
    assert "not the code" in client.post("/sign-in/code/", {"code": "000000"}).content.decode()
    TOTPDevice.objects.update(throttling_failure_count=7)  # 2 ** 6 = 64 s
    answer = client.post("/sign-in/code/", {"code": shown_by(phone)})
    assert answer.status_code == 422
    assert "wait a minute" in answer.content.decode()
    TOTPDevice.objects.update(throttling_failure_timestamp=timezone.now() - timedelta(seconds=65))
    assert client.post("/sign-in/code/", {"code": shown_by(phone)}).status_code == 302


def test_the_fifth_wrong_code_locks_the_name_from_here(phone):
    client = half_way()
    statuses = []
    for _ in range(5):
        TOTPDevice.objects.update(throttling_failure_count=0)
        statuses.append(client.post("/sign-in/code/", {"code": "000000"}).status_code)
    assert statuses == [422, 422, 422, 422, 429]
    TOTPDevice.objects.update(throttling_failure_count=0)
    assert client.post("/sign-in/code/", {"code": shown_by(phone)}).status_code == 429
    assert not is_in(client)


def test_a_recovery_code_opens_once_and_that_is_kept(phone, codes):
    assert len({*codes}) == 8
    client = half_way()
    answer = client.post("/sign-in/code/", {"code": codes[3].upper().replace("-", " ")}, follow=True)
    assert "7 are left" in answer.content.decode()
    assert SecurityEvent.objects.filter(kind="code_used", account=phone.user).count() == 1
    assert half_way().post("/sign-in/code/", {"code": codes[3]}).status_code == 422


def test_recovery_codes_are_kept_as_hashes_of_over_112_bits(phone, codes):
    """ASVS 5.0, 6.5.2: a plain hash will do from 112 bits on; 31 letters to the 24th are 118."""
    assert 31 ** len(codes[0].replace("-", "")) > 2**112
    stored = {row.code_sha256 for row in RecoveryCode.objects.all()}
    assert all(re.fullmatch(r"[0-9a-f]{64}", each) for each in stored)
    assert not stored & {code.replace("-", "") for code in codes}


def test_guessing_recovery_codes_is_throttled_as_the_phone_is(phone, codes):
    assert second_factor.check(phone.user, "aaaa-bbbb", now=timezone.now()) is Answer.WRONG
    assert second_factor.check(phone.user, codes[0], now=timezone.now()) is Answer.WAIT
    assert second_factor.check(phone.user, shown_by(phone), now=timezone.now()) is Answer.WAIT


def secret_on(page: str) -> str:
    letters = re.search(r'<code class="letters">([A-Z2-7 ]+)</code>', page)
    assert letters is not None
    return letters.group(1).replace(" ", "")


def test_set_up_on_ones_own_page_ends_other_sign_ins(cast):
    elsewhere, client = Client(), Client()
    for each in (elsewhere, client):
        each.post("/sign-in/", password_of("ben"))
    client.post("/account/second-factor/begin/")
    page = client.get("/account/second-factor/")
    assert "no-store" in page.headers["Cache-Control"]
    secret = b32decode(secret_on(page.content.decode()))
    assert second_factor.phone_of(cast.ben) is None, "not before it has shown a code"
    device = TOTPDevice.objects.get(user=cast.ben)
    assert device.bin_key == secret
    wrong = client.post("/account/second-factor/", {"code": "000000"})
    assert wrong.status_code == 422
    TOTPDevice.objects.update(throttling_failure_count=0)
    answer = client.post("/account/second-factor/", {"code": shown_by(device)})
    assert len(re.findall(r"<li><code>(?:[a-z2-9]{4}-){5}[a-z2-9]{4}</code>", answer.content.decode())) == 8
    assert is_in(client)
    assert not is_in(elsewhere)
    assert Client().post("/sign-in/", password_of("ben")).headers["Location"] == "/sign-in/code/"


def test_another_phone_replaces_the_first_only_when_it_has_shown_a_code(phone):
    second_factor.begin(phone.user)
    assert second_factor.phone_of(phone.user) == phone
    to_come = second_factor.phone_to_come(phone.user)
    second_factor.finish(phone.user, shown_by(to_come), now=timezone.now(), keep_session="")
    assert second_factor.phone_of(phone.user) == to_come
    assert TOTPDevice.objects.count() == 1


def test_a_planner_takes_a_lost_phone_away_and_that_is_kept(phone, cast):
    inside = half_way()
    inside.post("/sign-in/code/", {"code": shown_by(phone)})
    other = Client()
    User.objects.get(username="ben").groups.add(*cast.ada.groups.all())
    other.force_login(cast.ben, BACKEND)
    answer = other.post(reverse("account_second_factor", args=[cast.ada.pk]), follow=True)
    assert "ada has no second factor now" in answer.content.decode()
    assert not is_in(inside)
    event = SecurityEvent.objects.get(kind="factor_off")
    assert (event.account, event.by) == (cast.ada, cast.ben)
    assert Client().post("/sign-in/", password_of("ada")).headers["Location"] == "/"


def test_a_new_password_leaves_the_second_factor(phone):
    access = new_password(phone.user)
    answer = Client().post("/sign-in/", {"username": "ada", "password": access.one_time_password})
    assert answer.headers["Location"] == "/sign-in/code/"


def test_crew_takes_nobodys_away(phone, cast):
    ben = Client()
    ben.force_login(cast.ben, BACKEND)
    assert ben.post(reverse("account_second_factor", args=[cast.ada.pk])).status_code == 403
    assert TOTPDevice.objects.exists()


def test_who_needs_one_sees_nothing_else_until_it_is_set_up(cast, client):
    client.force_login(cast.ada, BACKEND)
    client.post("/yard/accounts/second-factor/", {"second_factor_for": "office"})
    assert YardSettings.objects.get().second_factor_for == "office"
    for address in ("/", "/boats/", "/yard/accounts/", "/calendars/"):
        assert client.get(address).headers["Location"] == "/account/", address
    assert "Your role needs a second factor" in client.get("/account/").content.decode()
    client.post("/account/second-factor/begin/")
    device = TOTPDevice.objects.get(user=cast.ada)
    client.post("/account/second-factor/", {"code": shown_by(device)})
    assert client.get("/boats/").status_code == 200
    answer = client.post("/account/second-factor/off/", follow=True)
    assert "The yard asks a second factor of you" in answer.content.decode()
    ben = Client()
    ben.force_login(cast.ben, BACKEND)
    assert ben.get("/boats/").status_code == 200, "the crew needs none"


def test_what_the_yard_asks_costs_no_query(cast, client, django_assert_num_queries):
    YardSettings.objects.create(name="Yard", second_factor_for="planner")
    client.force_login(cast.ada, BACKEND)
    with django_assert_num_queries(4):  # session, person, her groups, the yard
        assert client.get("/boats/").headers["Location"] == "/account/"


def test_the_page_of_ones_own_account_costs_as_much_for_ten_sign_ins(cast, django_assert_num_queries):
    clients = [Client() for _ in range(10)]
    for count in (1, 10):
        for each in clients[:count]:
            each.force_login(cast.ben, BACKEND)
        # session, person, groups, the yard, the phone, sessions, events, the posted plan
        with django_assert_num_queries(8):
            assert clients[0].get("/account/").content.decode().count("<tr><th") == count + 1


def test_calendars_and_the_site_health_ask_no_second_factor(cast, client):
    YardSettings.objects.create(name="Yard", second_factor_for="all")
    assert client.get("/healthz").status_code == 200
    assert client.get("/calendar/nobody-has-this-one.ics").status_code == 404


def test_the_command_line_takes_one_away_when_no_planner_is_left_to(phone):
    out = StringIO()
    call_command("reset_second_factor", "ADA", stdout=out)
    assert out.getvalue() == "ada signs in by the password alone now.\n"
    assert SecurityEvent.objects.get(kind="factor_off").by is None
    for name, words in (("ada", "has no second factor"), ("nobody", "no account")):
        with pytest.raises(CommandError, match=words):
            call_command("reset_second_factor", name)
