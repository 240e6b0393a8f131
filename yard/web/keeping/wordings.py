"""What the page of a kept row asks, whole: another language may not put a noun into one sentence after the other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True, slots=True)
class Wording:
    """archive, bring_back: empty where such rows are not put away."""

    add: StrOrPromise
    archive: StrOrPromise = ""
    bring_back: StrOrPromise = ""


WORDINGS: Mapping[str, Wording] = {
    "boat": Wording(_("Add a boat"), _("Archive this boat"), _("Bring this boat back")),
    "interval": Wording(_("Add an interval"), _("Archive this interval"), _("Bring this interval back")),
    "material": Wording(_("Add a material"), _("Archive this material"), _("Bring this material back")),
    "mooring": Wording(_("Add a mooring"), _("Archive this mooring"), _("Bring this mooring back")),
    "option": Wording(_("Add an option"), _("Archive this option"), _("Bring this option back")),
    "order": Wording(_("Add an order")),
    "owner": Wording(_("Add an owner"), _("Archive this owner"), _("Bring this owner back")),
    "panel": Wording(_("Add a panel")),
    "part": Wording(_("Add a part")),
    "person": Wording(_("Add a person"), _("Archive this person"), _("Bring this person back")),
    "piece": Wording(_("Add a piece"), _("Archive this piece"), _("Bring this piece back")),
    "piece of gear": Wording(
        _("Add a piece of gear"), _("Archive this piece of gear"), _("Bring this piece of gear back")
    ),
    "place": Wording(_("Add a place"), _("Archive this place"), _("Bring this place back")),
    "roll or sheets": Wording(
        _("Add a roll or sheets"), _("Archive this roll or sheets"), _("Bring this roll or sheets back")
    ),
    "season": Wording(_("Add a season")),
    "share": Wording(_("Add a share")),
    "sheet": Wording(_("Add a sheet"), _("Archive this sheet"), _("Bring this sheet back")),
    "supplier": Wording(_("Add a supplier"), _("Archive this supplier"), _("Bring this supplier back")),
    "thing": Wording(_("Add a thing"), _("Archive this thing"), _("Bring this thing back")),
}
"""By what a Desk calls a row."""
