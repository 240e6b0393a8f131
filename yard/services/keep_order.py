"""What is said of an order as a whole: the owner's dates, who goes first, notes, the price said, who walked in.

Its jobs, options and state are other services' business (change_order, change_order_jobs).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_noop

from yard.models import Order
from yard.services.keeping import Keeper, Words
from yard.services.order_package import why_closed


def _while_it_is_open(row: Order, values: Mapping[str, Any]) -> Words:
    words = why_closed(row)
    return {"": (words,)} if words else {}


ORDER = Keeper(
    Order,
    (
        "earliest_date",
        "wanted_date",
        "latest_date",
        "promised_date",
        "goes_first",
        "notes",
        "price_said",
        "walk_in_name",
        "walk_in_phone",
        "bag_tag",
    ),
    words={
        "earliest_date": gettext_noop("not before"),
        "wanted_date": gettext_noop("wanted by"),
        "latest_date": gettext_noop("at the latest"),
        "promised_date": gettext_noop("promised"),
        "walk_in_name": gettext_noop("name"),
        "walk_in_phone": gettext_noop("telephone"),
    },
    wrong_with=_while_it_is_open,
)
