"""Pages of the example yard that no link of the planner's leads to: sign-in, a phone of the crew's, an owner's page by
its address, calendars with what they say, and what is said when something is wrong."""

from __future__ import annotations

import errno
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from html import escape
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from tests.web.made_creek import BACKEND
from tests.web.unsaid import Opened

if TYPE_CHECKING:
    from yard.models import Owner, Telling

PASSWORD = "a heron stands in the reeds"
SAID_IN_CALENDARS = ("SUMMARY", "DESCRIPTION", "LOCATION", "X-WR-CALNAME")


def aside_pages() -> Iterator[Opened]:
    """Each opened once. What is made for them stays in the database."""
    from yard.models import YardSettings

    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    yield from _at_the_door()
    yield from _of_the_crew()
    yield from _of_an_owner(now)
    yield from _calendars(now)
    yield from _when_something_is_wrong()


def _opened(name: str, answer: Any) -> Opened:
    html = answer.headers["Content-Type"].startswith(("text/html", "text/plain"))
    return Opened(
        name, answer.request["PATH_INFO"], "aside", answer.status_code, answer.content.decode() if html else ""
    )


def _account(name: str, role: str) -> User:
    user = User.objects.create_user(name, first_name=name.title(), password=PASSWORD)
    user.groups.add(Group.objects.get(name=role))
    return user


def _signed_in(user: User) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(user, BACKEND)
    return client


def _at_the_door() -> Iterator[Opened]:
    from django_otp.plugins.otp_totp.models import TOTPDevice

    user, client = _account("fern", "planner"), Client()
    right = {"username": "fern", "password": PASSWORD}
    yield _opened("sign_in", client.get("/sign-in/?next=/plans/"))
    yield _opened("sign_in refused", client.post("/sign-in/", right | {"password": "x"}))
    one = _signed_in(user)
    yield _opened("confirm", one.get("/account/confirm/?next=/yard/accounts/"))
    yield _opened("confirm refused", one.post("/account/confirm/", {"password": "x"}))
    one.post("/account/confirm/", {"password": PASSWORD})
    yield _opened("second_factor", one.post("/account/second-factor/begin/", follow=True))
    yield _opened("second_factor refused", one.post("/account/second-factor/", {"code": "x"}))
    TOTPDevice.objects.filter(user=user).delete()
    TOTPDevice.objects.create(user=user, key="31323334353637383930" * 2, confirmed=True)
    client.post("/sign-in/", right)
    yield _opened("sign_in_code", client.get("/sign-in/code/"))
    yield _opened("sign_in_code refused", client.post("/sign-in/code/", {"code": "x"}))
    yield _opened("own_account with a phone", one.get("/account/"))
    codes = _opened("recovery_codes", answer := one.post("/account/second-factor/codes/", follow=True))
    yield replace(codes, text=re.sub("|".join(answer.context["codes"]), "", codes.text))
    yield _opened("change_password refused", one.post("/password/", {"old_password": "x", "new_password1": "y"}))
    yield _opened("signed_out", one.post("/sign-out/", follow=True))
    for _ in range(5):
        locked = Client().post("/sign-in/", {"username": "nobody", "password": "x"})
    yield _opened("locked_out", locked)


def _of_the_crew() -> Iterator[Opened]:
    from yard.models import PlannedPerson

    first = PlannedPerson.objects.filter(person__isnull=False).order_by("planned_job__starts_at")[0]
    planned, who = first.planned_job, first.person
    assert who is not None
    who.user = _account("reed", "crew")
    who.save()
    client = _signed_in(who.user)
    day = timezone.localtime(planned.starts_at).date()
    for name, address in (
        ("season as crew", "/"),
        ("more as crew", "/more/"),
        ("phone_day as crew", f"/today/?day={day}"),
        ("phone_day as crew, all", f"/today/?day={day}&all=1"),
        ("phone_day as crew, today", "/today/"),
        ("day_close as crew", f"/today/close/{day}/"),
        ("boat as crew", f"/boats/{planned.job.order.boat_id}/" if planned.job.order.boat_id else "/boats/"),
        ("own_account as crew", "/account/"),
    ):
        yield _opened(name, client.get(address, follow=True))
    yield _opened("phone_tap refused", client.post("/today/tap/", {"kind": "x"}))
    yield _opened("phone_day without a person", _signed_in(_account("sedge", "crew")).get("/today/"))


