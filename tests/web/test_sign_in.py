"""Sign in and out, one-time passwords, the lock after five tries, and the page on which a planner minds accounts."""

import re
from datetime import timedelta
from io import StringIO

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client, RequestFactory
from django.utils import timezone

from yard.services.people_accounts import ROLES, AccountRefused, add_account, change_role, one_time_password, set_active
from yard.web.access import client_ip

PASSWORD = "ada-knows-the-tide"


def sign_in(name: str, password: str, client: Client | None = None):
    client = client or Client()
    return client, client.post("/sign-in/", {"username": name, "password": password})


def signed_in(client: Client) -> bool:
    return client.get("/password/").status_code == 200


def test_sign_in_and_out(cast):
    client, answer = sign_in("ada", PASSWORD)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/")
    assert signed_in(client)
    read = client.get("/sign-out/")
    assert (read.status_code, read.headers["Allow"]) == (405, "POST")
    assert "There is no page to read at it" in read.content.decode()
    assert "You are signed out" in client.post("/sign-out/").content.decode()
    assert not signed_in(client)


def test_sign_in_comes_back_to_the_page_but_never_to_another_site(cast):
    good = {"username": "ada", "password": PASSWORD}
    assert Client().post("/sign-in/?next=/yard/accounts/", good).headers["Location"] == "/yard/accounts/"
    assert Client().post("/sign-in/", good | {"next": "https://elsewhere.example/"}).headers["Location"] == "/"


def test_a_wrong_password_says_so_without_saying_what_was_wrong(cast):
    _, wrong_password = sign_in("ada", "not this one")
    _, no_such_name = sign_in("nobody", "not this one")
    texts = [re.sub(r"<input[^>]*>|\w{64}", "", answer.content.decode()) for answer in (wrong_password, no_such_name)]
    assert wrong_password.status_code == 200
    assert "correct username and password" in texts[0]
    assert texts[0] == texts[1]


def test_the_fifth_wrong_password_locks_the_right_one_out_too(cast):
    answers = [sign_in("ada", "not this one")[1].status_code for _ in range(5)]
    assert answers == [200, 200, 200, 200, 429]
    client, answer = sign_in("ada", PASSWORD)
    assert answer.status_code == 429
    assert "wait an hour" in answer.content.decode()
    assert not signed_in(client)
    assert sign_in("ben", "ben-knows-the-tide")[1].status_code == 302, "only this name is locked"


def test_the_lock_opens_after_an_hour(cast):
    for _ in range(5):
        sign_in("ada", "not this one")
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=61))
    assert sign_in("ada", PASSWORD)[1].status_code == 302


def test_four_old_slips_do_not_count_after_a_right_password(cast):
    for _ in range(4):
        sign_in("ada", "not this one")
    assert sign_in("ada", PASSWORD)[1].status_code == 302
    assert sign_in("ada", "not this one")[1].status_code == 200


def test_behind_a_proxy_the_lock_counts_what_the_proxy_saw(settings):
    request = RequestFactory().get("/", REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="1.2.3.4, 198.51.100.7")
    settings.HTTPS = True
    assert client_ip(request) == "198.51.100.7"
    settings.HTTPS = False
    assert client_ip(request) == "127.0.0.1", "without a proxy of ours the header is anybody's word"


def command(name: str, *words: str) -> str:
    out = StringIO()
    call_command(name, *words, stdout=out)
    return out.getvalue()


def password_in(text: str) -> str:
    found = re.search(r"\b[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}\b", text)
    assert found is not None, text
    return found.group()


@pytest.mark.django_db
@pytest.mark.parametrize("role", ROLES)
def test_the_first_account_comes_from_a_command(role):
    password = password_in(command("add_user", "Eve", "--role", role, "--first-name", "Eve"))
    assert [group.name for group in User.objects.get().groups.filter(name__in=ROLES)] == [role]
    client, _ = sign_in("Eve", password)
    assert client.get("/yard/accounts/").headers["Location"] == "/password/", "first a password of her own"


def test_a_name_is_taken_whatever_its_capitals(cast):
    with pytest.raises(CommandError, match="already"):
        command("add_user", "ADA", "--role", "crew")
    with pytest.raises(CommandError, match="valid username"):
        command("add_user", "two words", "--role", "crew")
    with pytest.raises(AccountRefused, match="no role: choose planner, office, crew or viewer"):
        add_account("eve", role="captain")
    assert User.objects.count() == 4


