"""A season carried into the next and closed: shown first, whole or not at all, once, and taken back."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.db import transaction

from tests.services.ordering import ordered
from yard.models import (
    Boat,
    ExtraWork,
    Job,
    JobKind,
    JobWork,
    Letter,
    MaterialUsed,
    Order,
    Owner,
    PackageWay,
    Person,
    RepairLine,
    RepairList,
    SameAgain,
    Season,
    SeasonClosed,
    StaleRow,
    YardSettings,
    YearEnd,
)
from yard.queries.seasons import season_for
from yard.services.change_order import Sender, withdraw
from yard.services.happenings import Done, EventRefused, Started
from yard.services.order_package import OrderDates, OrderRefused
from yard.services.record_event import record_event
from yard.services.year_end import (
    Choices,
    YearEndRefused,
    ask_for_end,
    carry,
    carry_out,
    go_on,
    open_again,
    preview_of,
    take_back_end,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]

NOW = datetime(2027, 12, 20, 15, tzinfo=UTC)
TODAY = NOW.date()
LATER = NOW + timedelta(minutes=5)


class Yard:
    """Spring 2027 with one order done, one half done and one not begun; Autumn 2027 and Spring 2028 follow."""

    def __init__(self) -> None:
        YardSettings.objects.create(name="Tallow Creek", time_zone="UTC")
        self.ada, self.ben = (User.objects.create(username=name) for name in ("ada", "ben"))
        self.spring = Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 8, 1))
        self.autumn = Season.objects.create(name="Autumn 2027", starts_on=date(2027, 8, 1), ends_on=date(2028, 1, 1))
        self.next = Season.objects.create(name="Spring 2028", starts_on=date(2028, 1, 1), ends_on=date(2028, 8, 1))
        self.wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
        self.tern = Boat.objects.create(ref="tern", name="Tern", length_m=7.0, beam_m=2.3, draft_m=1.1)
        self.done = self._order(self.wren, "halyard")
        self.half = self._order(self.tern, "furler")
        self.new = self._order(self.wren, "sail_repair")
        _finish(*self.done.jobs.all())
        _finish(self.half.jobs.order_by("sequence")[0])

    def _order(self, boat: Boat, key: str) -> Order:
        order = ordered(boat, key, dates=OrderDates(wanted=date(2027, 5, 14)))
        assert order.season == self.spring
        return order

    def choices(self, *, again: bool = True) -> Choices:
        shown = preview_of(self.spring, today=TODAY)
        return Choices(
            orders=tuple(row.order.pk for row in shown.unfinished),
            repairs=tuple(row.pk for row in shown.repairs),
            again=tuple(row.pk for row in shown.again) if again else (),
            estimates=tuple((row.way.pk, row.way.duration_min, row.suggested_min or 0) for row in shown.estimates),
        )

    def ask(self, choices: Choices | None = None, **more: Any) -> YearEnd:
        given = {"form_key": uuid4(), "by": self.ada, "now": NOW, "real_now": NOW} | more
        return ask_for_end(self.spring, self.choices() if choices is None else choices, **given)

    def end(self, *, again: bool = False) -> YearEnd:
        row = self.ask(self.choices(again=again))
        carry_out(row.pk, clock=lambda: NOW)
        row.refresh_from_db()
        return row

    def states(self) -> dict[str, Any]:
        """Everything that a season's end touches."""
        return {
            "orders": list(Order.objects.order_by("pk").values_list("pk", "season__name", "state")),
            "seasons": list(Season.objects.order_by("pk").values_list("name", "closed_at")),
            "hours": list(PackageWay.objects.order_by("pk").values_list("duration_min", flat=True)),
            "asked": list(SameAgain.objects.values_list("order", "season")),
        }


def _finish(*jobs: Job) -> None:
    for job in jobs:
        job.state, job.worked_min = Job.State.DONE, 60
        job.actual_starts_at = datetime(2027, 5, 3, 9, tzinfo=UTC)
        job.actual_ends_at = datetime(2027, 5, 3, 10, tzinfo=UTC)
        job.save()


@pytest.fixture
def yard() -> Yard:
    return Yard()


def _order(pk: int) -> Order:
    return Order.objects.get(pk=pk)


# ---- shown first


