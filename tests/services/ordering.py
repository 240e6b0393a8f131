"""Ordering in short for tests: a spring order made in January unless a test says otherwise."""

from collections.abc import Collection
from datetime import UTC, date, datetime

from django.contrib.auth.models import User

from yard.models import Boat, Order, Package
from yard.services.order_package import OrderDates, Terms, default_options, order_package

JANUARY = datetime(2027, 1, 11, 14, tzinfo=UTC)
USUAL_TERMS = Terms()
SPRING_DATES = OrderDates(earliest=date(2027, 4, 1), wanted=date(2027, 5, 14), latest=date(2027, 5, 28))


def ordered(
    boat: Boat | None,
    key: str,
    *,
    options: Collection[str] | None = None,
    dates: OrderDates = SPRING_DATES,
    by: User | None = None,
    now: datetime = JANUARY,
    terms: Terms = USUAL_TERMS,
) -> Order:
    package = Package.objects.get(key=key)
    chosen = default_options(package, boat) if options is None else options
    return order_package(boat, package, options=chosen, dates=dates, by=by, now=now, terms=terms)
