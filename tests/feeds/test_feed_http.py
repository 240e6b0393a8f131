"""How a calendar is served: to programs without a session, at an address that is a secret."""

from __future__ import annotations

import io
import logging
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import Group, User
from django.core.cache import cache
from django.test import Client

from tests.feeds import raw
from tests.feeds.feed_yard import NOW, FeedYard, Placed, at
from yard.feeds.clients import client_kind
from yard.log_lines import JsonLines
from yard.models import CalendarAddress, Job, YardSettings
from yard.services.facts_revision import bump_facts
from yard.services.feeds import reading
from yard.services.feeds.addresses import AddressRefused, Rights, change_address, hash_of, token_of
from yard.web.calendars.answering import MOST_IN_A_WINDOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def his(feed_yard: FeedYard, make) -> CalendarAddress:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    return make("person", feed_yard.arne)


def titles(body: bytes) -> list[str]:
    return sorted(part.text("SUMMARY") for part in raw.read(body).inside("VEVENT"))


def test_point_17_a_calendar_is_served_as_one(reader: Client, his, path) -> None:
    answer = reader.get(path(his))
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert re.fullmatch(r'"[0-9a-f]{32}"', answer.headers["ETag"])
    assert titles(answer.content) == ["Tune, Wagtail"]


def test_point_17_no_negotiation(reader: Client, his, path) -> None:
    answer = reader.get(path(his), headers={"Accept": "text/html", "Accept-Language": "fr"})
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert not {"accept", "cookie", "accept-language"} & set(answer.headers.get("Vary", "").lower().split(", "))


def test_point_17_head_answers_200_without_a_body(reader: Client, his, path) -> None:
    told, whole = reader.head(path(his)), reader.get(path(his))
    assert (told.status_code, told.content) == (200, b"")
    assert told.headers["ETag"] == whole.headers["ETag"]


@pytest.mark.parametrize("method", ["get", "head"])
def test_point_17_unchanged_is_304_with_three_queries_and_nothing_built(
    reader: Client, his, path, method: str, django_assert_max_num_queries, monkeypatch
) -> None:
    tag = reader.get(path(his)).headers["ETag"]

    def built(*_):
        raise AssertionError("a calendar was put together")

    monkeypatch.setattr("yard.services.feeds.reading.body_of", built)
    monkeypatch.setattr("yard.services.feeds.reading.FETCH_NOTED_EVERY", timedelta(0))  # with the note of the fetch
    with django_assert_max_num_queries(3) as asked:
        answer = getattr(reader, method)(path(his), headers={"If-None-Match": tag})
    assert (answer.status_code, answer.content, answer.headers["ETag"]) == (304, b"", tag)
    assert len(asked.captured_queries) == 3


@pytest.mark.parametrize("told", ["W/{tag}", '"other", {tag}', "*"])
def test_point_17_conditions_as_clients_write_them(reader: Client, his, path, told: str) -> None:
    tag = reader.get(path(his)).headers["ETag"]
    assert reader.get(path(his), headers={"If-None-Match": told.format(tag=tag)}).status_code == 304
    assert reader.get(path(his), headers={"If-None-Match": '"other"'}).status_code == 200


def test_point_17_a_change_changes_the_tag_and_a_new_day_does_not(
    feed_yard: FeedYard, reader: Client, his, path
) -> None:
    tag = reader.get(path(his)).headers["ETag"]
    feed_yard.later(days=1)
    assert reader.get(path(his), headers={"If-None-Match": tag}).status_code == 304
    Job.objects.update(name="Dock tune")
    feed_yard.fact_changed()
    answer = reader.get(path(his), headers={"If-None-Match": tag})
    assert (answer.status_code, titles(answer.content)) == (200, ["Dock tune, Wagtail"])


def test_a_fact_that_changed_a_moment_ago_is_in_the_next_reading(
    feed_yard: FeedYard, reader: Client, his, path
) -> None:
    """No worker has run: whoever reads first brings calendars up to date."""
    tag = reader.get(path(his)).headers["ETag"]
    Job.objects.update(name="Dock tune")
    bump_facts()
    assert titles(reader.get(path(his), headers={"If-None-Match": tag}).content) == ["Dock tune, Wagtail"]


