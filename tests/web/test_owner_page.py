"""An owner's page at its private address: her boat and nobody else's, answers, and what a wrong address tells."""

from __future__ import annotations

import json
import logging
import re
from datetime import date, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.letters.told_yard import NOW, fact_of, make_order, make_owner, make_plan, make_yard, move, tell
from tests.web.made_creek import BACKEND, text_of
from yard.log_lines import JsonLines
from yard.models import (
    DayOdds,
    Fact,
    Item,
    ItemWhereabouts,
    Order,
    Owner,
    OwnerAnswer,
    OwnerPage,
    Plan,
    PlanOdds,
    YardSettings,
)
from yard.services.owner_pages.addresses import address_of_owner, open_page, replace_page, token_of
from yard.web.owner_pages import door

IN_NINE_DAYS = NOW + timedelta(days=9)


@pytest.fixture
def yard(db: None) -> YardSettings:
    cache.clear()
    return make_yard()


@pytest.fixture
def plan(yard: YardSettings) -> Plan:
    return make_plan()


@pytest.fixture
def order(plan: Plan) -> Order:
    return make_order(plan, make_owner("Pia"), "Tern", IN_NINE_DAYS)


def owner_of(order: Order) -> Owner:
    return order.boat.owners.get()


def address(order: Order) -> str:
    page = open_page(owner_of(order), by=None, now=NOW)
    return reverse("owner_page", kwargs={"token": token_of(page)})


def form_of(page, kind: str) -> dict[str, str]:
    """What the form with that button sends."""
    for form in re.findall(r"<form method=\"post\".*?</form>", page.content.decode(), flags=re.S):
        if f'name="kind" value="{kind}"' in form:
            fields = dict(re.findall(r'<input type="hidden" name="(key|about)" value="([^"]*)"', form))
            return fields | {"kind": kind}
    raise AssertionError(f"no button for {kind}")


def test_it_shows_what_was_told_with_hour_reserve_and_what_could_stop_it(order: Order, plan: Plan) -> None:
    order.jobs.update(weather_class="afloat")
    told = tell(order, "day", date(2027, 5, 15), plan=plan)
    told.reserve_date = date(2027, 5, 17)
    told.save()
    page = Client().get(address(order))
    text = text_of(page)
    assert "Saturday 15 May" in text
    assert "The last work begins at 10:00." in text
    assert "her reserve day Monday 17 May" in text
    assert "What could stop it" in text
    assert "We call it firm, or not, by Friday 14 May, 16:00" in text
    assert "Does Saturday 15 May suit you?" in text
    assert "in 10" not in text, "odds only where the yard turns them on"
    assert page.headers["Cache-Control"] == "private, no-store"
    assert page.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert "webcal://" in page.content.decode()


def test_a_change_that_nobody_released_does_not_show(order: Order, plan: Plan) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    move(order, plan, 2)
    text = text_of(Client().get(address(order)))
    assert "Saturday 15 May" in text
    assert "17 May" not in text
    assert "The last work begins" not in text


def test_nothing_of_another_owner_stands_on_it(order: Order, plan: Plan) -> None:
    other = make_order(plan, make_owner("Gus Secret"), "Hidden", IN_NINE_DAYS)
    tell(other, "day", date(2027, 5, 15))
    former = make_owner("Former")
    old = tell(order, "firm", date(2026, 5, 1))
    old.owner = former
    old.save()
    text = text_of(Client().get(address(order)))
    assert "Hidden" not in text
    assert "Secret" not in text
    assert "1 May" not in text, "what another owner of hers was told"


def test_odds_are_shown_where_the_yard_turns_them_on(order: Order, plan: Plan, yard: YardSettings) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    odds = PlanOdds.objects.create(plan=plan, made_at=NOW, scenarios=10, seed=1, seconds=1, rests_on="climate")
    DayOdds.objects.create(
        odds=odds,
        order=order,
        job=order.jobs.get(),
        milestone="done",
        planned_date=date(2027, 5, 15),
        chances=[["2027-05-15", 0.8]],
    )
    assert "in 10" not in text_of(Client().get(address(order)))
    yard.tells_odds = True
    yard.save()
    page = Client().get(address(order))
    assert "About 8 in 10 that she is done by then." in text_of(page)
    assert page.content.decode().count('class="hl"') == 8
    assert page.content.decode().count('class="hl no"') == 2


