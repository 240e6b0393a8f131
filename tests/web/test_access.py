"""Every address of the site, every role, every method: held against the table below.

The table says again, by hand, what each view's door says; a page that is not in it fails.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any, NamedTuple

import pytest
from django.conf import settings
from django.contrib.auth.models import AnonymousUser, Group, User
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.template import RequestContext, Template
from django.test import Client, RequestFactory
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.converters import IntConverter, PathConverter, SlugConverter, StringConverter, UUIDConverter
from django.utils import timezone

from tests.conftest import rows_of_a_module
from yard.web.access import MAY, ROLES, VERBS, may, public, require

EVERYBODY, SIGNED_IN = "everybody", "planner office crew viewer"
NOBODY = ""


class Door(NamedTuple):
    """Who may GET, and who may POST; NOBODY: that method is refused to all (405)."""

    get: str
    post: str


DOORS = {
    "season": Door(SIGNED_IN, NOBODY),
    "season_run": Door(SIGNED_IN, NOBODY),
    "season_why": Door(SIGNED_IN, NOBODY),
    "plan_load": Door(SIGNED_IN, NOBODY),
    "plan_how_good": Door(SIGNED_IN, "planner"),
    "ways_back": Door(SIGNED_IN, "planner office"),
    "what_ifs": Door(SIGNED_IN, "planner"),
    "what_if": Door(SIGNED_IN, NOBODY),
    "what_if_keep": Door(NOBODY, "planner"),
    "what_if_throw_away": Door(NOBODY, "planner"),
    "what_if_draft": Door(NOBODY, "planner"),
    "day_today": Door(SIGNED_IN, NOBODY),
    "day": Door(SIGNED_IN, NOBODY),
    "day_instead": Door(SIGNED_IN, NOBODY),
    "day_free": Door(SIGNED_IN, NOBODY),
    "crew": Door(SIGNED_IN, NOBODY),
    "runs_today": Door(SIGNED_IN, NOBODY),
    "runs_day": Door(SIGNED_IN, "planner office crew"),
    "run_wish": Door(SIGNED_IN, "planner office crew"),
    "run_booked": Door(SIGNED_IN, "planner office crew"),
    "run_off": Door(NOBODY, "planner office crew"),
    "person": Door(SIGNED_IN, NOBODY),
    "letters": Door("planner office", NOBODY),
    "letter": Door("planner office", NOBODY),
    "letter_decided": Door(NOBODY, "planner office"),
    "letter_read": Door("planner office", "planner office"),
    "letter_release": Door(NOBODY, "planner office"),
    "letter_told": Door(NOBODY, "planner office"),
    "owner_page_change": Door(NOBODY, "planner office"),
    "letters_send": Door(NOBODY, "planner office"),
    "letter_words": Door("planner office", NOBODY),
    "letter_words_of": Door("planner office", "planner office"),
    "letters_storm": Door("planner office", "planner office"),
    "letters_winter": Door("planner office", NOBODY),
    "letters_winter_open": Door(NOBODY, "planner office"),
    "letters_winter_list": Door(NOBODY, "planner office"),
    "letters_winter_ask": Door("planner office", "planner office"),
    "letters_winter_asked": Door(NOBODY, "planner office"),
    "answers": Door("planner office", NOBODY),
    "answer_decided": Door(NOBODY, "planner office"),
    "honest": Door("planner office", NOBODY),
    "estimate_accepted": Door(NOBODY, "planner"),
    "owner_page": Door(EVERYBODY, EVERYBODY),
    "more": Door(SIGNED_IN, NOBODY),
    "help": Door(SIGNED_IN, NOBODY),
    "help_topic": Door(SIGNED_IN, NOBODY),
    "launches": Door(SIGNED_IN, NOBODY),
    "launches_from": Door(SIGNED_IN, NOBODY),
    "tides_day": Door(SIGNED_IN, NOBODY),
    "tide_boats": Door(SIGNED_IN, NOBODY),
    "tides_gauge": Door(NOBODY, "planner office crew"),
    "tides_gauge_back": Door(NOBODY, "planner office crew"),
    "tides_month": Door(SIGNED_IN, NOBODY),
    "option_sheets": Door(SIGNED_IN, NOBODY),
    "option_sheets_shipped": Door(NOBODY, "planner office"),
    "option_sheet_new": Door("planner office", "planner office"),
    "option_sheet": Door(SIGNED_IN, NOBODY),
    "option_sheet_change": Door("planner office", "planner office"),
    "option_sheet_archive": Door(NOBODY, "planner office"),
    "sheet_choose": Door("planner office", "planner office"),
    "sheet_option_new": Door("planner office", "planner office"),
    "sheet_option_change": Door("planner office", "planner office"),
    "sheet_option_archive": Door(NOBODY, "planner office"),
    "sheet_choice": Door("planner office", "planner office"),
    "order_trip": Door(SIGNED_IN, "planner"),
    "trip_off": Door(NOBODY, "planner"),
    "seasons": Door(SIGNED_IN, NOBODY),
    "season_new": Door("planner", "planner"),
    "season_kept_change": Door("planner", "planner"),
    "season_end": Door("planner", "planner"),
    "season_open": Door(NOBODY, "planner"),
    "seasons_compared": Door(SIGNED_IN, NOBODY),
    "year_end": Door(SIGNED_IN, NOBODY),
    "year_end_go_on": Door(NOBODY, "planner"),
    "year_end_back": Door(NOBODY, "planner"),
    "books": Door("planner office", NOBODY),
    "books_csv": Door("planner office", NOBODY),
    "books_xlsx": Door("planner office", NOBODY),
    "orders": Door(SIGNED_IN, NOBODY),
    "order_new": Door("planner office", "planner office"),
    "start": Door("planner", "planner"),
    "start_bring_in": Door(NOBODY, "planner"),
    "when": Door("planner office", "planner office"),
    "when_ready": Door("planner office", NOBODY),
    "held_days": Door("planner office", NOBODY),
    "held_take": Door(NOBODY, "planner office"),
    "held_let_go": Door(NOBODY, "planner office"),
    "order_new_for": Door("planner office", "planner office"),
    "order_work": Door("planner office", NOBODY),
    "order_job_new": Door("planner office", "planner office"),
    "order_job": Door("planner office", "planner office"),
    "order_job_out": Door(NOBODY, "planner office"),
    "walk_in": Door("planner office", "planner office"),
    "orders_again": Door("planner office", "planner office"),
    "order": Door(SIGNED_IN, NOBODY),
    "order_change": Door("planner office", "planner office"),
    "order_dates": Door(NOBODY, "planner office"),
    "order_options": Door(NOBODY, "planner office"),
    "order_withdraw": Door(NOBODY, "planner office"),
    "order_put_back": Door(NOBODY, "planner office"),
    "order_hours": Door(NOBODY, "planner office"),
    "yard_settings": Door("planner", "planner"),
    "yard_settings_back": Door(NOBODY, "planner"),
    "place_words": Door(NOBODY, "planner"),
    "tide_compare": Door("planner", NOBODY),
    "allowance": Door("planner", "planner"),
    "packages": Door(SIGNED_IN, NOBODY),
    "package": Door(SIGNED_IN, NOBODY),
    "repair_lists": Door(SIGNED_IN, NOBODY),
    "repair_list_of_boat": Door("planner office crew", "planner office crew"),
    "repair_list_of_order": Door("planner office crew", "planner office crew"),
    "repair_list": Door(SIGNED_IN, "planner office crew"),
    "repair_answer": Door(NOBODY, "planner office"),
    "repair_line_out": Door(NOBODY, "planner office crew"),
    "repair_jobs": Door(NOBODY, "planner office"),
    "canvas": Door(SIGNED_IN, NOBODY),
    "canvas_order": Door(SIGNED_IN, NOBODY),
    "canvas_piece_new": Door("planner office", "planner office"),
    "canvas_piece_change": Door("planner office", "planner office"),
    "canvas_piece_archive": Door(NOBODY, "planner office"),
    "canvas_said": Door(NOBODY, "planner office crew"),
    "canvas_options_of": Door(NOBODY, "planner office"),
    "canvas_copy": Door(NOBODY, "planner office crew"),
    "canvas_panel_new": Door("planner office crew", "planner office crew"),
    "canvas_panel_change": Door("planner office crew", "planner office crew"),
    "canvas_panel_out": Door(NOBODY, "planner office crew"),
    "canvas_options": Door(SIGNED_IN, NOBODY),
    "canvas_options_shipped": Door(NOBODY, "planner office"),
    "canvas_option_new": Door("planner office", "planner office"),
    "canvas_option_change": Door("planner office", "planner office"),
    "canvas_option_archive": Door(NOBODY, "planner office"),
    "take_off_make": Door(NOBODY, "planner office crew"),
    "take_off": Door(SIGNED_IN, NOBODY),
    "take_off_act": Door(NOBODY, "planner office crew"),
    "materials": Door(SIGNED_IN, NOBODY),
    "material_new": Door("planner office", "planner office"),
    "material_change": Door("planner office", "planner office"),
    "material_archive": Door(NOBODY, "planner office"),
    "supplier_new": Door("planner office", "planner office"),
    "supplier_change": Door("planner office", "planner office"),
    "supplier_archive": Door(NOBODY, "planner office"),
    "stock_new": Door("planner office crew", "planner office crew"),
    "stock_change": Door("planner office crew", "planner office crew"),
    "stock_archive": Door(NOBODY, "planner office crew"),
    "buying": Door(SIGNED_IN, NOBODY),
    "buying_line": Door(NOBODY, "planner office crew"),
    "products": Door(SIGNED_IN, NOBODY),
    "product_new": Door("planner office", "planner office"),
    "product": Door(SIGNED_IN, NOBODY),
    "product_change": Door("planner office", "planner office"),
    "product_use": Door(NOBODY, "planner office"),
    "package_new": Door("planner office", "planner office"),
    "package_change": Door("planner office", "planner office"),
    "package_job_new": Door("planner office", "planner office"),
    "package_job": Door("planner office", "planner office"),
    "package_job_act": Door(NOBODY, "planner office"),
    "package_part": Door("planner office", "planner office"),
    "package_put_back": Door(NOBODY, "planner office"),
    "package_as_shipped": Door(NOBODY, "planner office"),
    "package_archive": Door(NOBODY, "planner office"),
    "package_offers": Door("planner office", "planner office"),
    "boats": Door(SIGNED_IN, NOBODY),
    "store": Door(SIGNED_IN, NOBODY),
    "store_plan": Door(SIGNED_IN, NOBODY),
    "spar_plan": Door(SIGNED_IN, NOBODY),
    "store_plan_act": Door(NOBODY, "planner"),
    "autumn": Door(SIGNED_IN, "planner"),
    "stack_measure": Door(NOBODY, "planner office"),
    "boat_note": Door(NOBODY, "planner office crew"),
    "boat_measure": Door(NOBODY, "planner office crew"),
    "order_note": Door(NOBODY, "planner office crew"),
    "order_measure": Door(NOBODY, "planner office crew"),
    "record_taken_back": Door(NOBODY, "planner office crew"),
    "photograph": Door(SIGNED_IN, NOBODY),
    "photograph_small": Door(SIGNED_IN, NOBODY),
    "boat": Door(SIGNED_IN, NOBODY),
    "boat_new": Door("planner office", "planner office"),
    "boat_change": Door("planner office", "planner office"),
    "boat_archive": Door(NOBODY, "planner office"),
    "owners": Door("planner office", NOBODY),
    "owner_new": Door("planner office", "planner office"),
    "owner": Door("planner office", NOBODY),
    "owner_change": Door("planner office", "planner office"),
    "owner_archive": Door(NOBODY, "planner office"),
    "owner_data": Door("planner", NOBODY),
    "owner_data_json": Door(NOBODY, "planner"),
    "owner_data_csv": Door(NOBODY, "planner"),
    "owner_erase": Door(NOBODY, "planner"),
    "owner_merge": Door("planner office", "planner office"),
    "share_new": Door("planner office", "planner office"),
    "share_change": Door("planner office", "planner office"),
    "moorings": Door(SIGNED_IN, NOBODY),
    "mooring_new": Door("planner office", "planner office"),
    "mooring": Door(SIGNED_IN, NOBODY),
    "mooring_change": Door("planner office", "planner office"),
    "mooring_archive": Door(NOBODY, "planner office"),
    "tackle_new": Door("planner office", "planner office"),
    "tackle_change": Door("planner office", "planner office"),
    "boat_merge": Door("planner office", "planner office"),
    "boat_sell": Door("planner office", "planner office"),
    "kinds": Door(SIGNED_IN, NOBODY),
    "kind_new": Door("planner office", "planner office"),
    "kind_change": Door("planner office", "planner office"),
    "kind_put_back": Door(NOBODY, "planner office"),
    "product_put_back": Door(NOBODY, "planner office"),
    "sale_to_come": Door(NOBODY, "planner office"),
    "duplicates": Door("planner office", NOBODY),
    "told_apart": Door(NOBODY, "planner office"),
    "whole_change": Door("planner office", NOBODY),
    "whole_change_back": Door(NOBODY, "planner office"),
    "fact_history": Door(SIGNED_IN, NOBODY),
    "fact_put_back": Door(NOBODY, "planner office"),
    "boat_lies": Door(NOBODY, "planner office crew"),
    "thing_lies": Door(NOBODY, "planner office crew"),
    "boat_draft": Door(NOBODY, "planner office"),
    "fact_said": Door(NOBODY, "planner office"),
    "boat_told": Door(NOBODY, "planner office"),
    "telling_taken_back": Door(NOBODY, "planner office"),
    "lists": Door("planner office", NOBODY),
    "list_import": Door("planner office", "planner office"),
    "list_columns": Door("planner office", "planner office"),
    "list_preview": Door("planner office", NOBODY),
    "list_save": Door(NOBODY, "planner office"),
    "list_owners": Door(NOBODY, "planner office"),
    "list_drop": Door(NOBODY, "planner office"),
    "list_take_back": Door(NOBODY, "planner office"),
    "list_template": Door("planner office", NOBODY),
    "list_export": Door("planner office", NOBODY),
    "plans": Door(SIGNED_IN, NOBODY),
    "plan_season": Door(NOBODY, "planner"),
    "plan": Door(SIGNED_IN, NOBODY),
    "plan_post": Door(NOBODY, "planner"),
    "plan_withdraw": Door(NOBODY, "planner"),
    "by_hand": Door("planner", NOBODY),
    "by_hand_job": Door("planner", "planner"),
    "by_hand_undo": Door(NOBODY, "planner"),
    "by_hand_redo": Door(NOBODY, "planner"),
    "by_hand_drop": Door(NOBODY, "planner"),
    "by_hand_post": Door(NOBODY, "planner"),
    "phone_day": Door(SIGNED_IN, NOBODY),
    "phone_tap": Door(NOBODY, "planner office crew"),
    "phone_worker": Door(SIGNED_IN, NOBODY),
    "day_close": Door("planner crew", "planner crew"),
    "day_close_add": Door(NOBODY, "planner crew"),
    "day_close_undo": Door(NOBODY, "planner crew"),
    "storms": Door(SIGNED_IN, "planner"),
    "storm_list": Door(SIGNED_IN, NOBODY),
    "storm_act": Door(NOBODY, "planner"),
    "forecast": Door(SIGNED_IN, "planner"),
    "closure_decide": Door(NOBODY, "planner"),
    "proposal_for_waiting": Door(NOBODY, "planner"),
    "changed": Door(SIGNED_IN, NOBODY),
    "boat_past": Door(SIGNED_IN, NOBODY),
    "proposal_new": Door("planner", "planner"),
    "proposal": Door(SIGNED_IN, NOBODY),
    "proposal_accept": Door(NOBODY, "planner"),
    "proposal_drop": Door(NOBODY, "planner"),
    "proposal_undo": Door(NOBODY, "planner"),
    "proposal_again": Door(NOBODY, "planner"),
    "event_take_back": Door(NOBODY, "planner"),
    "run": Door(SIGNED_IN, NOBODY),
    "run_stop": Door(NOBODY, "planner"),
    "feed": Door(EVERYBODY, NOBODY),
    "calendars": Door(SIGNED_IN, SIGNED_IN),
    "calendar": Door(SIGNED_IN, SIGNED_IN),
    "calendar_change": Door(NOBODY, SIGNED_IN),
    "feed_event": Door(SIGNED_IN, NOBODY),
    "job_events": Door(SIGNED_IN, NOBODY),
    "owner_list": Door("planner office", NOBODY),
    "find": Door(SIGNED_IN, NOBODY),
    "places": Door(SIGNED_IN, NOBODY),
    "things": Door(SIGNED_IN, NOBODY),
    "thing": Door(SIGNED_IN, "planner office crew"),
    "view_keep": Door(NOBODY, SIGNED_IN),
    "view_rename": Door(NOBODY, SIGNED_IN),
    "view_drop": Door(NOBODY, SIGNED_IN),
    "sails": Door(SIGNED_IN, "planner office"),
    "due": Door(SIGNED_IN, "planner office"),
    "intervals": Door(SIGNED_IN, NOBODY),
    "intervals_shipped": Door(NOBODY, "planner office"),
    "interval_new": Door("planner office", "planner office"),
    "interval_change": Door("planner office", "planner office"),
    "interval_archive": Door(NOBODY, "planner office"),
    "gear": Door(SIGNED_IN, NOBODY),
    "gear_new": Door("planner office", "planner office"),
    "gear_change": Door("planner office", "planner office"),
    "gear_archive": Door(NOBODY, "planner office"),
    "inspection_new": Door("planner office crew", "planner office crew"),
    "inspection_withdraw": Door(NOBODY, "planner office crew"),
    "skills": Door("planner office", "planner office"),
    "skill_change": Door(NOBODY, "planner office"),
    "person_hours": Door(NOBODY, "planner office"),
    "person_hours_drop": Door(NOBODY, "planner office"),
    "place_shut": Door(NOBODY, "planner office"),
    "person_new": Door("planner office", "planner office"),
    "person_change": Door("planner office", "planner office"),
    "person_archive": Door(NOBODY, "planner office"),
    "person_put_back": Door(NOBODY, "planner office"),
    "place_new": Door("planner office", "planner office"),
    "place_change": Door("planner office", "planner office"),
    "place_archive": Door(NOBODY, "planner office"),
    "place_put_back": Door(NOBODY, "planner office"),
    "thing_new": Door("planner office", "planner office"),
    "thing_change": Door("planner office", "planner office"),
    "thing_archive": Door(NOBODY, "planner office"),
    "thing_put_back": Door(NOBODY, "planner office"),
    "healthz": Door(EVERYBODY, NOBODY),
    "words": Door(EVERYBODY, NOBODY),
    "sign_in": Door(EVERYBODY, EVERYBODY),
    "sign_out": Door(NOBODY, EVERYBODY),
    "sign_in_code": Door(EVERYBODY, EVERYBODY),
    "change_password": Door(SIGNED_IN, SIGNED_IN),
    "own_account": Door(SIGNED_IN, NOBODY),
    "confirm": Door(SIGNED_IN, SIGNED_IN),
    "second_factor": Door(SIGNED_IN, SIGNED_IN),
    "second_factor_begin": Door(NOBODY, SIGNED_IN),
    "second_factor_off": Door(NOBODY, SIGNED_IN),
    "recovery_codes_new": Door(NOBODY, SIGNED_IN),
    "sign_ins_end": Door(NOBODY, SIGNED_IN),
    "accounts_demand": Door(NOBODY, "planner"),
    "account_second_factor": Door(NOBODY, "planner"),
    "accounts": Door("planner", "planner"),
    "account_new_password": Door(NOBODY, "planner"),
    "account_role": Door(NOBODY, "planner"),
    "account_active": Door(NOBODY, "planner"),
}

SAMPLES = {IntConverter: 1, SlugConverter: "x", StringConverter: "x", PathConverter: "x"}
SAMPLES_BY_NAME: dict[str, object] = {}
"""A value for an argument that its converter does not tell, by the argument's name."""