def test_point_05_an_empty_calendar_has_a_placeholder(feed_yard: FeedYard, reader: Client, make, path) -> None:
    body = reader.get(path(make("person", feed_yard.wren))).content
    assert titles(body) == ["Nothing is planned yet"]
    (found,) = raw.read(body).inside("VEVENT")
    assert found.one("DTSTART").value == "20270506"
    assert found.one("TRANSP").value == "TRANSPARENT"


def test_point_03_what_only_says_something_is_another_event_when_it_says_something_else(
    feed_yard: FeedYard, reader: Client, make, path
) -> None:
    """The same event with other words would have to be a revision, and clients would keep the old words."""
    hers = make("person", feed_yard.wren)
    uids = [raw.seen(reader.get(path(hers)).content)[0][0]]
    change_address(hers, "pause", now=NOW)
    uids.append(raw.seen(reader.get(path(hers)).content)[0][0])
    feed_yard.later(days=1)
    uids.append(raw.seen(reader.get(path(hers)).content)[0][0])
    change_address(hers, "withdraw", now=datetime.now(UTC))
    uids.append(raw.seen(reader.get(path(hers)).content)[0][0])
    assert len(set(uids)) == 4


@pytest.mark.parametrize(
    ("kind", "says"), [("tides", "No tides to show"), ("closures", "No closures"), ("deadlines", "No deadlines")]
)
def test_point_05_what_is_empty_says_what_is_missing(
    feed_yard: FeedYard, reader, make, path, kind: str, says: str
) -> None:
    YardSettings.objects.update(tide_station="", latitude=None, longitude=None)
    assert titles(reader.get(path(make(kind))).content) == [says]


def test_while_one_reader_brings_it_up_to_date_the_others_read_what_was_last_told(
    feed_yard: FeedYard, reader: Client, his, path
) -> None:
    tag = reader.get(path(his)).headers["ETag"]
    Job.objects.update(name="Dock tune")
    bump_facts()
    with reading._in_hand:
        assert reader.get(path(his), headers={"If-None-Match": tag}).status_code == 304
    assert titles(reader.get(path(his), headers={"If-None-Match": tag}).content) == ["Dock tune, Wagtail"]


def test_point_06_nothing_that_fails_is_a_page(reader: Client, his, path) -> None:
    letter = "y" if path(his)[-5] == "x" else "x"  # one in 64 tokens ends with either
    for address in ("/calendar/wrong.ics", path(his)[:-5] + f"{letter}.ics"):
        answer = reader.get(address)
        assert answer.status_code == 404
        assert answer.headers.get("Location") is None
    answer = reader.post(path(his))
    assert answer.status_code == 405
    assert not reader.cookies


def test_point_19_a_wrong_token_is_404_without_a_hint(reader: Client, his, path) -> None:
    wrong, other = (reader.get(f"/calendar/{token}.ics") for token in ("A" * 32, path(his)[10:-5]))
    assert wrong.status_code == other.status_code == 404
    assert wrong.content == other.content
    assert "text/plain" in wrong.headers["Content-Type"]
    assert b"Arne" not in wrong.content


def test_point_07_a_withdrawn_calendar_says_so_and_later_is_gone(
    feed_yard: FeedYard, reader: Client, his, path
) -> None:
    address = path(his)
    change_address(his, "withdraw", now=datetime.now(UTC))
    answer = reader.get(address)
    assert (answer.status_code, titles(answer.content)) == (200, ["This calendar has been withdrawn"])
    CalendarAddress.objects.update(withdrawn_at=datetime.now(UTC) - timedelta(days=30))
    answer = reader.get(address)
    assert (answer.status_code, answer.headers["Content-Type"]) == (410, "text/plain; charset=utf-8")


