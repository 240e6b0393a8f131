"""What is particular to an owner on file, and to whose boat is whose."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import BoatOwner, Owner
from yard.services.keeping import Keeper, Words

FEWEST_DIGITS = 7
"""Of a telephone number with its area (common practice: no numbering plan has shorter numbers that a yard would dial
from another town)."""
MOST_DIGITS = 15
"""With the country's code: ITU-T E.164, section 6.2.1, as remembered."""

OWNER_FIELDS = ("name", "phone", "other_phones", "email", "address", "language", "prefers", "notes")
OWNERSHIP_FIELDS = ("starts_on", "ends_on", "told_first", "insurance_expires_on")


@dataclass(frozen=True, slots=True)
class Telephone:
    """A number as it was written, and whose it is or when it is answered, "" where nobody said."""

    number: str
    whose: str


_NUMBER_FIRST = re.compile(r"(?P<number>[+\d(][\d\s()./+-]*\d)\s*[,:;–-]?\s*(?P<whose>.*)")


def telephones(owner: Owner) -> tuple[Telephone, ...]:
    """Every number of an owner, the first one first."""
    first = (Telephone(owner.phone, ""),) if owner.phone else ()
    return (*first, *(read_line(line) for line in owner.other_phones.splitlines() if line.strip()))


def read_line(line: str) -> Telephone:
    """ "401 555 0142, at work" in its two parts; the number may stand behind the words as well."""
    found = _NUMBER_FIRST.fullmatch(line.strip())
    if found is not None:
        return Telephone(found["number"].strip(), found["whose"].strip())
    behind = re.fullmatch(r"(?P<whose>[^\d+(]+)[,:;\s](?P<number>[+\d(][\d\s()./+-]*\d)", line.strip())
    if behind is not None:
        return Telephone(behind["number"].strip(), behind["whose"].strip(" ,:;"))
    return Telephone(line.strip(), "")


def digits_of(number: str) -> str:
    return "".join(letter for letter in number if letter.isascii() and letter.isdigit())


def _wrong_with(owner: Owner, values: Mapping[str, Any]) -> Words:
    wrong: dict[str, tuple[str, ...]] = {}
    if not owner.name.strip():
        wrong["name"] = (_("Give a name, or what the yard calls this owner."),)
    if owner.phone and (words := _wrong_with_number(owner.phone)):
        wrong["phone"] = (words,)
    others = (read_line(line).number for line in owner.other_phones.splitlines() if line.strip())
    if lines := tuple(words for number in others if (words := _wrong_with_number(number))):
        wrong["other_phones"] = lines
    return wrong


def _wrong_with_number(number: str) -> str:
    count = len(digits_of(number))
    if count == 0:
        return _("“{number}” has no digits: write the number first, then whose it is.").format(number=number)
    if count < FEWEST_DIGITS:
        return _("“{number}” has {n} digits: is the area code, or a digit, missing?").format(number=number, n=count)
    return (
        _("“{number}” has {n} digits: are these two numbers?").format(number=number, n=count)
        if count > MOST_DIGITS
        else ""
    )


def _keeps_open(owner: Owner) -> str:
    names = owner.ownerships.filter(ends_on=None, boat__archived=False).values_list("boat__name", flat=True)
    boats = ", ".join(names.order_by("boat__name", "boat_id"))
    return _("Still owner of {boats}: sell her, or end the share, first.").format(boats=boats) if boats else ""


def _shut(owner: Owner) -> str:
    if owner.merged_into is None:
        return ""
    return _("Found to be the same as {owner}: take the merge back on that page.").format(owner=owner.merged_into.name)


OWNER = Keeper(
    Owner,
    OWNER_FIELDS,
    words={"prefers": gettext_noop("is reached by")},
    made_of_name="ref",
    wrong_with=_wrong_with,
    keeps_open=_keeps_open,
    shut=_shut,
)
OWNERSHIP = Keeper(
    BoatOwner,
    OWNERSHIP_FIELDS,
    words={
        "starts_on": gettext_noop("owner from"),
        "ends_on": gettext_noop("owner until"),
        "told_first": gettext_noop("called first"),
        "insurance_expires_on": gettext_noop("insured until"),
    },
)
