"""The lists that come in and go out as sheets.

Limits and words are those of the yard's rows; a test holds them against the models. Words for headings are common
practice in yards' own spreadsheets.
"""

from __future__ import annotations

from yard.sheets.lists_of_boats import BOATS, MOORINGS, OWNERS
from yard.sheets.lists_of_places import PEOPLE, PLACES
from yard.sheets.lists_of_work import INVENTORY, ORDERS

LISTS = {one.name: one for one in (OWNERS, BOATS, MOORINGS, PEOPLE, PLACES, ORDERS, INVENTORY)}
"""In the order in which an empty yard brings them in: what others name comes first."""
