"""Which rows have a page of their history, who may look at it, and how it is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.urls import reverse

from yard.services.keep_person import SKILL
from yard.services.say_fact import FACT
from yard.web.access import Verb
from yard.web.canvas.forms import MATERIAL_DESK, OPTION_DESK, PANEL_DESK, PIECE_DESK, STOCK_DESK, SUPPLIER_DESK
from yard.web.due.forms import GEAR_DESK, INTERVAL_DESK
from yard.web.keeping.boat import BOAT_DESK
from yard.web.keeping.desk import Desk
from yard.web.keeping.mooring import MOORING_DESK, TACKLE_DESK
from yard.web.keeping.owner import OWNER_DESK, SHARE_DESK
from yard.web.keeping.person import PERSON_DESK
from yard.web.keeping.place import PLACE_DESK
from yard.web.keeping.saying import Sayer
from yard.web.keeping.thing import THING_DESK
from yard.web.kinds.page import kind_sayer
from yard.web.new_boat.forms import OPTION_DESK as OPTION_DESK_OF_SHEETS
from yard.web.new_boat.forms import SHEET_DESK
from yard.web.orders.keep import ORDER_DESK
from yard.web.products.page import product_sayer
from yard.web.seasons.form import SEASON_DESK


@dataclass(frozen=True)
class Kind:
    """Rows of one kind: how they are said, in feet or not, the page that they stand on, and who may look.

    minds: fields that only some may change, by the verb for it; whoever may not leaves them as they are.
    """

    sayer: Callable[[bool], Sayer]
    page: Callable[[Any], str]
    verb: Verb = "view_plan"
    minds: Mapping[str, Verb] = field(default_factory=dict)


def _of(desk: Desk, verb: Verb = "view_plan") -> Kind:
    return Kind(lambda feet: desk.form.sayer(feet=feet), desk.page_of, verb)


def _page_of_fact(row: Any) -> str:
    boat = row.boat_id or (row.order.boat_id if row.order else None)
    return reverse("boat", args=[boat]) if boat else reverse("order", args=[row.order_id])


KINDS: Mapping[str, Kind] = {
    "boat": _of(BOAT_DESK),
    "owner": _of(OWNER_DESK, "see_owners"),
    "share": _of(SHARE_DESK, "see_owners"),
    "mooring": _of(MOORING_DESK),
    "tackle": _of(TACKLE_DESK),
    "person": replace(_of(PERSON_DESK, "edit_facts"), minds={"user": "manage_people"}),  # telephones are the office's
    "skill": Kind(lambda feet: Sayer(SKILL, feet=feet), lambda row: reverse("skills")),
    "place": Kind(lambda feet: PLACE_DESK.form.sayer(feet=feet), lambda row: reverse("places")),
    "thing": Kind(lambda feet: THING_DESK.form.sayer(feet=feet), lambda row: reverse("thing", args=[row.pk])),
    "kind": Kind(lambda feet: kind_sayer(), lambda row: reverse("kind_change", args=[row.pk])),
    "product": Kind(lambda feet: product_sayer(feet=feet), lambda row: reverse("product", args=[row.pk])),
    "order": _of(ORDER_DESK, "see_owners"),
    "fact": Kind(lambda feet: Sayer(FACT, feet=feet), _page_of_fact),
    "season_kept": replace(_of(SEASON_DESK), minds=dict.fromkeys(SEASON_DESK.keeper.fields, "close_season")),
    "option_sheet": _of(SHEET_DESK),
    "sheet_option": _of(OPTION_DESK_OF_SHEETS),
    "supplier": _of(SUPPLIER_DESK),
    "material": _of(MATERIAL_DESK),
    "stock": _of(STOCK_DESK),
    "canvas_option": _of(OPTION_DESK),
    "canvas_piece": _of(PIECE_DESK),
    "canvas_panel": _of(PANEL_DESK),
    "interval": _of(INTERVAL_DESK),
    "gear": _of(GEAR_DESK),
}