class Page(NamedTuple):
    name: str
    view: Any
    arguments: dict[str, Any]


def pages(resolver: URLResolver | None = None, namespace: str = "") -> Iterator[Page]:
    for pattern in (resolver or get_resolver()).url_patterns:
        match pattern:
            case URLResolver():
                yield from pages(pattern, f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace)
            case URLPattern():
                arguments = {name: _sample(name, kind) for name, kind in pattern.pattern.converters.items()}
                yield Page(f"{namespace}{pattern.name}", pattern.callback, arguments)


def _sample(name: str, converter: Any) -> Any:
    if name in SAMPLES_BY_NAME:
        return SAMPLES_BY_NAME[name]
    if isinstance(converter, UUIDConverter):
        return "00000000-0000-4000-8000-000000000000"
    if (value := SAMPLES.get(type(converter))) is not None:
        return value
    return converter.to_python(converter.sample)


PAGES = {page.name: page for page in pages()}


def test_every_page_is_declared_here_and_no_other():
    assert set(DOORS) == set(PAGES)


@pytest.mark.parametrize("name", PAGES)
def test_every_view_carries_its_verb(name):
    view = PAGES[name].view
    assert hasattr(view, "verb"), f"{name} has no door: decorate its view with require() or public()"
    assert set(view.verbs.values()) <= set(VERBS)
    assert view.verb in view.verbs.values()


