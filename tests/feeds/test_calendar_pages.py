"""The page of one's own calendars, a planner's view of all, one event, an owner's list, all feeds as files."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import Group, User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from tests.feeds import raw
from tests.feeds.feed_yard import FeedYard, Placed, at
from yard.models import CalendarAddress, FeedEntry, Person, YardSettings
from yard.services.feeds.addresses import MOST_ADDRESSES, AddressRefused, Rights, Shows, Wish, make_address, token_of

pytestmark = pytest.mark.django_db


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user, "yard.web.access.RoleBackend")
    return client


@pytest.fixture
def ada(planner: Rights) -> Client:
    return signed_in(planner.user)


@pytest.fixture
def ben(feed_yard: FeedYard) -> Client:
    """Of the crew; he is Arne of the plan."""
    user = User.objects.create_user("ben", password=None)
    user.groups.add(Group.objects.get(name="crew"))
    Person.objects.filter(pk=feed_yard.arne.pk).update(user=user)
    return signed_in(user)


def form_of(shows: str, **given: object) -> dict[str, object]:
    return {"shows": shows, "name": "", "draft": "", "alarm": ""} | given


def test_the_crew_makes_a_calendar_with_one_press(feed_yard: FeedYard, ben: Client) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(6, 13), people=[feed_yard.arne], places=[feed_yard.ramp]))
    page = ben.get(reverse("calendars")).content.decode()
    first = page.index("<option")
    assert f'value="person:{feed_yard.arne.pk}"' in page[first : first + 80]  # one's own jobs come first
    answer = ben.post(reverse("calendars"), form_of(f"person:{feed_yard.arne.pk}"), follow=True)
    page, address = answer.content.decode(), CalendarAddress.objects.get()
    token = token_of(address)
    assert f'href="webcal://testserver/calendar/{token}.ics"' in page
    assert f'value="http://testserver/calendar/{token}.ics"' in page
    assert "<svg" in page[page.index("qr") :]
    assert "<b>Tune, Wagtail</b>" in page
    assert "13:00<br>14:00" in page
    assert address.name == "Arne Ash: jobs"


def test_its_page_can_show_the_address_again_to_whoever_made_it_alone(feed_yard, ada: Client, ben: Client) -> None:
    ben.post(reverse("calendars"), form_of(f"person:{feed_yard.arne.pk}"))
    address = CalendarAddress.objects.get()
    page = reverse("calendar", args=[address.pk])
    assert token_of(address) in ben.get(page).content.decode()
    assert ada.get(page).status_code == 404  # a planner withdraws it, and does not read it
    assert token_of(address) not in ada.get(reverse("calendars")).content.decode()


@pytest.mark.parametrize(
    ("shows", "parts"), [("yard", []), ("deadlines", []), ("owner:1", []), ("tides", ["deadlines"])]
)
def test_the_crew_cannot_have_what_is_the_planners(feed_yard: FeedYard, ben: Client, shows: str, parts) -> None:
    answer = ben.post(reverse("calendars"), form_of(shows, parts=parts))
    assert answer.status_code == 422
    assert not CalendarAddress.objects.exists()


def test_rights_are_asked_behind_the_form_too(feed_yard: FeedYard) -> None:
    crew = Rights(User.objects.create_user("x"), plans=False, sees_owners=False)
    for wish in (
        Wish("yard", "a"),
        Wish("owner", "a", feed_yard.cy),
        Wish("tides", "a", shows=Shows(parts=["deadlines"])),
    ):
        with pytest.raises(AddressRefused, match="planner"):
            make_address(wish, by=crew, now=datetime.now(UTC))
    with pytest.raises(AddressRefused, match="Say which person"):
        make_address(Wish("person", "a"), by=crew, now=datetime.now(UTC))


def test_an_account_has_no_end_of_calendars(feed_yard: FeedYard, make) -> None:
    for _ in range(MOST_ADDRESSES):
        make("tides")
    with pytest.raises(AddressRefused, match=f"{MOST_ADDRESSES} calendars already"):
        make("tides")


def test_everything_of_a_wish_is_kept(feed_yard: FeedYard, ada: Client) -> None:
    """4.5 ft are 1.3716 m."""
    given = form_of("yard", name="All", parts=["ramp", "closures"], draft="4.5", alarm="60")
    ada.post(reverse("calendars"), given)
    address = CalendarAddress.objects.get()
    assert (address.kind, address.name, address.parts, address.alarm_min) == ("yard", "All", ["closures", "ramp"], 60)
    assert address.draft_m == pytest.approx(1.3716)
    page = ada.get(reverse("calendar", args=[address.pk])).content.decode()
    assert "closures and holidays, water at the ramp for 4.5 ft" in page


def test_what_a_calendar_shows_is_changed_at_the_same_address(feed_yard: FeedYard, ada: Client, make) -> None:
    address = make("person", feed_yard.arne, parts=["closures"], alarm_min=30)
    page, token = reverse("calendar", args=[address.pk]), token_of(address)
    before = ada.get(page).content.decode()
    assert 'value="closures" id="id_parts_0" checked' in before
    assert '<option value="30" selected>' in before
    ada.post(page, {"parts": ["ramp"], "draft": "4.5", "alarm": ""})
    address.refresh_from_db()
    assert (address.parts, address.alarm_min, token_of(address)) == (["ramp"], None, token)
    assert address.draft_m == pytest.approx(1.3716)  # 4.5 ft
    assert "water at the ramp for 4.5 ft" in ada.get(page).content.decode()
    ada.post(page, {})
    address.refresh_from_db()
    assert (address.parts, address.draft_m) == ([], None)


def test_a_change_that_makes_no_sense_keeps_what_was(feed_yard: FeedYard, ada: Client, make) -> None:
    tides, his = make("tides"), make("person", feed_yard.arne)
    for address, given, says in (
        (tides, {}, "Tick at least one"),
        (his, {"parts": ["ramp"]}, "Say for which draft"),
        (his, {"parts": ["no such part"]}, "not one of the available choices"),
        (his, {"alarm": "7"}, "not one of the available choices"),
    ):
        answer = ada.post(reverse("calendar", args=[address.pk]), given)
        assert answer.status_code == 422, given
        assert says in answer.content.decode()
    tides.refresh_from_db()
    assert tides.parts == ["daylight", "highs_lows"]


def test_a_calendar_of_high_water_alone(feed_yard: FeedYard, ada: Client, make, path) -> None:
    tides = make("tides")
    ada.post(reverse("calendar", args=[tides.pk]), {"parts": ["highs_lows"]})
    found = {summary[:4] for *_, summary in raw.seen(Client().get(path(tides)).content)}
    assert found == {"High", "Low "}
    page = ada.get(reverse("calendar", args=[tides.pk])).content.decode()
    assert re.search(r"<b>(High|Low) water \d+\.\d ft</b>", page)
    assert "Sun " not in page


def test_a_page_whose_maker_may_have_it_no_more_says_so(feed_yard: FeedYard, ada: Client, make, planner) -> None:
    whole = make("yard")
    planner.user.groups.set([Group.objects.get(name="crew")])
    page = signed_in(User.objects.get(pk=planner.user.pk)).get(reverse("calendar", args=[whole.pk])).content.decode()
    assert "may not have this calendar any more" in page


def test_calendars_are_a_press_away(feed_yard: FeedYard, ada: Client, ben: Client) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    for page, shows in (
        (reverse("person", args=[feed_yard.arne.pk]), f"person:{feed_yard.arne.pk}"),
        (reverse("boat", args=[feed_yard.wagtail.pk]), f"boat:{feed_yard.wagtail.pk}"),
    ):
        link = f"{reverse('calendars')}?shows={shows}"
        assert f'href="{link}#new"' in ben.get(page).content.decode()
        assert f'value="{shows}" selected' in ben.get(link).content.decode()
    owner = reverse("owner_list", args=[feed_yard.cy.pk])
    boat = reverse("boat", args=[feed_yard.wagtail.pk])
    assert owner in ada.get(boat).content.decode()
    assert owner not in ben.get(boat).content.decode()
    assert f"?shows=owner:{feed_yard.cy.pk}#new" in ada.get(owner).content.decode()


@pytest.mark.parametrize(("draft", "says"), [("", "Say for which draft"), ("45", "does not float"), ("x", "number")])
def test_water_at_the_ramp_needs_a_draft(feed_yard: FeedYard, ada: Client, draft: str, says: str) -> None:
    answer = ada.post(reverse("calendars"), form_of("tides", parts=["ramp"], draft=draft))
    assert answer.status_code == 422
    assert says in answer.content.decode()


def test_rename_pause_replace_and_withdraw(feed_yard: FeedYard, ada: Client, make) -> None:
    address = make("tides", name="Tides")
    said = [
        ada.post(reverse("calendar_change", args=[address.pk, action]), {"name": name}, follow=True).content.decode()
        for action, name in (("rename", "High water"), ("rename", " "), ("pause", ""), ("resume", ""))
    ]
    for page, words in zip(said, ("has its new name", "needs a name", "It is paused", "It goes on"), strict=True):
        assert words in page
    page = ada.post(reverse("calendar_change", args=[address.pk, "replace"]), follow=True)
    fresh = CalendarAddress.objects.get(withdrawn_at=None)
    assert page.request["PATH_INFO"] == reverse("calendar", args=[fresh.pk])
    assert (fresh.name, fresh.replaces) == ("High water", address)
    ada.post(reverse("calendar_change", args=[fresh.pk, "withdraw"]))
    assert not CalendarAddress.objects.filter(withdrawn_at=None).exists()
    assert ada.post(reverse("calendar_change", args=[fresh.pk, "pause"])).status_code == 404


def test_a_planner_withdraws_anybodys_and_changes_nobodys(feed_yard: FeedYard, ada: Client, ben: Client, make) -> None:
    ben.post(reverse("calendars"), form_of(f"person:{feed_yard.arne.pk}"))
    his, hers = CalendarAddress.objects.get(), make("tides")
    assert "Arne Ash: jobs" in ada.get(reverse("calendars")).content.decode()
    assert "Everybody else" not in ben.get(reverse("calendars")).content.decode()
    assert ada.post(reverse("calendar_change", args=[his.pk, "pause"])).status_code == 404
    assert ben.post(reverse("calendar_change", args=[hers.pk, "withdraw"])).status_code == 404
    ada.post(reverse("calendar_change", args=[his.pk, "withdraw"]))
    his.refresh_from_db()
    hers.refresh_from_db()
    assert his.withdrawn_at is not None
    assert hers.withdrawn_at is None


def test_the_page_asks_as_often_for_many_calendars(feed_yard, ada: Client, make, django_assert_num_queries) -> None:
    make("person", feed_yard.arne)
    with django_assert_num_queries(12):
        ada.get(reverse("calendars"))
    for _ in range(10):
        make("person", feed_yard.wren)
    with django_assert_num_queries(12):
        ada.get(reverse("calendars"))


def test_one_event_as_a_file(feed_yard: FeedYard, ben: Client, ada: Client) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    entry, owners = (FeedEntry.objects.get(part="jobs", owners=owners) for owners in (False, True))
    answer = ben.get(reverse("feed_event", args=[entry.uid]))
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert [(uid, starts) for uid, starts, *_ in raw.seen(answer.content)] == [(str(entry.uid), at(10, 9))]
    deadline = FeedEntry.objects.filter(part="deadlines").first()
    for planners in (owners, deadline):
        assert ben.get(reverse("feed_event", args=[planners.uid])).status_code == 404
        assert ada.get(reverse("feed_event", args=[planners.uid])).status_code == 200


def test_one_job_as_a_file_with_all_its_visits(feed_yard: FeedYard, ben: Client) -> None:
    """Fri 7 May 13:00 to Mon 10 May 10:00, Arne works Monday to Friday 8 to 16."""
    sew, other = feed_yard.job("Sew", kind="sew"), feed_yard.job("Rig")
    feed_yard.post(Placed(sew, at(7, 13), lasts=timedelta(days=2, hours=21), people=[feed_yard.arne]))
    file = reverse("job_events", args=[sew.pk])
    assert file in ben.get(reverse("boat", args=[feed_yard.wagtail.pk])).content.decode()
    spans = sorted((starts, ends) for _, starts, ends, _ in raw.seen(ben.get(file).content))
    assert spans == [(at(7, 13), at(7, 16)), (at(10, 8), at(10, 10))]
    assert ben.get(reverse("job_events", args=[other.pk])).status_code == 404


def test_a_list_on_paper_for_an_owner(feed_yard: FeedYard, ada: Client, ben: Client) -> None:
    launch = feed_yard.job("Launch", kind="launch")
    feed_yard.post(Placed(launch, at(10, 9), people=[feed_yard.arne]), Placed(feed_yard.job("Tune"), at(11, 9)))
    feed_yard.post(Placed(launch, at(10, 9), people=[feed_yard.arne]))
    page = ada.get(reverse("owner_list", args=[feed_yard.cy.pk])).content.decode()
    assert "Launch, Wagtail" in page
    assert "Mon 10 May 2027" in page
    assert "provisional" in page
    assert "the weather, the tide" in page
    assert "<s>Tune, Wagtail</s>" in page
    assert "Arne" not in page
    assert "Nothing is planned" in ada.get(reverse("owner_list", args=[feed_yard.dee.pk])).content.decode()
    assert ben.get(reverse("owner_list", args=[feed_yard.cy.pk])).status_code == 403


def test_every_feed_as_a_file(feed_yard: FeedYard, tmp_path, capsys) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne], places=[feed_yard.ramp]))
    folder = tmp_path / "out"
    call_command("write_feeds", to=folder)
    found = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert set(found) == {
        f"person-{feed_yard.arne.pk}.ics",
        "boat-wagtail.ics",
        "place-ramp.ics",
        f"owner-{feed_yard.cy.pk}.ics",
        "yard.ics",
        "tides.ics",
        "closures.ics",
        "deadlines.ics",
    }
    assert all(raw.read(body).inside("VEVENT") for body in found.values())
    assert "8 calendars" in capsys.readouterr().out
    call_command("write_feeds", to=folder)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == found  # the same to the byte
    assert not CalendarAddress.objects.exists()


def test_a_file_whose_feed_is_empty_now_keeps_no_old_event(feed_yard: FeedYard, tmp_path) -> None:
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9), people=[feed_yard.arne]))
    call_command("write_feeds", to=tmp_path)
    feed_yard.post()
    feed_yard.later(days=16)
    call_command("write_feeds", to=tmp_path)
    his = tmp_path / f"person-{feed_yard.arne.pk}.ics"
    assert [summary for *_, summary in raw.seen(his.read_bytes())] == ["Nothing is planned yet"]
    assert not (tmp_path / f"person-{feed_yard.wren.pk}.ics").exists()


def test_a_folder_that_cannot_be_written_is_named(feed_yard: FeedYard, tmp_path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CommandError, match=r"Cannot write into .*file"):
        call_command("write_feeds", to=tmp_path / "file")


def test_without_a_yard_it_says_what_to_do(db, tmp_path) -> None:
    YardSettings.objects.all().delete()
    with pytest.raises(CommandError, match="no settings yet"):
        call_command("write_feeds", to=tmp_path)
