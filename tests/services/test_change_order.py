"""An order changed: options on and off, dates, one job's hours, withdrawn and put back; nothing half done."""

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from tests.services.ordering import JANUARY, ordered
from yard.models import Boat, Fact, FactsRevision, Job, JobLink, JobWay, Order, PackageWay, StaleRow
from yard.services.change_order import Sender, put_back, set_dates, set_hours, set_options, withdraw
from yard.services.order_package import OrderDates, OrderRefused

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]


@pytest.fixture
def wren() -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


def sender(order: Order, by: User | None = None) -> Sender:
    return Sender(by, JANUARY, order.version)


def open_keys(order: Order) -> set[str]:
    return set(order.jobs.exclude(state="cancelled").values_list("key", flat=True))


def network(order: Order) -> set[tuple[str, str, int]]:
    links = JobLink.objects.filter(before__order=order, after__order=order)
    return set(links.values_list("before__key", "after__key", "min_wait_min"))


@pytest.mark.parametrize("then", [[], ["second_coat"], ["second_coat", "sea_trial", "check_sails", "take_up"]])
def test_options_changed_give_the_order_that_would_have_been_taken(wren: Boat, then: list[str]) -> None:
    """Whatever was on before: jobs, links and stays are those of an order taken with these options."""
    order = ordered(wren, "spring_commissioning")
    set_options(order, then, sender=sender(order))
    tern = Boat.objects.create(ref="tern", name="Tern", length_m=7.0, beam_m=2.3, draft_m=1.1)
    fresh = ordered(tern, "spring_commissioning", options=then)
    assert open_keys(order) == open_keys(fresh)
    assert network(order) == network(fresh)
    stays = [set(each.stays.values_list("from_job__key", "until_job__key")) for each in (order, fresh)]
    assert stays[0] == stays[1]


def test_an_option_off_and_on_again_brings_her_own_hours_back(wren: Boat) -> None:
    order = ordered(wren, "spring_commissioning", options=["sea_trial"])
    way = JobWay.objects.filter(job__order=order, job__key="sea_trial").first()
    set_hours(way, 240, sender=sender(order))
    for options in ([], ["sea_trial"]):
        order.refresh_from_db()
        set_options(order, options, sender=sender(order))
    way.refresh_from_db()
    assert (way.duration_min, way.job.state) == (240, "open")
    assert order.jobs.filter(key="sea_trial").count() == 1


def test_a_fact_is_not_asked_twice_when_options_change(wren: Boat) -> None:
    order = ordered(wren, "spring_commissioning")
    before = sorted(Fact.objects.values_list("name", flat=True))
    set_options(order, ["second_coat"], sender=sender(order))
    assert sorted(Fact.objects.values_list("name", flat=True)) == before


def test_a_begun_job_keeps_its_option(wren: Boat) -> None:
    order = ordered(wren, "spring_commissioning", options=["sea_trial", "second_coat"])
    order.jobs.filter(key="sea_trial").update(state="started", actual_starts_at=JANUARY)
    with pytest.raises(OrderRefused, match="“Sea trial” is started: its option stays on"):
        set_options(order, [], sender=sender(order))
    assert order.jobs.get(key="second_coat").state == "open"
    assert Order.objects.get().options == ["sea_trial", "second_coat"]


def test_hours_are_hers_alone(wren: Boat, ada: User) -> None:
    order = ordered(wren, "furler")
    way = JobWay.objects.filter(job__order=order).first()
    package = set(PackageWay.objects.values_list("pk", "duration_min"))
    count = FactsRevision.objects.get().count
    set_hours(way, 330, sender=sender(order, ada))
    assert JobWay.objects.get(pk=way.pk).duration_min == 330
    assert set(PackageWay.objects.values_list("pk", "duration_min")) == package
    assert FactsRevision.objects.get().count == count + 1
    written = way.history.first()
    assert (written.duration_min, written.history_user) == (330, ada)


