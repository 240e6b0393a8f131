"""Somebody at the door with a torn sail: one order with its photograph, all or nothing, and once however often sent."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from yard.models import Order, Package
from yard.services.keep_records import about_order, keep_photograph
from yard.services.order_package import OrderDates, Terms, default_options, order_package


@transaction.atomic
def take_walk_in(
    package: Package, dates: OrderDates, terms: Terms, photograph: bytes | None, *, by: User | None, now: datetime
) -> Order:
    """Raises OrderRefused, ValidationError and RecordRefused; nothing is saved then. terms: with its walk_in."""
    options = default_options(package, None)
    order = order_package(None, package, options=options, dates=dates, by=by, now=now, terms=terms)
    if photograph is not None:
        keep_photograph(about_order(order), photograph, caption=terms.notes, by=by, now=now)
    return order
