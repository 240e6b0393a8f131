"""What the address of the season board asks for; whatever it does not say, or says wrongly, is as usual."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.queries.boat_list import state_words
from yard.queries.season_board import STATES
from yard.web.days.dates import FIRST_YEAR, LAST_YEAR

DAYS_SHOWN = 56
ROWS = ("boats", "places", "people")
VIEWS = ("picture", "table")
LABELS = {
    "boats": _("Boats"),
    "places": _("Places"),
    "people": _("People"),
    "picture": _("Picture"),
    "table": _("Table"),
}


@dataclass(frozen=True)
class Asked:
    """find: letters of a name. state: one of STATES, "" for all. rows: what a row is. first: the first day drawn.

    unfolded: the states of which every row is sent. usual: the first day where the address names none.
    """

    usual: date
    first: date
    find: str = ""
    state: str = ""
    rows: str = "boats"
    view: str = "picture"
    unfolded: frozenset[str] = frozenset()

    @property
    def last(self) -> date:
        """The day after the last one drawn."""
        return self.first + timedelta(days=DAYS_SHOWN)

    def address(self, **changes: Any) -> str:
        """The address that asks for this, with some of it changed; what is as usual is not said."""
        to = replace(self, **changes)
        said = {
            "find": to.find,
            "state": to.state,
            "rows": to.rows if to.rows != "boats" else "",
            "view": to.view if to.view != "picture" else "",
            "from": to.first.isoformat() if to.first != to.usual else "",
            "unfold": sorted(to.unfolded),
        }
        query = urlencode({name: value for name, value in said.items() if value}, doseq=True)
        return reverse("season") + (f"?{query}" if query else "")

    @property
    def earlier(self) -> str:
        return self.address(first=self.first - timedelta(days=7))

    @property
    def later(self) -> str:
        return self.address(first=self.first + timedelta(days=7))

    @property
    def state_words(self) -> str:
        return state_words(self.state)

    @property
    def whole(self) -> str:
        """The address without find and state."""
        return self.address(find="", state="")

    @property
    def row_tabs(self) -> list[tuple[str, str, bool]]:
        """Label, address, and whether it is this one."""
        return [(str(LABELS[rows]), self.address(rows=rows, view="picture"), self._drawn(rows)) for rows in ROWS]

    def _drawn(self, rows: str) -> bool:
        return self.rows == rows and self.view == "picture"

    @property
    def view_tabs(self) -> list[tuple[str, str, bool]]:
        return [(str(LABELS[view]), self.address(view=view), view == self.view) for view in VIEWS]


def read_asked(query: QueryDict, today: date) -> Asked:
    """The usual first day is the Monday of last week."""
    usual = today - timedelta(days=today.weekday() + 7)
    return Asked(
        usual=usual,
        first=_day(query.get("from", ""), usual),
        find=query.get("find", "").strip()[:60],
        state=_one_of(query.get("state", ""), STATES, ""),
        rows=_one_of(query.get("rows", ""), ROWS, "boats"),
        view=_one_of(query.get("view", ""), VIEWS, "picture"),
        unfolded=frozenset(query.getlist("unfold")) & frozenset(STATES),
    )


def _one_of(text: str, known: tuple[str, ...], usual: str) -> str:
    return text if text in known else usual


def _day(text: str, usual: date) -> date:
    """The Monday of the week asked for."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return usual
    return day - timedelta(days=day.weekday()) if FIRST_YEAR < day.year < LAST_YEAR else usual
