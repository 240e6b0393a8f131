"""Usual hours of a week as one cell: Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00.

Days are read in English and in the yard's language, and written in English: a sheet is alike in every language.
"""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise

from yard.sheets.columns import CellRefused
from yard.speech import _
from yard.typed_days import LETTER, weekdays_typed

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
EXAMPLE = "Mon-Fri 07:00-15:30; Sat 08:00-12:00"
_DAYS = re.compile(rf"({LETTER}{{2,16}})\.?(?: ?(?:-|–|to) ?({LETTER}{{2,16}})\.?)?")
_TIMES = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))? ?(?:-|–|to) ?(\d{1,2})(?:[:.h](\d{2}))?")


def week(text: str) -> tuple[str, ...]:
    """One stretch each, in order: "0 07:00 15:30", Monday is 0. Raises CellRefused."""
    found: set[str] = set()
    for part in re.split(r"[;\n]", unicodedata.normalize("NFC", text).lower()):
        if part := part.strip():
            found |= _stretches(part)
    stretches = tuple(sorted(found))
    for before, after in pairwise(stretches):
        if before[0] == after[0] and after[2:7] < before[8:]:
            raise CellRefused(_("two stretches of {day} overlap").format(day=DAYS[int(before[0])]), _write(EXAMPLE))
    return stretches


def _stretches(part: str) -> set[str]:
    head = re.match(rf"{LETTER}(?:{LETTER}|[.,\s–-])*(?=\d)", part)
    if head is None:
        raise CellRefused(_("“{part}” names no days").format(part=part), _write(EXAMPLE))
    days: set[int] = set()
    for words in re.split(r",", head[0].strip(" ,.")):
        days |= _days(words.strip())
    times = [_times(words.strip()) for words in part[head.end() :].split(",")]
    return {f"{day} {starts} {ends}" for day in days for starts, ends in times}


def _days(words: str) -> set[int]:
    found = _DAYS.fullmatch(words)
    if found is None:
        raise CellRefused(_("“{words}” is not a day of the week").format(words=words), _write(EXAMPLE))
    first = _weekday(found[1])
    last = _weekday(found[2]) if found[2] else first
    if last < first:
        raise CellRefused(_("“{words}” runs backwards").format(words=words), _write(EXAMPLE))
    return set(range(first, last + 1))


def _weekday(word: str) -> int:
    if len(found := weekdays_typed(word)) == 1:
        return min(found)
    raise CellRefused(_("“{word}” is not a day of the week").format(word=word), _write(EXAMPLE))


def _times(words: str) -> tuple[str, str]:
    found = _TIMES.fullmatch(words)
    if found is None:
        raise CellRefused(_("“{words}” are not hours").format(words=words), _write(EXAMPLE))
    starts, ends = _clock(found[1], found[2]), _clock(found[3], found[4])
    if ends <= starts:
        raise CellRefused(
            _("{starts} to {ends} ends before it starts").format(starts=starts, ends=ends), _write(EXAMPLE)
        )
    return starts, ends


def _clock(hour: str, minute: str | None) -> str:
    h, m = int(hour), int(minute or 0)
    if h > 23 or m > 59:
        raise CellRefused(_("{clock} is not a time").format(clock=f"{h}:{m:02d}"), _write(EXAMPLE))
    if m % 15:
        raise CellRefused(
            _("{clock} is not on a quarter of an hour").format(clock=f"{h}:{m:02d}"), _("use :00, :15, :30 or :45")
        )
    return f"{h:02d}:{m:02d}"


_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::00)? ?([ap])?\.?m?\.?")


def clock(text: str) -> str:
    """A time of day as 14:30: what people type for it, on a quarter of an hour. Raises CellRefused."""
    found = _CLOCK.fullmatch(text.lower())
    if found is None or (found[3] and not 1 <= int(found[1]) <= 12):
        raise CellRefused(_("“{text}” is not a time of day").format(text=text), _write("12:30"))
    hour = int(found[1])
    if found[3]:
        hour = hour % 12 + (12 if found[3] == "p" else 0)
    return _clock(str(hour), found[2])


def _write(example: str) -> str:
    """The remedy; hours are written alike in every language."""
    return _("write it as {example}").format(example=example)


def week_in_words(stretches: tuple[str, ...]) -> str:
    """The same as one cell, days with the same hours joined; `week` reads it back."""
    of_day = {
        day: tuple(f"{one[2:7]}-{one[8:]}" for one in sorted(stretches) if int(one[0]) == day) for day in range(7)
    }
    parts: list[str] = []
    day = 0
    while day < 7:
        last = day
        while last < 6 and of_day[last + 1] == of_day[day]:
            last += 1
        if of_day[day]:
            days = DAYS[day] if last == day else f"{DAYS[day]}-{DAYS[last]}"
            parts.append(f"{days} {', '.join(of_day[day])}")
        day = last + 1
    return "; ".join(parts)
