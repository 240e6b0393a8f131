"""Lengths, masses, areas and angles as people write them: 28'6", 28 ft 6 in, 8.7 m, 8,7 m, 28.5 ft, 3 1/2 t."""

from __future__ import annotations

import math
import re

from yard.sheets.columns import CellRefused, Column, Kind
from yard.speech import _, gettext_noop, short_number

FOOT_M = 0.3048  # the international foot, exact since 1959
INCH_M = FOOT_M / 12
POUND_KG = 0.45359237  # the international pound, exact since 1959

UNITS: dict[Kind, dict[str, float]] = {
    Kind.LENGTH: {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": FOOT_M, "in": INCH_M},
    # The short ton of 2,000 lb and the long ton of 2,240 lb both go by "ton": only the tonne is taken.
    Kind.MASS: {"kg": 1.0, "t": 1000.0, "lb": POUND_KG},
    Kind.AREA: {"m2": 1.0, "ft2": FOOT_M**2},
}
NAMES = {
    "m": ("m", "metre", "metres", "meter", "meters", "mtr", "mtrs"),
    "cm": ("cm", "centimetres", "centimeters"),
    "mm": ("mm", "millimetres", "millimeters"),
    "ft": ("ft", "feet", "foot", "'"),
    "in": ("in", "ins", "inch", "inches", '"'),
    "kg": ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"),
    "t": ("t", "tonne", "tonnes"),
    "lb": ("lb", "lbs", "pound", "pounds"),
    "m2": ("m2", "sq m", "sqm", "m²", "square metres", "square meters"),
    "ft2": ("ft2", "sq ft", "sqft", "ft²", "square feet"),
}
UNIT_OF = {name: unit for unit, names in NAMES.items() for name in names}

_MARKS = str.maketrans(
    {**dict.fromkeys("′’‘´`", "'"), **dict.fromkeys("″”“", '"'), **dict.fromkeys("−–", "-")}
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4"}
)
_NUMBER = r"(?:\d{1,15}(?:[.,]\d{1,15})?|\.\d{1,15}|\d{1,3}(?:,\d{3}){1,4}(?:\.\d{1,15})?)"
_FEET_INCHES = re.compile(
    rf"(?P<sign>-?)(?P<ft>\d{{1,6}}) ?(?:'|ft\.?|feet|foot)[ -]*(?P<in>{_NUMBER})?"
    r"(?:(?(in)[ -]+)(?P<over>\d{1,2})/(?P<under>\d{1,2}))? ?(?:\"|''|in\.?|ins|inch|inches)?"
)
_FRACTION = re.compile(rf"(?P<whole>{_NUMBER})?[ -]*(?P<over>\d{{1,2}})/(?P<under>\d{{1,2}})(?P<unit> ?[^\d]*)")
_PLAIN = re.compile(rf"(?P<number>-?{_NUMBER})(?: ?(?P<unit>[^\d.,\s][^\d]*|[mf]t?2|sq ?[mf]t?))?")


def number(text: str) -> float:
    """A number with a point or a comma; commas before each three figures part thousands.

    Raises CellRefused for anything else.
    """
    plain = text.strip().translate(_MARKS).replace(" ", "")
    if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", plain):
        plain = plain.replace(",", "")
    elif re.fullmatch(r"[+-]?\d+,\d+", plain):
        plain = plain.replace(",", ".")
    try:
        value = float(plain) if len(plain) <= 40 and re.fullmatch(r"[+-]?[\d.]+(e[+-]?\d{1,3})?", plain, re.I) else None
    except ValueError:
        value = None
    if value is None or not math.isfinite(value):
        raise CellRefused(_("this is not a number"), _("write it in figures, as 8.7"))
    return value


def measure(text: str, column: Column, bare: str) -> float:
    """A length in metres, a mass in kilograms, an area in square metres. Raises CellRefused.

    bare: the unit of a number that says none, or "" where nobody has said it.
    """
    said = text.strip().lower().translate(_MARKS)
    said = re.sub(r"\s+", " ", said)
    units = UNITS[column.kind]
    if column.kind is Kind.LENGTH and (feet := _feet_and_inches(said)) is not None:
        return feet
    if found := _FRACTION.fullmatch(said):
        value = _with_fraction(found["whole"], found["over"], found["under"])
        name = found["unit"]
    elif found := _PLAIN.fullmatch(said):
        value, name = number(found["number"]), found["unit"] or ""
    elif re.fullmatch(r"[+-]?[\d.]+e[+-]?\d{1,3}", said):
        value, name = number(said), ""
    else:
        raise CellRefused(_("this is not a measure"), _("write it as {example}").format(example=_example(column)))
    return value * units[_unit(name.strip(" ."), column, bare)]


def _unit(name: str, column: Column, bare: str) -> str:
    units = UNITS[column.kind]
    if not name:
        if bare in units:
            return bare
        raise CellRefused(
            _("the number has no unit"),
            _("choose the unit of this column under “Columns”, or write {example}").format(example=_example(column)),
        )
    unit = UNIT_OF.get(name, "")
    if unit not in units:
        raise CellRefused(
            _("“{name}” is not a unit for this").format(name=name), _("use {units}").format(units=", ".join(units))
        )
    return unit


def _feet_and_inches(said: str) -> float | None:
    found = _FEET_INCHES.fullmatch(said)
    if found is None or not (found["in"] or found["over"]):
        return None
    inches = _with_fraction(found["in"], found["over"], found["under"]) if found["over"] else number(found["in"])
    if inches >= 12:
        raise CellRefused(
            _("{inches} inches are more than a foot").format(inches=short_number(inches)),
            _("write feet and the inches left over, as 28'6\""),
        )
    length = int(found["ft"]) * FOOT_M + inches * INCH_M
    return -length if found["sign"] else length


def _with_fraction(whole: str | None, over: str, under: str) -> float:
    if int(under) == 0:
        raise CellRefused(_("a fraction over nothing"), _("write it in figures, as 8.5"))
    return (number(whole) if whole else 0.0) + int(over) / int(under)


def _example(column: Column) -> str:
    return _(EXAMPLES[column.kind])


EXAMPLES = {
    Kind.LENGTH: gettext_noop("28'6\", 28.5 ft or 8.7 m"),
    Kind.MASS: gettext_noop("3200 kg, 3.2 t or 7000 lb"),
    Kind.AREA: gettext_noop("24 m2 or 260 ft2"),
}

_DEGREES = re.compile(
    r"(?P<sign>[-+]?)(?P<deg>\d{1,3}(?:[.,]\d+)?) ?°? ?(?:(?P<min>\d{1,2}(?:[.,]\d+)?) ?' ?)?"
    r"(?:(?P<sec>\d{1,2}(?:[.,]\d+)?) ?(?:\"|'') ?)?(?P<side>[nsewo]?)"
)


def angle(text: str, column: Column) -> float:
    """Degrees of latitude or longitude: 40.15, -74.7, 40°09.2' N. South and west are negative."""
    found = _DEGREES.fullmatch(re.sub(r"\s+", " ", text.strip().lower().translate(_MARKS)))
    if found is None:
        raise CellRefused(_("this is not a position"), _("write degrees, as 40.1533 or 40°09.2' N"))
    minutes, seconds = number(found["min"] or "0"), number(found["sec"] or "0")
    sides = "ns" if column.key == "latitude" else "ewo"
    if found["side"] and found["side"] not in sides:
        raise CellRefused(
            _("“{side}” is the wrong side for this column").format(side=found["side"].upper()),
            _("look whether two are swapped"),
        )
    if minutes >= 60 or seconds >= 60:
        raise CellRefused(_("60 minutes or more in a degree"), _("write degrees, as 40.1533 or 40°09.2' N"))
    value = number(found["deg"]) + minutes / 60 + seconds / 3600
    return -value if found["sign"] == "-" or found["side"] in ("s", "w") else value
