"""How long a sign-in lasts, where one is signed in, and what is asked again before a dangerous act."""

from __future__ import annotations

import logging
import re
import time

import pytest
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.test import Client

from yard.models import SecurityEvent, YardSettings
from yard.services.people_accounts import add_account
from yard.web.accounts.sessions import device_words

DAY_S = 24 * 3600
BACKEND = "yard.web.access.RoleBackend"


def signed_in(name: str, agent: str = "") -> Client:
    client = Client(headers={"user-agent": agent}) if agent else Client()
    client.post("/sign-in/", {"username": name, "password": f"{name}-knows-the-tide"})
    return client


def aged(client: Client, **seconds: int) -> None:
    """The session as if it had begun, or been used, so long ago."""
    session = client.session
    for key, ago in seconds.items():
        session[key] = int(time.time()) - ago
    session.save()


@pytest.mark.parametrize(
    ("ages", "stays"),
    [
        ({"signed_in_at": 13 * DAY_S, "seen_at": 3 * DAY_S}, True),
        ({"signed_in_at": 5 * DAY_S, "seen_at": 4 * DAY_S + 60}, False),
        ({"signed_in_at": 14 * DAY_S + 60, "seen_at": 60}, False),
    ],
)
def test_a_sign_in_ends_after_four_idle_days_and_after_two_weeks(cast, ages, stays):
    client = signed_in("ben")
    key = client.session.session_key
    aged(client, **ages)
    answer = client.get("/account/")
    assert (answer.status_code == 200) is stays
    assert Session.objects.filter(pk=key).exists() is stays
    if not stays:
        assert answer.headers["Location"] == "/sign-in/?next=/account/"
        assert "You were signed out" in client.get("/sign-in/").content.decode()


def test_being_here_keeps_a_sign_in_open_and_writes_once_an_hour(cast, django_assert_num_queries):
    client = signed_in("ben")
    aged(client, seen_at=2 * 3600)
    client.get("/account/")
    assert client.session["seen_at"] >= time.time() - 60
    before = client.session["seen_at"]
    client.get("/account/")
    assert client.session["seen_at"] == before


def test_a_public_page_reads_no_session(cast, django_assert_num_queries):
    client = signed_in("ben")
    with django_assert_num_queries(2):  # whether a worker lives, and when the last backup was
        client.get("/healthz")


PHONE = (
    "Mozilla/5.0 (Linux; Android 16; Pixel 9) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/142.0 Mobile Safari/537.36"
)


def test_one_signs_out_elsewhere_one_by_one_or_everywhere(cast):
    here, on_the_phone, in_the_loft = signed_in("ben"), signed_in("ben", PHONE), signed_in("ben")
    planner = signed_in("ada")
    page = here.get("/account/").content.decode()
    assert "Chrome on Android" in page
    name = re.search(
        r'value="([0-9a-f]{16})"><button class="btn sm" type="submit">Sign out<span class="vh"> of Chrome', page
    )
    assert name is not None
    here.post("/account/sign-ins/end/", {"name": name.group(1)})
    open_ones = [each.get("/account/").status_code == 200 for each in (here, on_the_phone, in_the_loft, planner)]
    assert open_ones == [True, False, True, True]
    here.post("/account/sign-ins/end/")
    assert [each.get("/account/").status_code == 200 for each in (here, in_the_loft, planner)] == [True, False, True]
    assert SecurityEvent.objects.filter(kind="signed_out", account=cast.ben).count() == 2


def test_nobody_ends_somebody_elses_sign_in(cast):
    ben, ada = signed_in("ben"), signed_in("ada")
    page = ada.get("/account/").content.decode()
    assert "this one" in page
    other = signed_in("ada").get("/account/").content.decode()
    name = re.search(r'name="name" value="([0-9a-f]{16})"', other)
    assert name is not None
    ben.post("/account/sign-ins/end/", {"name": name.group(1)})
    assert ada.get("/account/").status_code == 200


def test_a_password_of_ones_own_ends_every_other_sign_in(cast):
    here, elsewhere = signed_in("ben"), signed_in("ben")
    new = "a gale of wind at noon"
    here.post("/password/", {"old_password": "ben-knows-the-tide", "new_password1": new, "new_password2": new})
    assert here.get("/account/").status_code == 200
    assert elsewhere.get("/account/").status_code == 302


@pytest.mark.parametrize(
    "agent", ["", "curl/8", "Mozilla/5.0 (X11; Linux x86_64; rv:143.0) Gecko/20100101 Firefox/143.0"]
)
def test_a_browser_is_told_in_two_words_and_no_more(agent):
    assert device_words(agent) == ("Firefox on Linux" if "Firefox" in agent else "a browser")


def test_a_dangerous_act_asks_for_the_password_again(cast):
    planner = signed_in("ada")
    aged(planner, confirmed_at=16 * 60)
    answer = planner.post(f"/yard/accounts/{cast.ben.pk}/active/", {"active": "no"})
    assert answer.headers["Location"] == "/account/confirm/?next=%2Fyard%2Faccounts%2F"
    assert User.objects.get(username="ben").is_active
    wrong = planner.post("/account/confirm/", {"password": "not this one", "next": "/yard/accounts/"})
    assert "not your password" in wrong.content.decode()
    assert planner.post("/account/second-factor/begin/").headers["Location"].startswith("/account/confirm/")
    right = planner.post("/account/confirm/", {"password": "ada-knows-the-tide", "next": "/yard/accounts/"})
    assert right.headers["Location"] == "/yard/accounts/"
    planner.post(f"/yard/accounts/{cast.ben.pk}/active/", {"active": "no"})
    assert not User.objects.get(username="ben").is_active