@pytest.mark.parametrize("name", PAGES)
def test_the_door_is_the_declared_one(name):
    verbs, door = PAGES[name].view.verbs, DOORS[name]
    assert _who(verbs.get("GET")) == set(door.get.split())
    assert _who(verbs.get("POST")) == set(door.post.split())


def _who(verb: Any) -> set[str]:
    match verb:
        case None:
            return set()
        case "public":
            return {EVERYBODY}
        case _:
            return set(MAY[verb])


@pytest.fixture(scope="module")
def sessions(django_db_setup: None, django_db_blocker: Any) -> Iterator[dict[str, str | None]]:
    """The session of somebody of each role; nobody has none."""
    with rows_of_a_module(django_db_blocker):
        of_role: dict[str, str | None] = {"nobody": None}
        for role in ROLES:
            user = User.objects.create_user(f"of the {role}s")
            user.groups.add(Group.objects.get(name=role))
            client = Client()
            client.force_login(user, "yard.web.access.RoleBackend")
            of_role[role] = client.cookies[settings.SESSION_COOKIE_NAME].value
        yield of_role


@pytest.fixture(scope="module")
def site() -> Iterator[Client]:
    """One for all, since each would put the middleware together anew. Which door is shut, its status says: the page
    that tells a person so is drawn in other tests, and here some thousands of times in vain."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(URLResolver, "resolve_error_handler", lambda self, status: partial(_shut, status))
        yield Client(raise_request_exception=False)


def _shut(status: int, request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse(status=status)


@pytest.mark.once
@pytest.mark.django_db
@pytest.mark.parametrize("name", PAGES)
def test_matrix(sessions, site, name):
    address = reverse(name, kwargs=PAGES[name].arguments)
    asked = [(role, method) for role in sessions for method in ("GET", "POST", "DELETE")]
    answers = {(role, method): _answer(_ask_site(site, method, address, sessions[role])) for role, method in asked}
    assert answers == {(role, method): _expected(DOORS[name], role, method) for role, method in asked}


def _ask_site(site: Client, method: str, address: str, session: str | None) -> HttpResponse:
    """Each request finds the yard as the first one did: what it wrote is rolled back."""
    site.cookies.clear()
    if session is not None:
        site.cookies[settings.SESSION_COOKIE_NAME] = session
    with transaction.atomic():
        answer = site.generic(method, address)
        transaction.set_rollback(True)
    return answer


def _answer(answer: HttpResponse) -> str:
    """What the door did. Past it, anything but a failure will do: there is nothing in this yard to show."""
    if answer.status_code in (301, 302) and answer.headers["Location"].startswith(reverse("sign_in")):
        return "sign in"
    assert answer.status_code < 500, answer.status_code
    return {403: "forbidden", 405: "method"}.get(answer.status_code, "passes")


def _expected(door: Door, role: str, method: str) -> str:
    who = {"GET": door.get, "POST": door.post}.get(method, NOBODY)
    everybody = EVERYBODY in (door.get, door.post)
    if who == EVERYBODY:
        return "passes"
    if role == "nobody" and not everybody:
        return "sign in"
    if who == NOBODY:
        at_all = everybody or role in f"{door.get} {door.post}".split()
        return "method" if at_all else "forbidden"
    return "passes" if role in who.split() else "forbidden"


def test_every_verb_but_public_has_its_roles():
    assert set(MAY) == set(VERBS) - {"public"}
    assert all(roles and roles <= set(ROLES) for roles in MAY.values())


@pytest.mark.parametrize("verb", [verb for verb in VERBS if verb != "public"])
def test_a_planner_may_all_and_a_stranger_nothing(cast, verb):
    assert may(cast.ada, verb)
    assert not may(AnonymousUser(), verb)


def test_a_viewer_only_looks(cast):
    assert {verb for verb in VERBS if may(cast.dee, verb)} == {"public", "own_account", "view_plan"}


def test_crew_neither_plans_nor_sees_owners(cast):
    assert may(cast.ben, "close_day")
    assert not any(may(cast.ben, verb) for verb in ("plan", "post_plan", "see_owners", "tell_owner", "edit_facts"))


@pytest.mark.django_db
def test_a_superuser_is_a_planner_and_a_shut_account_is_nobody():
    chief = User.objects.create_superuser("chief")
    assert may(chief, "post_plan")
    chief.is_active = False
    assert not may(chief, "post_plan")
    assert not may(chief, "own_account")


@pytest.mark.django_db
def test_without_a_role_only_ones_own_account():
    user = User.objects.create_user("new")
    assert {verb for verb in VERBS if may(user, verb)} == {"public", "own_account"}


def test_permissions_in_templates_ask_the_table(cast):
    assert cast.ada.has_perm("yard.post_plan")
    assert not cast.cy.has_perm("yard.post_plan")
    assert cast.cy.has_perm("yard.order")
    assert not cast.ada.has_perm("auth.delete_user")
    assert not cast.ada.has_perm("yard.fly")


def test_five_questions_cost_one_query(cast, django_assert_num_queries):
    user = User.objects.get(pk=cast.cy.pk)
    with django_assert_num_queries(1):
        assert [user.has_perm(f"yard.{verb}") for verb in ("order", "plan", "settings", "see_owners", "view_plan")] == [
            True,
            False,
            False,
            True,
            True,
        ]


def test_templates_ask_the_table_of_roles_and_each_page_anew(cast, monkeypatch):
    monkeypatch.setattr(User, "has_perm", lambda *_: pytest.fail("every backend is asked"))
    told = Template("{% for verb in verbs %}{% if perms.yard.order %}o{% endif %}{% endfor %}{{ perms.yard.settings }}")
    asked = RequestFactory().get("/")
    asked.user, asked.yard_now, asked.resolver_match = cast.cy, timezone.now(), None
    assert told.render(RequestContext(asked, {"verbs": "abc"})) == "oooFalse"
    cast.cy.groups.set([Group.objects.get(name="viewer")])
    anew = RequestFactory().get("/")
    anew.user, anew.yard_now, anew.resolver_match = User.objects.get(pk=cast.cy.pk), timezone.now(), None
    assert told.render(RequestContext(anew, {"verbs": "abc"})) == "False"


@require("view_plan", post="edit_facts")
def card(request: HttpRequest) -> HttpResponse:
    return HttpResponse("card")


def _ask(user: Any, method: str) -> Any:
    request = RequestFactory().generic(method, "/card?tide=2")
    request.user = user
    return card(request)


def test_reading_and_sending_have_verbs_of_their_own(cast):
    assert _ask(cast.ben, "GET").content == b"card"
    assert _ask(cast.cy, "POST").content == b"card"
    with pytest.raises(PermissionDenied):
        _ask(cast.ben, "POST")


def test_the_door_holds_without_the_middleware():
    answer = _ask(AnonymousUser(), "GET")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/sign-in/?next=/card%3Ftide%3D2")


def test_another_method_is_refused_with_the_list(cast):
    answer = _ask(cast.ada, "PUT")
    assert (answer.status_code, answer.headers["Allow"]) == (405, "GET, HEAD, POST")


def test_a_door_without_a_known_verb_cannot_be_made():
    for wrong in (lambda: require(), lambda: require("fly"), lambda: public(False)):
        with pytest.raises(ValueError, match="needs a verb"):
            wrong()


@pytest.mark.django_db
def test_the_roles_are_there_after_migrating():
    assert set(Group.objects.values_list("name", flat=True)) >= set(ROLES)