def test_a_one_time_password_opens_nothing_but_its_own_replacement(cast):
    password = password_in(command("reset_password", "ada"))
    client, _ = sign_in("ada", password)
    assert client.get("/yard/accounts/").headers["Location"] == "/password/"
    assert "Set a password of your own" in client.get("/password/").content.decode()
    new = "a gale of wind at noon"
    answer = client.post("/password/", {"old_password": password, "new_password1": new, "new_password2": new})
    assert answer.headers["Location"] == "/"
    assert client.get("/yard/accounts/").status_code == 200
    assert sign_in("ada", password)[1].status_code == 200, "the old one is dead"
    client, _ = sign_in("ada", new)
    assert client.get("/yard/accounts/").status_code == 200


def test_a_new_password_that_will_not_do_changes_nothing(cast):
    password = password_in(command("reset_password", "ada"))
    client, _ = sign_in("ada", password)
    answer = client.post("/password/", {"old_password": password, "new_password1": "short", "new_password2": "short"})
    assert "too short" in answer.content.decode()
    assert client.get("/yard/accounts/").headers["Location"] == "/password/"


def test_a_reset_ends_open_sessions_and_lifts_the_lock(cast):
    open_session, _ = sign_in("ben", "ben-knows-the-tide")
    for _ in range(5):
        sign_in("ben", "not this one")
    planner, _ = sign_in("ada", PASSWORD)
    answer = planner.post(f"/yard/accounts/{cast.ben.pk}/password/")
    assert "no-store" in answer.headers["Cache-Control"]
    assert not signed_in(open_session)
    assert sign_in("ben", password_in(answer.content.decode()))[1].status_code == 302


def test_a_planner_adds_somebody_on_the_page(cast):
    planner, _ = sign_in("ada", PASSWORD)
    answer = planner.post("/yard/accounts/", {"username": "fay", "first_name": "Fay", "role": "crew"})
    assert "Give Fay this password now" in answer.content.decode()
    assert sign_in("fay", password_in(answer.content.decode()))[1].status_code == 302
    again = planner.post("/yard/accounts/", {"username": "fay", "first_name": "Fay", "role": "crew"})
    assert again.status_code == 422
    assert "choose another name" in again.content.decode()


def test_the_last_planner_can_neither_be_shut_out_nor_made_something_else(cast):
    with pytest.raises(AccountRefused, match="only planner"):
        change_role(cast.ada, "crew")
    with pytest.raises(AccountRefused, match="only planner"):
        set_active(cast.ada, False)
    change_role(cast.ben, "planner")
    set_active(cast.ada, False)
    assert not User.objects.get(username="ada").is_active
    with pytest.raises(AccountRefused, match="only planner"):
        change_role(cast.ben, "crew")


def test_on_the_page_too(cast):
    planner, _ = sign_in("ada", PASSWORD)
    answer = planner.post(f"/yard/accounts/{cast.ada.pk}/role/", {"role": "crew"}, follow=True)
    assert "is the only planner" in answer.content.decode()
    answer = planner.post(f"/yard/accounts/{cast.ben.pk}/role/", {"role": "captain"}, follow=True)
    assert "Nothing was changed" in answer.content.decode()
    answer = planner.post(f"/yard/accounts/{cast.ben.pk}/role/", {"role": "office"}, follow=True)
    assert "ben is office now" in answer.content.decode()
    assert planner.post("/yard/accounts/999/role/", {"role": "office"}).status_code == 404


def test_a_shut_account_is_out_at_once(cast):
    client, _ = sign_in("ben", "ben-knows-the-tide")
    planner, _ = sign_in("ada", PASSWORD)
    planner.post(f"/yard/accounts/{cast.ben.pk}/active/", {"active": "no"})
    assert not signed_in(client)
    assert sign_in("ben", "ben-knows-the-tide")[1].status_code == 200
    planner.post(f"/yard/accounts/{cast.ben.pk}/active/", {"active": "yes"})
    assert sign_in("ben", "ben-knows-the-tide")[1].status_code == 302


def test_the_list_of_accounts_costs_the_same_for_twice_as_many(cast, django_assert_num_queries, client):
    client.force_login(cast.ada, "yard.web.access.RoleBackend")
    for count in (4, 8):
        for number in range(count):
            add_account(f"hand-{count}-{number}", role="crew")
        # session, person, her groups, the yard, accounts, their groups, what was done to them, the posted plan
        with django_assert_num_queries(8):
            assert client.get("/yard/accounts/").status_code == 200


def test_one_time_passwords_are_plain_to_read_and_never_twice_the_same():
    made = {one_time_password() for _ in range(200)}
    assert len(made) == 200
    assert all(re.fullmatch(r"([a-hjkmnp-z2-9]{4}-){2}[a-hjkmnp-z2-9]{4}", password) for password in made)
