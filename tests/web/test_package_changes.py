"""Packages changed on their pages: typed as people type, refused with its remedy, two at once, offered to orders."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from tests.services.ordering import ordered
from yard.models import Boat, JobWay, Package
from yard.services.package_files import Part
from yard.services.package_rows import content_of
from yard.web.orders import words
from yard.web.packages import parts
from yard.web.packages.hours import minutes_typed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow")]


@pytest.fixture
def spring() -> Package:
    return Package.objects.get(key="spring_commissioning")


def typed(answer: Any, **more: Any) -> dict[str, Any]:
    """What a browser sends of the forms on a page of a job or a part, with what is typed over it."""
    context = answer.context
    forms = [context["rows"]] if "rows" in context else [context["sheet"].ways, context["sheet"].links]
    fields = [each for rows in forms for each in [*rows.management_form, *(f for form in rows for f in form)]]
    if "sheet" in context:
        fields += list(context["sheet"].form)
    sent: dict[str, Any] = {"version": context["package" if "package" in context else "order"].version}
    for field in fields:
        value = field.value()
        if value is None or value is False or value in ("", []):
            continue
        sent[field.html_name] = "on" if value is True else value
    return sent | more


def job_url(package: Package, key: str) -> str:
    return reverse("package_job", args=[package.pk, key])


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("1.5", 90), ("1 h 30 min", 90), ("16h", 960), ("2 days", 2880), ("2 weeks", 20160), ("90 min", 90), ("0,5", 30)],
)
def test_times_as_people_write_them(text, minutes):
    assert minutes_typed(text) == minutes


@pytest.mark.parametrize("text", ["soon", "-1", "1:30", "3 years", "20000 days"])
def test_what_is_no_time_is_said(text):
    with pytest.raises(ValueError, match=r"write 1\.5|typed in minutes"):
        minutes_typed(text)


def test_a_form_reads_what_it_shows_in_the_yards_own_language(monkeypatch):
    monkeypatch.setattr(words, "ngettext", lambda one, many, count: "{n} Tag" if count == 1 else "{n} Tage")
    assert words.wait_words(2880) == "2 Tage"
    assert [minutes_typed(text) for text in ("2 Tage", "10Tage", "1 h 30 min", "2 days")] == [2880, 14400, 90, 2880]
    monkeypatch.setattr(parts, "pgettext", lambda context, word: "Wasser")
    float_off = (Part(name="float off", minutes=30, water=True), Part(name="tow", minutes=45, water=False))
    assert parts.parts_shown(float_off) == "float off, 30 min, Wasser\ntow, 45 min"
    assert parts.parts_typed(parts.parts_shown(float_off)) == float_off


@pytest.mark.parametrize("key", ["wash", "launch", "first_coat", "fit_covers"])
def test_a_job_saved_as_it_was_shown_changes_nothing(cy, spring, key):
    """What the form shows is what it reads: hours, people, places, parts, waits, sources, options and facts."""
    before = content_of(spring)
    answer = cy.post(job_url(spring, key), typed(cy.get(job_url(spring, key))))
    assert answer.status_code == 302
    assert content_of(spring) == before
    assert spring.editions.count() == 1


@pytest.mark.parametrize("part", ["options", "facts", "places"])
def test_a_part_saved_as_it_was_shown_changes_nothing(cy, spring, part):
    url, before = reverse("package_part", args=[spring.pk, part]), content_of(spring)
    assert cy.post(url, typed(cy.get(url))).status_code == 302
    assert content_of(spring) == before


def test_hours_and_a_wait_are_typed_and_told_in_the_history(cy, spring):
    page = cy.get(job_url(spring, "wash"))
    more = {"ways-0-hours": "4 h", "links-0-least": "30 min", "why": "she is bigger", "cautions": "Mind the paint."}
    cy.post(job_url(spring, "wash"), typed(page, **more))
    assert spring.jobs.get(key="wash").ways.first().duration_min == 240
    history = cy.get(reverse("package_change", args=[spring.pk])).content.decode()
    assert "Cy: Wash changed: she is bigger" in history
    assert "Wash: 3 h, 1 × yard hand or 1 h 45 min, 2 × yard hand → 4 h" in history
    assert "Wash after Winter cover off: no wait" in history


def test_a_new_job_gets_its_key_from_its_name(cy, spring):
    url = reverse("package_job_new", args=[spring.pk])
    more = {
        "name": "Grease the winches", "kind": "finish", "source": "common practice",
        "ways-0-hours": "1", "ways-0-count_1": "1", "ways-0-skill_1": "hand", "links-0-before": "wash",
    }  # fmt: skip
    assert cy.post(url, typed(cy.get(url), **more)).status_code == 302
    job = spring.jobs.get(key="grease_the_winches")
    assert list(job.links_before.values_list("before__key", flat=True)) == ["wash"]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"ways-0-hours": "soon"}, "is no time: write 1.5"),
        ({"ways-0-hours": "50 min"}, "not a whole number of quarters"),
        ({"ways-0-hours": ""}, "Say how long it takes so, or leave this way out."),
        ({"links-0-least": "2 h", "links-0-longest": "1 h"}, "longest wait is shorter than the least"),
        ({"links-0-before": "deliver"}, "in a circle"),
        ({"name": ""}, "This field is required"),
        ({"finish_by": "15 Nov"}, "write 15 November as 11-15"),
        ({"ways-0-parts": "float off"}, "write a part as"),
        ({"ways-0-DELETE": "on", "ways-1-DELETE": "on"}, "has no way of doing it"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(cy, spring, more, says):
    before = content_of(spring)
    answer = cy.post(job_url(spring, "wash"), typed(cy.get(job_url(spring, "wash")), **more))
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "Nothing was saved" in answer.content.decode()
    assert content_of(spring) == before


def test_the_second_of_two_people_sees_who_was_quicker_and_may_decide(cy, spring):
    mine = typed(cy.get(job_url(spring, "wash")), **{"ways-0-hours": "4 h"})
    cy.post(job_url(spring, "sails"), typed(cy.get(job_url(spring, "sails")), **{"ways-0-hours": "2 h"}))
    answer = cy.post(job_url(spring, "wash"), mine)
    assert answer.status_code == 409
    assert "somebody else changed this package meanwhile" in answer.content.decode()
    assert "(Cy: Sails out and checked changed)" in answer.content.decode()
    assert cy.post(job_url(spring, "wash"), mine | {"version": answer.context["package"].version}).status_code == 302
    hours = {job.key: job.ways[0].minutes for job in content_of(spring).job}
    assert (hours["wash"], hours["sails"]) == (240, 120)


def test_jobs_move_break_and_go_and_the_shipped_one_comes_back(cy, spring):
    def act(key: str, what: str) -> None:
        spring.refresh_from_db()
        cy.post(reverse("package_job_act", args=[spring.pk, key, what]), {"version": spring.version})

    for key, what in (("wash", "up"), ("wash", "break"), ("sea_trial", "remove")):
        act(key, what)
    keys = [job.key for job in content_of(spring).job]
    assert keys[:3] == ["wash", "wash_later", "uncover"]
    assert "sea_trial" not in keys
    act("launch", "break")
    assert "cannot be broken in two" in cy.get(reverse("packages")).content.decode()
    spring.refresh_from_db()
    cy.post(reverse("package_as_shipped", args=[spring.pk]), {"version": spring.version})
    assert [job.key for job in content_of(spring).job][:2] == ["uncover", "wash"]
    spring.refresh_from_db()
    cy.post(reverse("package_put_back", args=[spring.pk, 3]), {"version": spring.version})
    assert {"wash_later", "sea_trial"} <= {job.key for job in content_of(spring).job}


def test_options_facts_and_places_are_typed_as_rows(cy, spring):
    url = reverse("package_part", args=[spring.pk, "options"])
    page = cy.get(url)
    new = len(content_of(spring).option)
    cy.post(url, typed(page, **{f"rows-{new}-name": "Polish the topsides", "rows-0-DELETE": "on"}))
    keys = [option.key for option in content_of(spring).option]
    assert ("polish_the_topsides" in keys, "second_coat" in keys) == (True, False)
    assert spring.jobs.get(key="second_coat").option is None
    url = reverse("package_part", args=[spring.pk, "facts"])
    answer = cy.post(url, typed(cy.get(url), **{f"rows-{len(content_of(spring).fact)}-name": "polish"}))
    assert answer.status_code == 422
    assert "Say which jobs wait for it" in answer.content.decode()


def test_a_new_package_is_archived_and_is_ordered_no_more(cy):
    cy.post(reverse("package_new"), {"name": "Keel bolts", "when": "any"})
    package = Package.objects.get(key="keel_bolts")
    cy.post(reverse("package_archive", args=[package.pk]), {"version": package.version, "archived": "yes"})
    cy.get(reverse("packages"))  # says what was done
    assert "Keel bolts" not in cy.get(reverse("packages")).content.decode()


def test_a_change_is_offered_to_open_orders_and_taken(cy, spring, wren):
    order = ordered(wren, "spring_commissioning")
    cy.post(job_url(spring, "wash"), typed(cy.get(job_url(spring, "wash")), **{"ways-0-hours": "4 h"}))
    url = reverse("package_offers", args=[spring.pk])
    page = cy.get(url)
    assert "1 open order of Spring commissioning differs" in page.content.decode()
    assert "Wash: 3 h" in page.content.decode()
    order.refresh_from_db()
    sent = {"order": order.pk, f"version-{order.pk}": order.version, "edition": page.context["page"].edition.number}
    cy.post(url, {"act": "take"})
    assert "tick the orders first" in cy.get(url).content.decode()
    cy.post(url, sent | {"act": "take"})
    assert JobWay.objects.filter(job__order=order, job__key="wash").first().duration_min == 240
    assert "Every open order of Spring commissioning follows it" in cy.get(url).content.decode()
    cy.post(url, sent | {"act": "take"})
    assert "changed by somebody else meanwhile" in cy.get(url).content.decode()


def test_offers_ask_as_many_queries_for_ten_orders_as_for_two(cy, spring, django_assert_num_queries):
    for n in range(10):
        boat = Boat.objects.create(ref=f"b{n}", name=f"B{n}", length_m=7.0, beam_m=2.3, draft_m=1.1)
        ordered(boat, "halyard")
    halyard = Package.objects.get(key="halyard")
    url = job_url(halyard, "halyard")
    cy.post(url, typed(cy.get(url), **{"ways-0-hours": "2 h"}))
    cy.get(reverse("package_offers", args=[halyard.pk]))
    with django_assert_num_queries(16):
        cy.get(reverse("package_offers", args=[halyard.pk]))