def test_point_19_a_replaced_token_shows_nothing_more(reader: Client, his, path) -> None:
    old = path(his)
    tag = reader.get(old).headers["ETag"]
    fresh = change_address(his, "replace", now=datetime.now(UTC))
    assert path(fresh) != old
    assert titles(reader.get(old, headers={"If-None-Match": tag}).content) == ["This calendar has been withdrawn"]
    assert titles(reader.get(path(fresh)).content) == ["Tune, Wagtail"]


def test_a_paused_calendar_says_so_and_goes_on(reader: Client, his, path) -> None:
    change_address(his, "pause", now=NOW)
    assert titles(reader.get(path(his)).content) == ["This calendar is paused"]
    change_address(his, "resume", now=NOW + timedelta(hours=1))
    assert titles(reader.get(path(his)).content) == ["Tune, Wagtail"]


def test_point_19_private_no_cache_no_cookie_no_redirect(reader: Client, his, path) -> None:
    for address in (path(his), "/calendar/wrong.ics"):
        answer = reader.get(address)
        assert answer.headers["Cache-Control"] == "private, no-cache"
        assert not answer.cookies
        assert answer.status_code in (200, 404)


def test_point_19_a_session_makes_no_difference(reader: Client, his, path, planner: Rights) -> None:
    plain = reader.get(path(his)).content
    reader.force_login(planner.user, "yard.web.access.RoleBackend")
    answer = reader.get(path(his))
    assert answer.content == plain
    assert not answer.cookies


def test_point_19_the_token_has_192_bits_and_ends_in_ics(his, path) -> None:
    assert re.fullmatch(r"/calendar/[A-Za-z0-9_-]{32}\.ics", path(his))


def test_point_19_no_row_tells_the_token(his) -> None:
    token = token_of(his)
    row = CalendarAddress.objects.filter(pk=his.pk).values().get()
    assert token not in repr(row)
    assert row["token_sha256"] == hash_of(token)


def test_point_19_with_another_key_of_the_site_an_address_lives_on_and_cannot_be_shown(
    reader: Client, his, path, settings
) -> None:
    address = path(his)
    settings.SECRET_KEY = "another key"
    assert reader.get(address).status_code == 200
    with pytest.raises(AddressRefused, match="cannot be shown"):
        token_of(his)


def test_point_19_tokens_are_kept_out_of_logs(reader: Client, his, path, settings, monkeypatch) -> None:
    """Through the very handler of the settings, whatever is logged: a wrong token, one that is gone, a failure."""
    from django.utils.module_loading import import_string

    told = settings.LOGGING
    assert told["root"]["handlers"] == ["stderr"]
    assert told["loggers"]["django.server"]["handlers"] == ["stderr"]  # else it writes requests by one of its own
    assert import_string(told["formatters"][told["handlers"]["stderr"]["formatter"]]["()"]) is JsonLines
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(JsonLines())
    root = logging.getLogger("django.request")
    root.addHandler(handler)
    try:
        reader.raise_request_exception = False
        reader.get("/calendar/some-token-mistyped.ics")
        CalendarAddress.objects.update(withdrawn_at=datetime.now(UTC) - timedelta(days=99))
        reader.get(path(his))
        monkeypatch.setattr("yard.web.calendars.answering.find_feed", lambda *_, **__: 1 / 0)
        reader.get(path(his))
    finally:
        root.removeHandler(handler)
    said = out.getvalue()
    assert said.count("/calendar/(hidden)") == 3
    assert "mistyped" not in said
    assert token_of(his) not in said


def test_point_19_the_server_writes_no_list_of_requests() -> None:
    """gunicorn writes one only when told to; the site's command does not tell it."""
    from yard.management.commands.serve import _web

    assert not any("access" in word for word in _web("127.0.0.1", 8000).command)


def test_a_client_that_asks_without_end_is_told_to_wait(reader: Client, his, path) -> None:
    cache.clear()
    answers = [reader.get("/calendar/wrong.ics").status_code for _ in range(MOST_IN_A_WINDOW + 1)]
    assert answers == [404] * MOST_IN_A_WINDOW + [429]
    assert reader.get(path(his)).status_code == 200  # another address is not held up


