"""How kinds of job are kept by the yard: what is written of one, and what cannot be.

Packages name kinds, and an order copies what its kind says of light, water, weather and cautions when it is taken. How
a job lies in time, whether two go, whether she is needed and the parts of a launch are read off the kind itself: a
change of these reaches open jobs too.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import JobKind
from yard.services import keeping
from yard.services.keeping import Keeper, Kept, Refused, Words, Writer
from yard.services.package_edits import free_key


def add_kind(values: Mapping[str, Any], *, writer: Writer) -> Kept[JobKind] | Refused:
    """A new kind. Its key, in addresses and packages, is made of its name and never changes with it."""
    taken = JobKind.objects.values_list("key", flat=True)
    key = free_key(taken, slugify(str(values.get("name", ""))).replace("-", "_") or "kind")
    return keeping.add(KIND, values, writer=writer, key=key)


def _wrong_with(kind: JobKind, values: Mapping[str, Any]) -> Words:
    words: dict[str, tuple[str, ...]] = {}
    if JobKind.objects.filter(name__iexact=kind.name).exclude(pk=kind.pk).exists():
        words["name"] = (_("There is a kind of that name already."),)
    if kind.water_need != "none" and not kind.outdoor:
        words["water_need"] = (_("Work that needs water is out of doors: tick that as well."),)
    if kind.parts and kind.water_need == "none" and any(part.get("water") for part in kind.parts):
        words["parts"] = (_("A part needs water, and the kind needs none: say which water."),)
    if kind.shares_boat and not kind.needs_boat:
        words["shares_boat"] = (_("Others can share her only where the work is done on her."),)
    return words


KIND = Keeper(
    model=JobKind,
    fields=(
        "name",
        "short_name",
        "letter",
        "trade",
        "cautions",
        "outdoor",
        "needs_light",
        "weather_class",
        "water_need",
        "not_alone",
        "needs_boat",
        "shares_boat",
        "pausing",
        "parts",
        "archived",
    ),
    words={
        "letter": gettext_noop("mark"),
        "weather_class": gettext_noop("weather"),
        "water_need": gettext_noop("water"),
        "archived": gettext_noop("not used any more"),
    },
    wrong_with=_wrong_with,
)