@pytest.mark.parametrize(("minutes", "says"), [(40, "whole number of quarters"), (0, "quarters"), (4005, "in minutes")])
def test_hours_that_cannot_be_are_refused(wren: Boat, minutes: int, says: str) -> None:
    order = ordered(wren, "halyard")
    way = JobWay.objects.filter(job__order=order).first()
    with pytest.raises(OrderRefused, match=says):
        set_hours(way, minutes, sender=sender(order))
    assert JobWay.objects.first().duration_min == 60


def test_a_launch_keeps_the_time_of_its_parts(wren: Boat) -> None:
    order = ordered(wren, "spring_commissioning")
    way = JobWay.objects.filter(job__order=order, job__key="launch").first()
    with pytest.raises(OrderRefused, match="made of parts"):
        set_hours(way, 120, sender=sender(order))


def test_withdrawn_with_a_reason_and_put_back_as_it_was(wren: Boat, ada: User) -> None:
    order = ordered(wren, "spring_commissioning")
    jobs = list(order.jobs.values_list("pk", "state"))
    withdraw(order, reason="she is sold", sender=sender(order, ada))
    assert Order.objects.get().state == "cancelled"
    assert order.history.first().history_change_reason == "withdrawn: she is sold"
    put_back(order, sender=sender(order, ada))
    assert Order.objects.get().state == "open"
    assert list(order.jobs.values_list("pk", "state")) == jobs
    reasons = list(order.history.order_by("history_id").values_list("history_change_reason", flat=True))
    assert reasons == ["ordered: Spring commissioning", "withdrawn: she is sold", "put back"]


def test_what_is_refused_of_a_withdrawal(wren: Boat) -> None:
    order = ordered(wren, "halyard")
    with pytest.raises(OrderRefused, match="Say why"):
        withdraw(order, reason="  ", sender=sender(order))
    with pytest.raises(OrderRefused, match="not withdrawn"):
        put_back(order, sender=sender(order))
    Job.objects.update(state="started", actual_starts_at=JANUARY)
    with pytest.raises(OrderRefused, match="under way"):
        withdraw(order, reason="rain", sender=sender(order))
    Job.objects.update(state="open")
    withdraw(order, reason="rain", sender=sender(order))
    with pytest.raises(OrderRefused, match="put it back before"):
        set_options(order, [], sender=sender(order))
    assert Order.objects.get().state == "cancelled"


def test_dates_change_or_nothing_does(wren: Boat) -> None:
    order = ordered(wren, "halyard")
    backwards = OrderDates(earliest=date(2027, 6, 2), latest=date(2027, 6, 1))
    with pytest.raises(ValidationError, match="latest date lies before"):
        set_dates(order, backwards, goes_first=1, sender=sender(order))
    assert Order.objects.get().latest_date == date(2027, 5, 28)
    order.refresh_from_db()
    set_dates(order, OrderDates(promised=date(2027, 6, 4)), goes_first=3, sender=sender(order))
    row = Order.objects.get()
    assert (row.promised_date, row.wanted_date, row.goes_first) == (date(2027, 6, 4), None, 3)


def test_of_two_people_the_second_is_told(wren: Boat) -> None:
    order = ordered(wren, "halyard")
    seen = sender(order)
    set_dates(order, OrderDates(promised=date(2027, 6, 4)), goes_first=1, sender=seen)
    stale = Order.objects.get()
    for act in (
        lambda: set_dates(stale, OrderDates(), goes_first=2, sender=seen),
        lambda: withdraw(Order.objects.get(), reason="sold", sender=seen),
        lambda: set_hours(JobWay.objects.first(), 120, sender=seen),
    ):
        with pytest.raises(StaleRow):
            act()
    row = Order.objects.get()
    assert (row.promised_date, row.state, JobWay.objects.first().duration_min) == (date(2027, 6, 4), "open", 60)