def test_an_answer_is_taken_once_and_waits_for_the_yard(order: Order, plan: Plan, cast) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    client = Client()
    where = address(order)
    sent = form_of(client.get(where), "suits")
    for _ in range(2):
        assert client.post(where, sent).status_code == 302
    answer = OwnerAnswer.objects.get()
    assert (answer.kind, answer.order, answer.state) == ("suits", order, "waiting")
    assert "You answered: Saturday 15 May suits; the yard has not looked at it yet." in text_of(client.get(where))
    planner = Client()
    planner.force_login(cast.ada, BACKEND)
    assert "Saturday 15 May suits" in text_of(planner.get(reverse("answers")))
    planner.post(reverse("answer_decided", args=[answer.pk]), {"action": "accept", "reply": "See you then"})
    assert "the yard says: “See you then”" in text_of(client.get(where))


def test_what_is_waited_for_is_answered_by_buttons(order: Order, plan: Plan, cast) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    permit = fact_of(order, "permit", "mooring permit")
    fact_of(order, "approval", "approval of cloth and price")
    client, where = Client(), address(order)
    page = client.get(where)
    assert "Send us the mooring permit by Friday 14 May ." in text_of(page)
    assert client.post(where, form_of(page, "on") | {"on": "2027-05-12"}).status_code == 302
    assert client.post(where, form_of(page, "approved") | {"words": "Blue, please"}).status_code == 302
    assert Fact.objects.filter(state="unknown").count() == 2, "only proposals"
    planner = Client()
    planner.force_login(cast.ada, BACKEND)
    listed = text_of(planner.get(reverse("answers")))
    assert "Mooring permit: by Wednesday 12 May" in listed
    assert "Blue, please" in listed
    planner.post(
        reverse("answer_decided", args=[OwnerAnswer.objects.get(kind="on").pk]), {"action": "accept", "reply": ""}
    )
    permit.refresh_from_db()
    assert permit.state == "expected"


def test_cushions_insurance_and_a_wished_day_are_answered_by_buttons(order: Order, cast) -> None:
    item = Item.objects.create(boat=order.boat, kind="cushions", name="Cushions")
    ItemWhereabouts.objects.create(item=item, kind="owner", since=NOW)
    order.boat.ownerships.update(insurance_expires_on=date(2027, 5, 1))
    client, where = Client(), address(order)
    page = client.get(where)
    text = text_of(page)
    assert "Bring the cushions." in text
    assert "Her insurance ran out on Saturday 1 May: send us the new certificate." in text
    assert "Tell us by which day you would like it." in text
    for kind, on in (("brings", "2027-05-12"), ("insured", "2028-05-01"), ("wanted", "2027-05-20")):
        assert client.post(where, form_of(page, kind) | {"on": on}).status_code == 302
    text = text_of(client.get(where))
    answered = ("Cushions: brought on Wednesday 12 May", "Insured until Monday 1 May 2028", "Wanted by Thursday 20 May")
    for words in answered:
        assert f"You answered “{words}” on Thu 6 May: the yard has not looked at it yet." in text
    planner = Client()
    planner.force_login(cast.ada, BACKEND)
    listed = text_of(planner.get(reverse("answers")))
    assert "Accepted, she is insured until that day: look at the certificate first." in listed
    for answer in OwnerAnswer.objects.all():
        planner.post(reverse("answer_decided", args=[answer.pk]), {"action": "accept", "reply": ""})
    page = client.get(where)
    assert "You bring it on Wednesday 12 May: we have it down." in text_of(page)
    assert "Her insurance" not in text_of(page)
    assert "by which day" not in text_of(page)
    assert client.post(where, form_of(page, "aboard")).status_code == 302


def test_a_week_is_answered_too(order: Order) -> None:
    tell(order, "week", date(2027, 5, 10))
    client, where = Client(), address(order)
    page = client.get(where)
    assert "Does the week of Monday 10 May suit you?" in text_of(page)
    client.post(where, form_of(page, "suits"))
    assert "You answered: The week of Monday 10 May suits; the yard has not looked" in text_of(client.get(where))


