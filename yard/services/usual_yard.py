"""What a new yard may begin with instead of typing it: the shipped packages with their skills, places, hours."""

from __future__ import annotations

from datetime import time
from pathlib import Path

import msgspec
from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext_noop

from yard.models import Place
from yard.services import keeping
from yard.services.keep_place import PLACE
from yard.services.keeping import Kept, Writer
from yard.services.packages import Loaded, load_packages

PACKAGES = Path(settings.BASE_DIR) / "fixtures" / "packages"
PLACES = Path(settings.BASE_DIR) / "fixtures" / "usual_places.toml"
REASON = gettext_noop("to begin with: common practice")
USUAL_HOURS = {day: ((time(8), time(12, 30)), (time(13), time(16, 30))) for day in range(5)}
"""Monday to Friday (common practice)."""


class UsualPlace(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A place of the file. Only what stands in it is set."""

    name: str
    kind: str
    capacity: int = 1
    outdoor: bool = False
    counted_by_night: bool = False


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    place: tuple[UsualPlace, ...]


def usual_places() -> tuple[UsualPlace, ...]:
    return msgspec.toml.decode(PLACES.read_bytes(), type=_File).place


def bring_in_packages(*, writer: Writer) -> Loaded:
    """Packages, kinds of work and skills that are not here yet; what the yard has stays as it is."""
    return load_packages(PACKAGES, now=writer.now)


def bring_in_places(*, writer: Writer) -> int:
    """Usual places of the kinds that this yard has none of yet, archived ones counted: how many came. All or none."""
    there = set(Place.objects.values_list("kind", flat=True))
    with transaction.atomic():
        for number, place in enumerate(each for each in usual_places() if each.kind not in there):
            values = msgspec.structs.asdict(place) | {"sequence": 10 * (number + 1)}
            outcome = keeping.add(PLACE, values, writer=writer)
            if not isinstance(outcome, Kept):
                raise ValueError(f"{PLACES.name}: {place.name}: {outcome}")
    return sum(place.kind not in there for place in usual_places())
