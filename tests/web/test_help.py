"""The help: every topic opens for every role, speaks of pages that exist, and its pictures are there."""

from __future__ import annotations

import html
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from tests.web.tallow_creek import signed_in
from yard.models import YardSettings
from yard.web.help.topics import BY_PAGE, CHAPTERS, TOPICS

PICTURES = Path(settings.BASE_DIR) / "yard" / "static" / "yard" / "help"
LARGEST_BYTES = 120_000


@pytest.fixture
def ada(db: None, cast: Any) -> Client:
    YardSettings.objects.create(name="Tallow Creek", time_zone="UTC")
    return signed_in(cast.ada)


def test_no_topic_is_there_twice_and_each_has_its_words() -> None:
    listed = [topic.key for chapter in CHAPTERS for topic in chapter.topics]
    assert len(listed) == len(set(listed))
    assert {path.stem for path in Path("templates/help").glob("*.html")} == set(listed) | {
        "index",
        "topic",
        "_chapters",
    }


def test_a_page_has_one_topic_and_exists() -> None:
    pages = [page for topic in TOPICS.values() for page in topic.pages]
    assert len(pages) == len(set(pages))
    names = {each.name for each in get_resolver().url_patterns if isinstance(each, URLPattern)}
    assert set(pages) <= names


def test_pictures_are_there_small_and_no_others() -> None:
    wanted = {f"{topic.key}.png" for topic in TOPICS.values() if topic.picture is not None}
    found = {path.name: path.stat().st_size for path in PICTURES.glob("*")}
    assert set(found) == wanted
    assert max(found.values()) < LARGEST_BYTES


@pytest.mark.parametrize("key", TOPICS)
def test_a_topic_opens_for_whoever_is_signed_in(ada: Client, cast: Any, key: str) -> None:
    for user in (cast.ada, cast.ben):
        page = signed_in(user).get(reverse("help_topic", args=[key])).content.decode()
        assert TOPICS[key].title in html.unescape(page)
    assert 'href=""' not in page


def test_of_no_topic_nothing_is_said(ada: Client) -> None:
    assert ada.get("/help/nothing/").status_code == 404


def test_help_leads_from_a_page_to_its_topic_and_else_to_all(ada: Client) -> None:
    assert '<a class="helplink" href="/help/boats/">Help</a>' in ada.get("/boats/").content.decode()
    assert '<a class="helplink" href="/help/">Help</a>' in ada.get(reverse("more")).content.decode()
    assert BY_PAGE["boats"] == "boats"


def test_limits_are_those_of_the_planner_in_the_yards_own_degrees(ada: Client) -> None:
    """50 F is 10 C exactly; the values stand with their sources in weather/limits.py."""
    numbers = reverse("help_topic", args=["numbers"])
    YardSettings.objects.update(units=YardSettings.Units.METRES)
    assert "10 °C to 32 °C" in ada.get(numbers).content.decode()
    YardSettings.objects.update(units=YardSettings.Units.FEET)
    page = ada.get(numbers).content.decode()
    assert "50 °F to 90 °F" in page
    assert "12, 15" in page


def test_help_asks_the_database_for_the_reader_alone(ada: Client, django_assert_max_num_queries: Any) -> None:
    ada.get(reverse("help"))
    with django_assert_max_num_queries(5):
        ada.get(reverse("help_topic", args=["numbers"]))