def test_work_that_is_done_shows_no_day_to_come(order: Order, plan: Plan) -> None:
    tell(order, "firm", date(2027, 5, 15), plan=plan)
    order.jobs.update(state="done", actual_ends_at=NOW)
    page = Client().get(address(order))
    assert "Spring commissioning just done: we write to you about it" in text_of(page)
    assert "suit you" not in text_of(page)
    tell(order, "done", None, at=NOW)
    assert "Spring commissioning told Thursday 6 May" in text_of(Client().get(address(order)))


def test_a_wrong_form_says_what_is_wrong_and_saves_nothing(order: Order, plan: Plan) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    fact_of(order, "permit", "mooring permit")
    client, where = Client(), address(order)
    page = client.get(where)
    for more in (
        {"on": ""},
        {"on": "not a day"},
        {"on": "2020-01-01"},
        {"key": "x"},
        {"about": "99999999999999999999"},
    ):
        answer = client.post(where, form_of(page, "on") | more)
        assert answer.status_code == 422
        assert "Your answer was not taken." in text_of(answer)
    assert client.post(where, {}).status_code == 422
    assert not OwnerAnswer.objects.exists()


def test_a_form_from_elsewhere_is_refused(order: Order) -> None:
    client = Client(enforce_csrf_checks=True)
    where = address(order)
    sent = form_of(client.get(where), "words") | {"words": "Hello"}
    assert client.post(where, sent).status_code == 403


def test_a_message_with_markup_is_only_text(order: Order, cast) -> None:
    client, where = Client(), address(order)
    sent = form_of(client.get(where), "words") | {"words": "<script>alert(1)</script>"}
    client.post(where, sent)
    planner = Client()
    planner.force_login(cast.ada, BACKEND)
    for page in (client.get(where), planner.get(reverse("answers"))):
        assert "<script>alert" not in page.content.decode()
        assert "&lt;script&gt;alert(1)" in page.content.decode()


def test_a_wrong_and_a_withdrawn_address_tell_the_same_nothing(order: Order, cast) -> None:
    where = address(order)
    replace_page(owner_of(order), by=cast.ada, now=NOW)
    answers = [Client().get(path) for path in (where, where.replace("owner/", "owner/x"), "/owner/x/", "/owner/'--/")]
    assert {answer.status_code for answer in answers} == {404}
    bodies = {re.sub(r'"x-csrftoken": "\w+"', "", answer.content.decode()) for answer in answers}
    assert len(bodies) == 1
    assert "Tern" not in text_of(answers[0])
    assert "555 0142" in text_of(answers[0])
    assert Client().get(address(order)).status_code == 200


def test_guessing_and_hammering_are_held_up(order: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "MOST_UNKNOWN", 3)
    monkeypatch.setattr(door, "MOST_OF_A_PAGE", 3)
    codes = [Client().get(f"/owner/guess{number}/").status_code for number in range(5)]
    assert codes == [404, 404, 404, 429, 429]
    where = address(order)
    assert [Client().head(where).status_code for _ in range(4)] == [200, 200, 200, 429]


def test_the_token_is_long_and_the_rows_do_not_tell_it(order: Order, settings) -> None:
    token = address(order).split("/")[2]
    assert len(token) == 32, "192 bits"
    page = OwnerPage.objects.get()
    row = {field.name: str(getattr(page, field.name)) for field in page._meta.fields}
    assert not any(token in value for value in row.values())
    settings.SECRET_KEY = "another key, with which the rows say nothing else"
    assert token_of(page) is None
    assert address_of_owner(page.owner) == ""


def test_the_log_does_not_tell_it(order: Order) -> None:
    where = address(order)
    record = logging.LogRecord("django.server", logging.INFO, "", 0, '"GET %s HTTP/1.1" 200', (where,), None)
    assert json.loads(JsonLines().format(record))["message"] == '"GET /owner/(hidden)/ HTTP/1.1" 200'


def test_the_page_asks_as_often_for_many_boats_as_for_few(
    order: Order, plan: Plan, django_assert_max_num_queries
) -> None:
    tell(order, "day", date(2027, 5, 15), plan=plan)
    where = address(order)
    with django_assert_max_num_queries(30):
        Client().get(where)
    for number in range(4):
        tell(make_order(plan, owner_of(order), f"Boat {number}", IN_NINE_DAYS), "day", date(2027, 5, 15), plan=plan)
    with django_assert_max_num_queries(30):
        assert text_of(Client().get(where)).count("suit you?") == 5