def _of_an_owner(now: datetime) -> Iterator[Opened]:
    """Every form of hers, first wrong and then right; then what she reads of it."""
    from yard.services.owner_pages.addresses import open_page, token_of
    from yard.web.owner_pages import door

    today = timezone.localtime(now).date()
    told = _told(now)
    assert told.owner is not None
    _ask_much_of(told, now)
    client, where = Client(), reverse("owner_page", kwargs={"token": token_of(open_page(told.owner, by=None, now=now))})
    page = client.get(where)
    yield _opened("owner_page", page)
    right = {"on": str(today + timedelta(days=12)), "boat": str(told.boat_id), "way": "out"}
    right |= {"from_at": "10:00", "until_at": "11:00", "people": "2", "words": "On the hard, please."}
    for form in re.findall(r"<form method=\"post\".*?</form>", page.content.decode(), flags=re.S):
        fields = dict(re.findall(r'<input type="hidden" name="(key|about)" value="([^"]*)"', form))
        for kind in re.findall(r'name="kind" value="(\w+)"', form):
            yield _opened(f"owner_page refused, {kind}", client.post(where, fields | {"kind": kind, "key": "x"}))
            yield _opened(f"owner_page wrong, {kind}", client.post(where, fields | {"kind": kind, "on": "2020-01-01"}))
            yield _opened(f"owner_page answered, {kind}", client.post(where, fields | right | {"kind": kind}))
    _answer(told.owner, now)
    yield _opened("owner_page with answers", client.get(where))
    yield _opened("answers", _signed_in(_account("plover", "planner")).get("/letters/answers/", follow=True))
    yield _opened("owner_page withdrawn", client.get("/owner/x/"))
    with patch.object(door, "MOST_OF_A_PAGE", 0):
        yield _opened("owner_page too often", client.get(where))


def _told(now: datetime) -> Telling:
    """The first launch of the plan, told to her owner as a day."""
    from yard.models import PlannedJob, Telling

    of_plan = PlannedJob.objects.filter(plan__state="posted", job__water_need="ramp", job__order__boat__isnull=False)
    first = of_plan.order_by("starts_at")[0]
    order, boat, day = first.job.order, first.job.order.boat, timezone.localtime(first.ends_at).date()
    assert boat is not None
    more = {"told_date": day, "reserve_date": day + timedelta(days=2), "how": "email", "said": "Told.", "told_at": now}
    return Telling.objects.create(order=order, boat=boat, owner=boat.owners.all()[0], state="day", **more)


def _ask_much_of(told: Telling, now: datetime) -> None:
    """Facts that are waited for, a thing to bring, a day to wish, an insurance that ran out, winter's question, and a
    workboat that carries owners."""
    from yard.models import BoatOwner, Fact, FactKind, Item, ItemWhereabouts, Order, Place, SameAgain, Season

    job = told.order.jobs.all()[0]
    for kind in (FactKind.APPROVAL, FactKind.PERMIT):
        fact = Fact.objects.create(order=told.order, kind=kind, name="Her papers", state="unknown", set_at=now)
        fact.jobs.add(job)
    cushions = Item.objects.create(boat=told.boat, kind="cushions", name="Cushions")
    ItemWhereabouts.objects.create(item=cushions, kind="owner", since=now)
    Order.objects.create(ref="27-0901", boat=told.boat, name="Varnish", made_at=now).jobs.create(
        kind=job.kind, key="varnish", name="Varnish"
    )
    season = Season.objects.create(name="Spring 2031", starts_on=date(2031, 3, 1), ends_on=date(2031, 7, 1))
    SameAgain.objects.create(order=told.order, season=season, state="asked", asked_at=now)
    BoatOwner.objects.filter(owner=told.owner).update(insurance_expires_on=now.date() - timedelta(days=5))
    Place.objects.create(ref="dory", name="Dory", kind="workboat", seats=5, runs_min=240, charge_min=480)


