"""Pages of letters: read, own words, release, call, decide, the yard's own words, and a message to all."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from tests.letters.told_yard import NOW, make_order, make_owner, make_plan, make_yard, move, tell
from tests.web.made_creek import BACKEND, text_of
from yard.models import (
    Letter,
    LetterTemplate,
    Owner,
    OwnerPage,
    Plan,
    StaleRow,
    Telling,
    YardSettings,
)
from yard.services.letters.sending import send_released
from yard.services.letters.templates import save_words

IN_NINE_DAYS = NOW + timedelta(days=9)


@pytest.fixture
def yard(db: None) -> YardSettings:
    return make_yard()


@pytest.fixture
def plan(yard: YardSettings) -> Plan:
    return make_plan()


@pytest.fixture
def pia(plan: Plan) -> Owner:
    owner = make_owner("Pia")
    make_order(plan, owner, "Tern", IN_NINE_DAYS)
    return owner


@pytest.fixture
def cy(cast, client: Client) -> Client:
    client.force_login(cast.cy, BACKEND)
    return client


def read(client: Client, owner: Owner) -> str:
    return text_of(client.get(reverse("letter_read", args=[owner.pk])))


def seen(client: Client, owner: Owner) -> str:
    return client.get(reverse("letter_read", args=[owner.pk])).context["page"].reading.fingerprint


def test_the_morning_list_leads_to_the_letter_and_says_where_letters_go(cy: Client, pia: Owner) -> None:
    page = cy.get(reverse("letters"))
    text = text_of(page)
    assert "1 owner to tell, 1 order in all" in text
    assert "No mail server is set (YARD_SMTP_HOST)" in text
    assert reverse("letter_read", args=[pia.pk]) in page.content.decode()


def test_a_letter_is_read_with_what_to_say_and_released_once(cy: Client, pia: Owner) -> None:
    page = cy.get(reverse("letter_read", args=[pia.pk]))
    body = page.content.decode()
    assert "<mark>Saturday 15 May</mark>" in body
    assert 'href="tel:5550101"' in body
    assert 'href="sms:5550101?&amp;body=Tallow%20Creek%20Yard.%20Tern' in body
    values = {"way": "email", "seen": page.context["page"].reading.fingerprint}
    for _ in range(2):
        assert cy.post(reverse("letter_release", args=[pia.pk]), values).status_code == 302
    assert Letter.objects.get().state == Letter.State.RELEASED
    assert "Nothing to tell Pia" in read(cy, pia)
    listed = text_of(cy.get(reverse("letters")))
    assert "Nobody needs telling" in listed
    assert "On their way" in listed


def test_own_words_are_kept_and_the_second_person_is_told(cy: Client, cast, pia: Owner) -> None:
    address = reverse("letter_read", args=[pia.pk])
    values = {"version": "0", "before": "Two coats on.", "after": "", "reason": ""}
    assert cy.post(address, values).status_code == 302
    assert "Your own words Two coats on." in read(cy, pia)
    late = cy.post(address, values | {"before": "Mine"})
    assert late.status_code == 422
    text = text_of(late)
    assert "Somebody else wrote here meanwhile" in text
    assert "Mine" in late.content.decode()
    assert Letter.objects.get().before == "Two coats on."
    version = late.context["version"]
    assert cy.post(address, values | {"before": "Both", "version": version}).status_code == 302
    assert Letter.objects.get().before == "Both"


def test_a_changed_plan_asks_to_be_read_again(cy: Client, pia: Owner, plan: Plan) -> None:
    address = reverse("letter_read", args=[pia.pk])
    before = seen(cy, pia)
    cy.post(address, {"version": "0", "before": "Two coats on."})
    move(pia.boats.get().orders.get(), plan, 2)
    assert "Read it again." in read(cy, pia)
    page = cy.post(reverse("letter_release", args=[pia.pk]), {"way": "email", "seen": before}, follow=True)
    assert "Nothing was sent. The plan has changed since you read this" in page.content.decode()
    assert Letter.objects.get().state == Letter.State.READING


def test_a_reason_is_asked_for_before_it_can_go(cy: Client, pia: Owner) -> None:
    tell(pia.boats.get().orders.get(), "day", date(2027, 5, 12))
    page = cy.get(reverse("letter_read", args=[pia.pk]))
    assert "The plan does not say why it moves." in text_of(page)
    assert 'value="email" disabled' in page.content.decode()
    cy.post(reverse("letter_read", args=[pia.pk]), {"version": "0", "reason": "the crane was broken"})
    assert "That has changed: the crane was broken" in read(cy, pia)


def test_a_call_is_noted_in_one_press(cy: Client, pia: Owner) -> None:
    values = {"how": "call", "seen": seen(cy, pia), "said": ""}
    for _ in range(2):
        assert cy.post(reverse("letter_told", args=[pia.pk]), values).status_code == 302
    told = Telling.objects.get()
    assert (told.how, told.state) == ("call", "day")
    assert cy.post(reverse("letter_told", args=[pia.pk]), values | {"how": "page"}).status_code == 404


def test_perhaps_sent_is_decided_on_a_page(cy: Client, pia: Owner) -> None:
    cy.post(reverse("letter_release", args=[pia.pk]), {"way": "email", "seen": seen(cy, pia)})
    row = Letter.objects.get()
    Letter.objects.update(state=Letter.State.SENDING, claim=uuid4(), claimed_at=datetime(2026, 1, 1, tzinfo=UTC))
    listed = text_of(cy.get(reverse("letters")))
    assert "A person decides" in listed
    assert "Perhaps sent" in listed
    page = text_of(cy.get(reverse("letter", args=[row.pk])))
    assert "It is not sent again by itself" in page
    decide = reverse("letter_decided", args=[row.pk])
    cy.post(decide, {"went": "yes", "version": str(row.version)})
    row.refresh_from_db()
    assert row.state == Letter.State.SENT
    assert Telling.objects.count() == 1
    cy.post(decide, {"went": "yes", "version": str(row.version)})
    assert Telling.objects.count() == 1
    assert "sent by e-mail" in text_of(cy.get(reverse("letter", args=[row.pk])))


def test_a_printed_letter_has_its_address_and_is_told(cy: Client, pia: Owner) -> None:
    Owner.objects.update(address="1 Quay Street")
    page = cy.post(reverse("letter_release", args=[pia.pk]), {"way": "letter", "seen": seen(cy, pia)}, follow=True)
    assert "1 Quay Street" in text_of(page)
    assert Telling.objects.get().how == "letter"


def test_an_owner_s_page_is_opened_replaced_and_withdrawn(cy: Client, pia: Owner) -> None:
    change = reverse("owner_page_change", args=[pia.pk])
    cy.post(change, {"action": "open"})
    first = OwnerPage.objects.get()
    cy.post(change, {"action": "open"})
    assert OwnerPage.objects.count() == 1
    cy.post(change, {"action": "replace"})
    first.refresh_from_db()
    assert first.withdrawn_at is not None
    assert OwnerPage.objects.filter(withdrawn_at=None).count() == 1
    cy.post(change, {"action": "withdraw"})
    assert not OwnerPage.objects.filter(withdrawn_at=None).exists()
    assert cy.post(change, {"action": "x"}).status_code == 404


def test_the_yard_s_own_words_are_looked_at_and_kept(cy: Client, pia: Owner) -> None:
    address = reverse("letter_words_of", args=["greeting"])
    looked = cy.post(address, {"version": "0", "text": "Ahoy $owner,", "look": "1"})
    assert "Ahoy Pia Larkin ," in text_of(looked)
    assert not LetterTemplate.objects.exists()
    assert cy.post(address, {"version": "0", "text": "Ahoy $owner,"}).status_code == 302
    assert "Ahoy Pia ," in read(cy, pia)
    assert "the yard's own" in text_of(cy.get(reverse("letter_words")))
    stale = cy.post(address, {"version": "0", "text": "Hello $owner,"})
    assert stale.status_code == 422
    assert "Somebody else changed these words" in text_of(stale)
    version = LetterTemplate.objects.get().version
    assert cy.post(address, {"version": str(version), "text": ""}).status_code == 302
    assert not LetterTemplate.objects.exists()
    assert LetterTemplate.history.count() == 2
    assert cy.get(reverse("letter_words_of", args=["nothing"])).status_code == 404


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Dear $secret_key", "$secret_key is no placeholder. There are: $answer_by,"),
        ("${settings.SECRET_KEY}", "a $ without a name"),
        ("$owner.password.", "that the day moves"),
        ("[We told", "this bracket is not closed"),
        ("We told you $was.", "$boat, $reason, $when, $sure is missing"),
    ],
)
def test_a_template_that_reads_secrets_or_says_too_little_is_refused(
    cy: Client, yard: YardSettings, settings, text: str, says: str
) -> None:
    answer = cy.post(reverse("letter_words_of", args=["moved"]), {"version": "0", "text": text})
    if says == "that the day moves":  # an attribute is only text behind the name, and the rest is missing
        says = "is missing"
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert not LetterTemplate.objects.exists()
    assert settings.SECRET_KEY not in answer.content.decode()


def test_words_that_cannot_be_used_any_more_stop_the_letter_and_say_so(cy: Client, pia: Owner) -> None:
    LetterTemplate.objects.create(key="day", text="$gone")
    page = cy.get(reverse("letter_read", args=[pia.pk]))
    assert page.status_code == 409
    assert "$gone is no placeholder" in text_of(page)


def test_two_people_with_the_same_words(cast, yard: YardSettings) -> None:
    save_words("greeting", "Ahoy $owner,", seen_version=0, by=cast.ada, now=NOW)
    with pytest.raises(StaleRow):
        save_words("greeting", "Hello $owner,", seen_version=0, by=cast.cy, now=NOW)


def test_one_reviewed_message_to_all_for_a_storm(cy: Client, pia: Owner, plan: Plan) -> None:
    boat = pia.boats.get()
    boat.in_a_storm = "haul"
    boat.save()
    gus = make_owner("Gus", email="")
    make_order(plan, gus, "Gull", IN_NINE_DAYS)
    address = reverse("letters_storm")
    values = {
        "batch": str(uuid4()),
        "headline": "A gale on Friday",
        "warning": "Gusts to 50 knots.",
        "after": "",
        "to": [str(pia.pk)],
    }
    looked = cy.post(address, values | {"look": "1"})
    assert "For Tern you asked us: to haul her ." in text_of(looked)
    assert not Letter.objects.exists()
    for _ in range(2):
        assert cy.post(address, values | {"release": "1"}).status_code == 302
    assert Letter.objects.count() == 1
    assert send_released(clock=lambda: NOW).sent == 1
    assert not Telling.objects.exists(), "a warning tells no date"
    refused = cy.post(address, values | {"release": "1", "batch": str(uuid4()), "to": [str(pia.pk), str(gus.pk)]})
    assert refused.status_code == 422
    assert "Without an e-mail address, so to be called: Gus (555 0101)" in text_of(refused)
    nobody = cy.post(address, values | {"look": "1", "to": []})
    assert "Nobody is ticked" in text_of(nobody)


def test_the_pages_of_winter_and_honesty_are_empty_in_words(cy: Client, yard: YardSettings) -> None:
    assert "nothing to ask about yet" in text_of(cy.get(reverse("letters_winter")))
    honest = text_of(cy.get(reverse("honest")))
    assert "No order is done yet" in honest
    assert "No job was measured yet" in honest
    assert "No promised date whose chance was reckoned" in honest
    assert "No answer waits" in text_of(cy.get(reverse("answers")))
    assert "There is no owner of a boat" in text_of(cy.get(reverse("letters_storm")))


def test_her_page_leads_to_what_to_say_now(cy: Client, pia: Owner) -> None:
    page = cy.get(reverse("boat", args=[pia.boats.get().pk])).content.decode()
    assert reverse("letter_read", args=[pia.pk]) in page
    assert "Say now" in page
