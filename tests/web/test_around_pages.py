"""What stands around every page: the yard's clock and zone, tabs, headers, and sign-in when htmx asks for a part."""

from datetime import UTC, datetime

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import HttpResponse
from django.template import engines
from django.test import RequestFactory
from django.urls import path
from django.utils import timezone

from yard.models import Plan, YardSettings
from yard.urls import urlpatterns as all_urls
from yard.web import context
from yard.web.access import require
from yard.web.context import TABS

BACKEND = "yard.web.access.RoleBackend"
FROZEN = datetime(2027, 5, 6, 17, 40, tzinfo=UTC)  # 13:40 in New York, four hours behind in May


def _page(verb):
    @require(verb)
    def page(request, **kwargs):
        text = "{% load tz %}{% for tab in tabs %}{{ tab.label }}{% if tab.current %}*{% endif %} {% endfor %}"
        text += "| {{ yard_name }} | {{ yard_now }} | {{ posted_plan }} | {{ example_note }}"
        return HttpResponse(engines["django"].from_string(text).render({}, request))

    return page


TAB_NAMES = {name for _, name in TABS}
"""The real pages of the tabs stand aside for the ones above, so that the list of tabs is this test's own."""

urlpatterns = [
    path("season/", _page("view_plan"), name="season"),
    path("season/boat/", _page("view_plan"), name="a_boat"),
    path("letters/", _page("see_owners"), name="letters"),
    path("yard/", _page("settings"), name="yard_settings"),
    *(pattern for pattern in all_urls if pattern.name not in TAB_NAMES),
]


@pytest.fixture
def pages(settings):
    settings.ROOT_URLCONF = __name__


@pytest.fixture
def creek(db):
    return YardSettings.objects.create(name="Tallow Creek", time_zone="America/New_York", clock_frozen_at=FROZEN)


def text_of(answer) -> list[str]:
    return [part.strip() for part in answer.content.decode().split("|")]


def test_a_page_knows_its_yard(pages, creek, cast, client):
    Plan.objects.create(
        number=14, state="posted", posted_at=FROZEN.replace(hour=10, minute=45), made_at=FROZEN, facts_revision=1
    )
    client.force_login(cast.ada, BACKEND)
    assert text_of(client.get("/season/boat/")) == [
        "Season* Letters Yard",
        "Tallow Creek",
        "Thu 6 May 2027, 13:40",
        "Plan 14, posted 06:45",
        "This is an example yard. Its clock stands still at Thu 6 May 2027, 13:40.",
    ]


def test_a_plan_posted_on_another_day_says_which(pages, creek, cast, client):
    at = datetime(2027, 5, 6, 3, 30, tzinfo=UTC)  # still Wednesday evening in the yard
    Plan.objects.create(number=13, state="posted", posted_at=at, made_at=at, facts_revision=1)
    client.force_login(cast.ada, BACKEND)
    assert text_of(client.get("/season/"))[3] == "Plan 13, posted Wed 5 May 2027, 23:30"


def test_tabs_are_those_that_a_person_may_open(pages, creek, cast, client):
    shown = {}
    for name in ("ada", "cy", "ben", "dee"):
        client.force_login(getattr(cast, name), BACKEND)
        shown[name] = text_of(client.get("/season/"))[0]
    assert shown == {"ada": "Season* Letters Yard", "cy": "Season* Letters", "ben": "Season*", "dee": "Season*"}


def test_an_empty_install_has_a_yard_without_a_name(pages, cast, client):
    client.force_login(cast.ada, BACKEND)
    _, name, now, plan, note = text_of(client.get("/season/"))
    assert (name, plan, note) == ("Yard", "No plan posted", "")
    assert str(timezone.now().year) in now


def test_all_of_it_costs_two_queries(pages, creek, cast, client, django_assert_num_queries):
    client.force_login(cast.ada, BACKEND)
    # session, person, her groups; then the yard and the posted plan
    with django_assert_num_queries(5):
        client.get("/season/")


def test_the_zone_does_not_leak_into_the_next_request(pages, creek, cast, client):
    client.force_login(cast.ada, BACKEND)
    before = timezone.get_current_timezone_name()
    client.get("/season/")
    assert timezone.get_current_timezone_name() == before == "UTC"


def test_a_zone_that_is_gone_from_the_machine_does_not_break_pages(pages, creek, cast, client):
    YardSettings.objects.update(time_zone="Atlantis/Old_Town")
    client.force_login(cast.ada, BACKEND)
    assert text_of(client.get("/season/"))[2] == "Thu 6 May 2027, 17:40"


def test_the_outside_of_the_yard_learns_little(creek, client):
    page = client.get("/sign-in/").content.decode()
    assert "Tallow Creek" in page
    assert "posted" not in page


def test_a_part_asked_by_htmx_sends_the_whole_page_to_sign_in(pages, creek, client):
    answer = client.get(
        "/season/", headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/season/boat/?tide=2"}
    )
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (200, "/sign-in/?next=/season/boat/%3Ftide%3D2")
    answer = client.get("/season/", headers={"HX-Request": "true", "HX-Current-URL": "https://elsewhere.example/x"})
    assert answer.headers["HX-Redirect"] == "/sign-in/?next=/"


def test_what_was_sent_is_not_sent_again_after_signing_in(pages, creek, client):
    assert client.get("/season/?tide=2").headers["Location"] == "/sign-in/?next=/season/%3Ftide%3D2"
    assert client.post("/season/").headers["Location"] == "/sign-in/?next=/"


def test_a_one_time_password_holds_for_htmx_too(pages, creek, cast, client):
    from yard.services.people_accounts import new_password

    new_password(cast.ada)
    client.force_login(cast.ada, BACKEND)
    assert client.get("/season/").headers["Location"] == "/password/"
    assert client.get("/season/", headers={"HX-Request": "true"}).headers["HX-Redirect"] == "/password/"


@pytest.mark.parametrize("address", ["/healthz", "/sign-in/", "/season/", "/nowhere/"])
def test_every_answer_has_its_headers(pages, creek, cast, client, address):
    client.force_login(cast.ada, BACKEND)
    headers = client.get(address).headers
    policy = dict(rule.strip().partition(" ")[::2] for rule in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert "http" not in headers["Content-Security-Policy"]
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Permissions-Policy"].startswith("camera=()")
    assert "HX-Request" in headers["Vary"]


def test_a_stranger_sees_no_tabs(pages, creek):
    request = RequestFactory().get("/sign-in/")
    request.user = AnonymousUser()
    assert context.yard(request)["tabs"] == []