def test_what_would_be_done_is_shown_and_nothing_is_written(yard: Yard) -> None:
    before = yard.states()
    shown = preview_of(yard.spring, today=TODAY)
    assert yard.states() == before
    assert (shown.into, shown.again_into) == (yard.autumn, yard.next)
    assert [order.pk for order in shown.finished] == [yard.done.pk]
    assert {row.order.pk for row in shown.unfinished} == {yard.half.pk, yard.new.pk}
    assert {order.pk for order in shown.again} == {yard.done.pk, yard.half.pk, yard.new.pk}
    assert shown.in_the_way == ()


def test_an_unfinished_order_that_nobody_carries_is_in_the_way(yard: Yard) -> None:
    shown = preview_of(yard.spring, today=TODAY)
    words = [row.words for row in shown.wrong_with(Choices(orders=(yard.half.pk,)))]
    assert len(words) == 1
    assert yard.new.ref in words[0]
    assert "Carry it over, report its work done, or withdraw it." in words[0]


def test_a_job_under_way_a_letter_that_waits_and_a_season_to_come_are_in_the_way(yard: Yard) -> None:
    job = yard.new.jobs.order_by("sequence")[0]
    job.state, job.actual_starts_at = Job.State.STARTED, NOW
    job.save()
    owner = Owner.objects.create(name="Cy")
    tells = [{"order": yard.new.pk, "state": "day", "date": "2027-05-14", "reserve": None}]
    letter = Letter.objects.create(
        owner=owner, state="released", subject="Wren", text="Dear Cy", tells=tells, made_at=NOW, released_at=NOW
    )
    words = [row.words for row in preview_of(yard.spring, today=TODAY).in_the_way]
    assert [job.name in words[0], "Cy" in words[1], len(words)] == [True, True, 2]
    with pytest.raises(YearEndRefused, match="is under way"):
        yard.ask()
    letter.delete()
    assert "begins on 1 January 2028" in preview_of(yard.next, today=TODAY).in_the_way[0].words


def test_an_unfinished_repair_list_goes_on(yard: Yard) -> None:
    repairs = RepairList.objects.create(boat=yard.wren, found_in=yard.done, name="Rig", made_at=NOW)
    kind = JobKind.objects.order_by("pk")[0]
    line = RepairLine.objects.create(repair_list=repairs, words="a worn shackle", kind=kind, minutes=60)
    assert "not finished" in preview_of(yard.spring, today=TODAY).wrong_with(Choices())[-1].words
    row = yard.end()
    assert row.lines.get(kind="repairs").repair_list == repairs
    line.answer = "approved"
    line.save()  # the list is the boat's, and goes on though the season is closed


# ---- done once, whole


def test_everything_is_carried_and_the_season_closed(yard: Yard) -> None:
    row = yard.end(again=True)
    assert row.state == "done"
    assert row.done == row.total == 4
    assert (_order(yard.done.pk).state, _order(yard.done.pk).season) == ("done", yard.spring)
    assert {_order(pk).season for pk in (yard.half.pk, yard.new.pk)} == {yard.autumn}
    copies = Order.objects.filter(copied_from__isnull=False)
    assert {(copy.season, copy.unconfirmed) for copy in copies} == {(yard.next, True)}
    assert copies.count() == 3
    yard.spring.refresh_from_db()
    assert yard.spring.closed_at == NOW
    assert yard.spring.history.latest().history_change_reason == "ended, carried into Autumn 2027"


def test_pressed_twice_is_done_once(yard: Yard) -> None:
    key, choices = uuid4(), yard.choices()
    first = yard.ask(choices, form_key=key)
    assert yard.ask(choices, form_key=key) == first
    carry_out(first.pk, clock=lambda: NOW)
    after = yard.states()
    carry_out(first.pk, clock=lambda: NOW)
    assert yard.ask(choices, form_key=key) == first
    assert yard.states() == after


def test_the_second_of_two_people_is_told(yard: Yard) -> None:
    choices = yard.choices()
    yard.ask(choices)
    with pytest.raises(YearEndRefused, match="ada is ending Spring 2027 already"):
        yard.ask(choices, by=yard.ben)


def test_what_was_settled_since_the_page_was_read_refuses(yard: Yard) -> None:
    choices = yard.choices()
    withdraw(yard.new, reason="sold", sender=Sender(yard.ben, NOW, _order(yard.new.pk).version))
    with pytest.raises(YearEndRefused, match="settled meanwhile"):
        yard.ask(choices)