def test_who_read_it_last_is_noted_by_kind(reader: Client, his, path) -> None:
    reader.get(path(his))
    his.refresh_from_db()
    assert his.last_client == "Thunderbird"
    first = his.last_fetched_at
    reader.get(path(his))
    his.refresh_from_db()
    assert his.last_fetched_at == first  # not again within five minutes
    reader.get(path(his), headers={"User-Agent": "iOS/18.1 (22B83) dataaccessd/1.0"})
    his.refresh_from_db()
    assert (his.last_client, his.last_fetched_at > first) == ("an iPhone or iPad", True)


@pytest.mark.parametrize(
    ("agent", "kind"),
    [
        ("Google-Calendar-Importer", "Google Calendar"),
        ("macOS/15.1 (24B83) dataaccessd/1.0", "a Mac"),
        ("iOS/18.1 (22B83) dataaccessd/1.0", "an iPhone or iPad"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) Safari/604.1", "an iPhone or iPad"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10.15; rv:128.0) Gecko/20100101 Thunderbird/128.4", "Thunderbird"),
        ("Microsoft Office/16.0 (Windows NT 10.0; Microsoft Outlook 16.0)", "Outlook"),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:130.0) Gecko/20100101 Firefox/130.0", "a browser"),
        ("", "another client"),
    ],
)
def test_a_client_is_known_by_its_own_name_before_its_systems(agent: str, kind: str) -> None:
    """Names in the form in which clients write them (from memory)."""
    assert client_kind(agent) == kind


def test_whose_account_is_shut_reads_nothing_more_but_an_owner_does(feed_yard: FeedYard, reader, make, path) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    his, owners = make("person", feed_yard.arne), make("owner", feed_yard.cy)
    User.objects.update(is_active=False)
    assert titles(reader.get(path(his)).content) == ["This calendar has been withdrawn"]
    assert titles(reader.get(path(owners)).content) == ["Tune, Wagtail"]


def test_who_is_planner_no_more_loses_the_whole_yard(feed_yard: FeedYard, reader, make, path, planner: Rights) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    whole, his, late = make("yard"), make("person", feed_yard.arne), make("person", feed_yard.arne, parts=["deadlines"])
    assert titles(reader.get(path(whole)).content) == ["Tune, Wagtail"]
    planner.user.groups.set([Group.objects.get(name="crew")])
    assert titles(reader.get(path(whole)).content) == ["This calendar has been withdrawn"]
    assert titles(reader.get(path(late)).content) == ["This calendar has been withdrawn"]
    assert titles(reader.get(path(his)).content) == ["Tune, Wagtail"]


def test_an_alarm_where_it_was_asked_for(feed_yard: FeedYard, reader, make, path) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    silent = reader.get(path(make("person", feed_yard.arne))).content
    loud = reader.get(path(make("person", feed_yard.arne, alarm_min=30, parts=["closures"]))).content
    assert b"VALARM" not in silent
    assert raw.read(loud).inside("VEVENT")[0].inside("VALARM")[0].one("TRIGGER").value == "-PT30M"


def test_point_18_a_calendar_too_big_is_cut_at_its_far_end_and_says_so(
    feed_yard: FeedYard, reader, make, path, monkeypatch
) -> None:
    monkeypatch.setattr("yard.services.feeds.reading.BODY_BYTES", 6_000)
    job = [feed_yard.job(f"Job {number:02d}") for number in range(20)]
    placed = [Placed(each, at(10, 8 + number / 4), people=[feed_yard.arne]) for number, each in enumerate(job)]
    feed_yard.post(*placed)
    body = reader.get(path(make("person", feed_yard.arne))).content
    found = titles(body)
    assert len(body) < 8_000
    assert "This calendar ends here for now" in found
    assert found[:2] == ["Job 00, Wagtail", "Job 01, Wagtail"]
    assert "Job 19, Wagtail" not in found


def test_a_calendar_of_a_yard_without_settings_is_unknown(db, reader: Client) -> None:
    assert reader.get("/calendar/anything.ics").status_code == 404