def test_confirming_leads_to_no_other_site_and_is_throttled_as_signing_in_is(cast):
    planner = signed_in("ada")
    sent = {"password": "ada-knows-the-tide", "next": "https://elsewhere.example/"}
    assert planner.post("/account/confirm/", sent).headers["Location"] == "/account/"
    statuses = [planner.post("/account/confirm/", {"password": "wrong"}).status_code for _ in range(5)]
    assert statuses[-1] == 429


def test_a_one_time_password_opens_no_other_page_of_ones_own_either(cast):
    """Nor calendars: whoever saw the password would take an address along that goes on showing the plan."""
    access = add_account("eve", role="crew")
    client = Client()
    client.post("/sign-in/", {"username": "eve", "password": access.one_time_password})
    for address in ("/calendars/", "/account/", "/account/second-factor/"):
        assert client.get(address).headers["Location"] == "/password/"


@pytest.mark.parametrize(
    "password",
    [
        "elevenlong1",
        "1qaz2wsx3edc4rfv",
        "passwordpassword",
        "aaaaaaaaaaaa",
        "justinbieber",
        "TallowCreek2027",
        "boatyardboat",
        "adaadaadaada",
    ],
)
def test_passwords_that_anybody_would_try_first(cast, password):
    YardSettings.objects.create(name="Tallow Creek")
    with pytest.raises(ValidationError):
        validate_password(password, cast.ada)


@pytest.mark.parametrize(
    "password",
    [
        "a gale of wind at noon",
        "blauwe kaas zingt",
        "Zw9$kk-Lq2!vB",
        "竹林の中の静かな雨と蛙の声",
        "noon gale wind " * 9,
    ],
)
def test_any_composition_will_do_and_length_too(cast, password):
    validate_password(password, cast.ada)


def test_every_password_field_lets_managers_and_pasting_do_their_work(cast):
    client = signed_in("ada")
    for address in ("/password/", "/account/confirm/"):
        page = client.get(address).content.decode()
        assert page.count('type="password"') == page.count('-password"') > 0  # autocomplete current- or new-password
        assert "onpaste" not in page


def test_the_log_says_who_came_and_who_was_refused_and_no_secret(cast, caplog):
    with caplog.at_level(logging.INFO, logger="yard.security"):
        signed_in("ben").post("/sign-out/")
        Client().post("/sign-in/", {"username": "ben", "password": "a-secret-slip"})
        Client().post("/sign-in/", {"username": "a-secret-typed-as-a-name", "password": "x"})
    said = [record.getMessage() for record in caplog.records if record.name == "yard.security"]
    me = f"account {cast.ben.pk}, by"
    assert said == [
        f"signed in: {me} {cast.ben.pk}",
        f"signed out: {me} {cast.ben.pk}",
        f"sign-in refused: {me} none",
        "sign-in refused: account none, by none",
    ]


def test_the_log_says_who_was_refused_what(cast, caplog):
    ben = signed_in("ben")
    caplog.clear()
    with caplog.at_level(logging.INFO, logger="yard.security"):
        assert ben.get("/yard/accounts/").status_code == 403
    said = [record.getMessage() for record in caplog.records if record.name == "yard.security"]
    assert said == [f"refused: account {cast.ben.pk}, by {cast.ben.pk}, needs manage_people"]


def test_confirming_gives_the_session_another_key(cast):
    planner = signed_in("ada")
    before = planner.session.session_key
    planner.post("/account/confirm/", {"password": "ada-knows-the-tide"})
    assert planner.session.session_key != before
    assert not Session.objects.filter(pk=before).exists()


def test_a_lock_is_kept_once_and_said_on_ones_own_page(cast):
    here = signed_in("ben")
    for _ in range(8):
        Client().post("/sign-in/", {"username": "ben", "password": "wrong"})
    assert list(SecurityEvent.objects.values_list("kind", "account", "by")) == [("locked", cast.ben.pk, None)]
    assert "locked for an hour" in here.get("/account/").content.decode()


def test_what_is_done_to_accounts_is_kept(cast):
    planner = signed_in("ada")
    planner.post("/yard/accounts/", {"username": "fay", "role": "crew"})
    fay = User.objects.get(username="fay")
    planner.post(f"/yard/accounts/{fay.pk}/role/", {"role": "office"})
    planner.post(f"/yard/accounts/{fay.pk}/password/")
    planner.post(f"/yard/accounts/{fay.pk}/active/", {"active": "no"})
    planner.post(f"/yard/accounts/{fay.pk}/active/", {"active": "yes"})
    kept = SecurityEvent.objects.filter(account=fay, by=cast.ada).order_by("id").values_list("kind", "about")
    assert list(kept) == [("added", "crew"), ("role", "office"), ("one_time", ""), ("shut", ""), ("reopened", "")]
    assert "fay, role changed, office, by Ada" in planner.get("/yard/accounts/").content.decode()


@pytest.mark.parametrize(
    "address", ["/account/", "/password/", "/yard/accounts/", "/owners/", "/letters/", "/calendars/"]
)
def test_pages_with_personal_data_stay_in_no_cache(cast, client, address):
    client.force_login(cast.ada, BACKEND)
    assert "no-store" in client.get(address).headers["Cache-Control"]


def test_every_other_page_is_no_shared_caches_business(cast, client):
    client.force_login(cast.ada, BACKEND)
    assert "private" in client.get("/more/").headers["Cache-Control"]
