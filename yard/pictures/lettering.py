"""How wide words are, where to cut them, and how days and times are written.

The widths are those of Liberation Sans, read from its own table (hmtx); it is made to the widths of
Arial and Helvetica. They are in thousandths of the size. Other faces on readers' machines may be some
percent wider (DejaVu most of all), so room is measured with a little to spare, and bars clip their words.
"""

from __future__ import annotations

from datetime import date, time

from yard.day_names import clock_said, said
from yard.speech import _
from yard.speech import number as said_number

SPARE = 1.08  # chosen by eye on the screens, not measured against every face
_WIDTHS: dict[str, int] = {
    **dict.fromkeys("'", 191),
    **dict.fromkeys("ijl", 222),
    **dict.fromkeys(" .,:;/·ftI", 278),
    **dict.fromkeys("()-r", 333),
    **dict.fromkeys("ckszvxyJ", 500),
    **dict.fromkeys("abdeghnopqu0123456789?L–", 556),
    **dict.fromkeys("+−", 584),
    **dict.fromkeys("FTZ", 611),
    **dict.fromkeys("ABEKPSVXY", 667),
    **dict.fromkeys("wCDHNRU", 722),
    **dict.fromkeys("GOQ", 778),
    **dict.fromkeys("mM", 833),
    "%": 889,
    "W": 944,
    **dict.fromkeys("…→←", 1000),
}
_OTHER = 600  # a letter not in the table: a little more than most
_BOLD = 1.08  # of the regular face (Helvetica-Bold lower case is 0 to 10 % wider, from memory)
_ITALIC = 0.92  # of the upright sans: the book faces run narrower (from memory, by eye on the screens)


def text_width(text: str, size: float, *, bold: bool = False, name: bool = False) -> float:
    """Width to allow for the words at this size, in the same unit as the size.

    name: a boat's name, set in the narrower italics of the book face.
    """
    em = sum(_WIDTHS.get(letter, _OTHER) for letter in text) / 1000
    return em * size * SPARE * (_BOLD if bold else 1.0) * (_ITALIC if name else 1.0)


def cut(text: str, size: float, room: float, *, bold: bool = False, name: bool = False) -> str:
    """The words if they fit the room, else as many letters as fit and an ellipsis, else nothing."""
    if text_width(text, size, bold=bold, name=name) <= room:
        return text
    for end in range(len(text) - 1, 0, -1):
        shorter = text[:end].rstrip(" ,·") + "…"
        if text_width(shorter, size, bold=bold, name=name) <= room:
            return shorter
    return ""


def clock(minute: int) -> str:
    """A minute of the day as an hour of the clock; the evening before and the night after wrap round."""
    return clock_said(*divmod(minute % 1440, 60))


def whole_hour(minute: int) -> str:
    """The same of a full hour, as an axis has it: 06."""
    return said(time(minute // 60 % 24), "H")


def day_month(day: date) -> str:
    """3 May"""
    return said(day, "j M")


def weekday_day_month(day: date) -> str:
    """Fri 14 May"""
    return said(day, "D j M")


def height_text(height: float) -> str:
    """One decimal, a true minus sign, never minus nought."""
    rounded = round(height, 1) + 0.0
    return said_number(rounded, 1).replace("-", "−")


def days_span(first: date, last: date) -> str:
    """Fri 14 May to Sun 16 May"""
    return _("{first} to {last}").format(first=weekday_day_month(first), last=weekday_day_month(last))


def clock_span(starts_min: int, ends_min: int) -> str:
    """07:30 to 11:45"""
    return _("{first} to {last}").format(first=clock(starts_min), last=clock(ends_min))