def _answer(owner: Owner, now: datetime) -> None:
    """A third of what she sent is accepted, a third declined; runs are booked, and not possible."""
    from yard.models import OwnerAnswer, OwnersRun, Place, RunWish

    for number, answer in enumerate(OwnerAnswer.objects.filter(owner=owner)):
        if number % 3:
            answer.state, answer.decided_at, answer.reply = ("accepted", "declined")[number % 3 - 1], now, "So be it."
            answer.save()
    wish = RunWish.objects.filter(owner=owner)[0]
    at = wish.from_at
    run = OwnersRun.objects.create(
        place=Place.objects.get(ref="dory"), leaves_at=at, back_at=at + timedelta(minutes=30), booked_at=now
    )
    said = {"owner": owner, "boat": wish.boat, "name": owner.name, "from_at": at, "until_at": wish.until_at}
    RunWish.objects.create(**said, state="booked", run=run, asked_at=now)
    RunWish.objects.create(**said, state="declined", answer="It blows.", asked_at=now)


def _calendars(now: datetime) -> Iterator[Opened]:
    """Each kind, the yard's with all that it may show: its page, and what its events say, as icalendar reads them."""
    from yard.models import Boat, CalendarAddress, Owner, Person, Place
    from yard.services.feeds.addresses import Rights, Shows, Wish, make_address, token_of

    user = _account("teal", "planner")
    planner, rights = _signed_in(user), Rights(user, plans=True, sees_owners=True)
    subjects = {"person": Person, "boat": Boat, "owner": Owner, "place": Place}
    for kind in CalendarAddress.Kind.values:
        rows = subjects[kind]._default_manager.order_by("-pk") if kind in subjects else [None]
        parts = ("closures", "deadlines", "highs_lows", "ramp", "daylight") if kind == "yard" else ()
        wish = Wish(kind, "Quay", rows[0], Shows(parts, alarm_min=60, draft_m=1.2))
        address = make_address(wish, by=rights, now=now)
        feed = f"/calendar/{token_of(address)}.ics"
        said = Client().get(feed).content
        yield _opened(f"calendar {kind}", planner.get(f"/calendars/{address.pk}/"))
        yield Opened(f"feed {kind}", feed, "aside", 200, _said_in(said))
        yield _opened(f"calendar {kind} refused", planner.post(f"/calendars/{address.pk}/", {"alarm": "x"}))
    planner.post(f"/calendars/{address.pk}/pause/")
    yield _opened("calendar paused", planner.get(f"/calendars/{address.pk}/"))
    yield Opened("feed paused", feed, "aside", 200, _said_in(Client().get(feed).content))
    yield _opened("calendars", planner.get("/calendars/"))
    yield _opened("calendars refused", planner.post("/calendars/", {"name": ""}))
    yield _opened("owner_list", planner.get(f"/calendars/owners/{Owner.objects.first().pk}/"))
    yield _opened("feed unknown", Client().get("/calendar/x.ics"))


def _said_in(feed: bytes) -> str:
    """What people read of a calendar, a paragraph each; events that differ by their numbers alone once."""
    calendar = Calendar.from_ical(feed)
    said = [str(part[name]) for part in (calendar, *calendar.walk()) for name in SAID_IN_CALENDARS if name in part]
    once = {re.sub(r"\d+", "0", text): text for text in said}
    return "".join(f"<p>{escape(text)}</p>" for text in once.values())


def _when_something_is_wrong() -> Iterator[Opened]:
    crew, planner = _signed_in(_account("rush", "crew")), _signed_in(_account("wigeon", "planner"))
    yield _opened("403", crew.get("/yard/accounts/"))
    yield _opened("403 of a form", Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "x"}))
    yield _opened("404", planner.get("/no/such/page/"))
    yield _opened("405", planner.get("/today/tap/"))
    for name, error in (
        ("500", ValueError("ours")),
        ("507", OSError(errno.ENOSPC, "full")),
        ("503", OSError(errno.EROFS, "read only")),
        ("503 of a disk", OSError(errno.EIO, "broken")),
    ):
        with patch("yard.web.views.phone.read_tap", side_effect=error):
            yield _opened(name, crew.post("/today/tap/", {"kind": "finished"}))
