"""What a field of a row is called where its own name, without the unit, is a good name for it."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

NAMES: Mapping[str, str] = {
    "address": gettext_noop("address"),
    "bag_tag": gettext_noop("bag tag"),
    "base_price": gettext_noop("base price"),
    "beam_m": gettext_noop("beam"),
    "boat": gettext_noop("boat"),
    "bottom": gettext_noop("bottom"),
    "brings": gettext_noop("brings"),
    "cautions": gettext_noop("cautions"),
    "chain_spread_m": gettext_noop("chain spread"),
    "condition": gettext_noop("condition"),
    "contractor": gettext_noop("contractor"),
    "covers": gettext_noop("covers"),
    "design": gettext_noop("design"),
    "displacement_kg": gettext_noop("displacement"),
    "draft_m": gettext_noop("draft"),
    "email": gettext_noop("email"),
    "excludes": gettext_noop("excludes"),
    "exposure": gettext_noop("exposure"),
    "goes_first": gettext_noop("goes first"),
    "grain": gettext_noop("grain"),
    "group": gettext_noop("group"),
    "hours": gettext_noop("hours"),
    "in_a_storm": gettext_noop("in a storm"),
    "inspected_on": gettext_noop("inspected"),
    "key": gettext_noop("key"),
    "kind": gettext_noop("kind"),
    "kinds": gettext_noop("kinds"),
    "laid_on": gettext_noop("laid"),
    "language": gettext_noop("language"),
    "latitude": gettext_noop("latitude"),
    "length_m": gettext_noop("length"),
    "longitude": gettext_noop("longitude"),
    "material": gettext_noop("material"),
    "materials": gettext_noop("materials"),
    "months": gettext_noop("months"),
    "name": gettext_noop("name"),
    "needs": gettext_noop("needs"),
    "note": gettext_noop("note"),
    "notes": gettext_noop("notes"),
    "on_by_default": gettext_noop("on by default"),
    "other_phones": gettext_noop("other phones"),
    "package": gettext_noop("package"),
    "pendant_m": gettext_noop("pendant"),
    "permit_number": gettext_noop("permit number"),
    "phone": gettext_noop("phone"),
    "place": gettext_noop("place"),
    "planked": gettext_noop("planked"),
    "price": gettext_noop("price"),
    "price_said": gettext_noop("price said"),
    "reached_by": gettext_noop("reached by"),
    "sail_number": gettext_noop("sail number"),
    "season": gettext_noop("season"),
    "sequence": gettext_noop("sequence"),
    "sheets": gettext_noop("sheets"),
    "short_name": gettext_noop("short name"),
    "size": gettext_noop("size"),
    "skills": gettext_noop("skills"),
    "source": gettext_noop("source"),
    "supplier": gettext_noop("supplier"),
    "tackle": gettext_noop("tackle"),
    "tackle_inspected_on": gettext_noop("tackle inspected"),
    "tackle_set_on": gettext_noop("tackle set"),
    "temporary": gettext_noop("temporary"),
    "wind_factor": gettext_noop("wind factor"),
    "wind_limits": gettext_noop("wind limits"),
}


def plain_words(key: str) -> str:
    """A field's own name, without its unit; one that NAMES lacks in English."""
    words = NAMES.get(key)
    return _(words) if words else bare_name(key)


def bare_name(key: str) -> str:
    """ "sail_number" is "sail number", "length_m" is "length"."""
    return key.removesuffix("_m").removesuffix("_kg").removesuffix("_on").replace("_", " ")