def test_an_order_taken_meanwhile_takes_everything_back(yard: Yard) -> None:
    row = yard.ask()
    before = yard.states()
    late = ordered(yard.tern, "halyard", dates=OrderDates(wanted=date(2027, 6, 1)))
    carry_out(row.pk, clock=lambda: NOW)
    row.refresh_from_db()
    assert (row.state, late.ref in row.trouble) == ("taken_back", True)
    kept = [each for each in yard.states()["orders"] if each[0] < late.pk]
    assert kept == before["orders"]
    assert Order.objects.filter(pk__gt=late.pk).exclude(state="cancelled").count() == 0
    assert not SameAgain.objects.exists()


def test_killed_halfway_it_goes_on_and_does_nothing_twice(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    row, real = yard.ask(), carry.list_one
    made: list[int] = []

    def killed(order: Order, *args: Any, **more: Any) -> Order:
        if len(made) == 1:
            raise SystemExit
        made.append(order.pk)
        return real(order, *args, **more)

    monkeypatch.setattr(carry, "list_one", killed)
    with pytest.raises(SystemExit):
        carry_out(row.pk, clock=lambda: NOW)
    row.refresh_from_db()
    yard.spring.refresh_from_db()
    assert (row.state, row.lines.count(), yard.spring.closed_at) == ("running", 1, None)
    with pytest.raises(YearEndRefused):  # it gave a sign just now
        go_on(row, real_now=NOW)
    monkeypatch.setattr(carry, "list_one", real)
    go_on(row, real_now=LATER)
    carry_out(row.pk, clock=lambda: LATER)
    row.refresh_from_db()
    assert row.state == "done"
    assert Order.objects.filter(copied_from__isnull=False).count() == 3


def test_a_worker_that_was_slow_leaves_it_to_the_other(yard: Yard) -> None:
    """Claimed by another since: the first one writes nothing more."""
    row = yard.ask()
    YearEnd.objects.filter(pk=row.pk).update(state="running", claim=uuid4())
    before = yard.states()
    carry_out(row.pk, clock=lambda: NOW)
    assert yard.states() == before


def test_learnt_hours_are_new_estimates_and_go_back(yard: Yard) -> None:
    for number in range(3):
        job = ordered(yard.wren, "halyard", dates=OrderDates(wanted=date(2027, 5, 14 + number))).jobs.get()
        _finish(job)
        Job.objects.filter(pk=job.pk).update(worked_min=300)
    way = PackageWay.objects.get(job__package__key="halyard", sequence=0)
    row = yard.end()
    line = row.lines.get(kind="estimate")
    assert (line.way, line.before_min) == (way, way.duration_min)
    assert PackageWay.objects.get(pk=way.pk).duration_min == line.after_min > way.duration_min
    take_back_end(row, why="too early", by=yard.ada, now=LATER, real_now=LATER)
    assert PackageWay.objects.get(pk=way.pk).duration_min == way.duration_min


def test_taken_back_everything_is_as_it_was(yard: Yard) -> None:
    before = yard.states()
    row = yard.end(again=True)
    assert take_back_end(row, why="too early", by=yard.ada, now=LATER, real_now=LATER) == ()
    after = yard.states()
    after["orders"] = [each for each in after["orders"] if each[2] != "cancelled"]
    assert after == before
    with pytest.raises(YearEndRefused, match="took it back already"):
        take_back_end(row, why="again", by=yard.ben, now=LATER, real_now=LATER)


def test_what_was_confirmed_meanwhile_stays_and_is_said(yard: Yard) -> None:
    row = yard.end(again=True)
    copy = Order.objects.filter(copied_from=yard.done).get()
    copy.unconfirmed = False
    copy.save()
    stays = take_back_end(row, why="too early", by=yard.ada, now=LATER, real_now=LATER)
    assert stays == (f"{copy} was confirmed meanwhile and stays.",)
    assert _order(copy.pk).state == "open"


def test_without_a_reason_nothing_is_taken_back(yard: Yard) -> None:
    row = yard.end()
    with pytest.raises(YearEndRefused, match="Say why"):
        take_back_end(row, why=" ", by=yard.ada, now=LATER, real_now=LATER)


# ---- closed


def test_rows_of_a_closed_season_refuse_every_change(yard: Yard) -> None:
    person = Person.objects.create(ref="jo", name="Jo", short_name="Jo")
    job = yard.done.jobs.get()
    work = JobWork.objects.create(job=job, person=person, worked_on=date(2027, 5, 3), worked_min=60)
    yard.end()
    job = Job.objects.get(pk=job.pk)
    for act in (
        job.save,
        job.delete,
        _order(yard.done.pk).save,
        JobWork.objects.get(pk=work.pk).save,
        job.ways.all()[0].save,
        MaterialUsed(job=job, name="Line", quantity=1, used_on=date(2027, 5, 3), noted_at=NOW).save,
        ExtraWork(job=job, what="A block", done_on=date(2027, 5, 3), noted_at=NOW).save,
    ):
        with pytest.raises(SeasonClosed, match="Spring 2027 is closed since 20 December 2027"), transaction.atomic():
            act()
    with pytest.raises(OrderRefused, match="A planner can open it again"):
        withdraw(_order(yard.done.pk), reason="x", sender=Sender(yard.ada, NOW, 1))


def test_an_event_about_a_closed_season_is_refused_in_words(yard: Yard) -> None:
    job = yard.new.jobs.order_by("sequence")[0]
    yard.end()
    order = _order(yard.new.pk)
    Order.objects.filter(pk=order.pk).update(season=yard.spring)
    with pytest.raises(EventRefused, match="is closed"):
        record_event(Done(Job.objects.get(pk=job.pk), NOW), by=yard.ben, now=NOW)


def test_an_order_cannot_leave_a_closed_season(yard: Yard) -> None:
    yard.end()
    order = _order(yard.done.pk)
    order.season = yard.next
    with pytest.raises(SeasonClosed):
        order.save()


def test_hours_of_a_closed_day_stay_though_the_order_went_on(yard: Yard) -> None:
    """The carried order has hours of May: these are the old season's, and hours of January are the new one's."""
    person = Person.objects.create(ref="jo", name="Jo", short_name="Jo")
    job = yard.half.jobs.order_by("sequence")[0]
    work = JobWork.objects.create(job=job, person=person, worked_on=date(2027, 5, 3), worked_min=60)
    yard.end()
    work = JobWork.objects.get(pk=work.pk)
    work.worked_min = 90
    with pytest.raises(SeasonClosed), transaction.atomic():
        work.save()
    job = Job.objects.get(pk=job.pk)
    JobWork.objects.create(job=job, person=person, worked_on=date(2028, 1, 4), worked_min=60)


def test_a_season_closed_early_leaves_its_last_days_to_the_next(yard: Yard) -> None:
    """Autumn closed on 20 December: work of the 22nd on a spring order is written down, an order is of spring."""
    Season.objects.filter(pk=yard.autumn.pk).update(closed_at=NOW)
    person = Person.objects.create(ref="jo", name="Jo", short_name="Jo")
    order = ordered(yard.tern, "halyard", dates=OrderDates(wanted=date(2027, 12, 22)))
    assert order.season == yard.next == season_for(date(2027, 12, 22))
    JobWork.objects.create(job=order.jobs.get(), person=person, worked_on=date(2027, 12, 22), worked_min=60)
    with pytest.raises(SeasonClosed), transaction.atomic():
        JobWork.objects.create(job=order.jobs.get(), person=person, worked_on=date(2027, 12, 19), worked_min=60)


def test_two_seasons_at_once(yard: Yard) -> None:
    """While spring is closed, autumn and next spring are worked on."""
    yard.end()
    for day in (date(2027, 10, 1), date(2028, 4, 1)):
        order = ordered(yard.tern, "halyard", dates=OrderDates(wanted=day))
        record_event(Started(order.jobs.get(), NOW), by=yard.ben, now=NOW)


# ---- opened again


def test_opened_again_with_a_reason(yard: Yard) -> None:
    yard.end()
    season = Season.objects.get(pk=yard.spring.pk)
    with pytest.raises(YearEndRefused, match="Say why"):
        open_again(season, why="", seen_version=season.version, by=yard.ada, now=LATER)
    open_again(season, why="an invoice was wrong", seen_version=season.version, by=yard.ada, now=LATER)
    assert season.history.latest().history_change_reason == "opened again: an invoice was wrong"
    assert season.history.latest().history_user == yard.ada
    _order(yard.done.pk).save()
    with pytest.raises(YearEndRefused, match="open already"):
        open_again(season, why="again", seen_version=season.version, by=yard.ben, now=LATER)


def test_two_who_open_it(yard: Yard) -> None:
    yard.end()
    season = Season.objects.get(pk=yard.spring.pk)
    with pytest.raises(StaleRow):
        open_again(season, why="mine", seen_version=season.version - 1, by=yard.ada, now=LATER)
