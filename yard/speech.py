"""What the pure rooms say to people, through gettext: they call `_` here, and the web's side lends them its catalogues.

Alone (a planner from the command line, a test of one room) they speak English, the language the sentences are written
in. A sentence with gaps is written whole, `_("{boat} waits for {what}.").format(boat=..., what=...)`, so that another
language may order it anew; names at the top of a module are marked by `gettext_noop`, and said by `_` where they are
used.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from gettext import GNUTranslations, NullTranslations


def _as_written(message: str) -> str:
    return message


def _one_or_many(singular: str, plural: str, number: int) -> str:
    return singular if number == 1 else plural


def _of_its_kind(context: str, message: str) -> str:
    return message


def _with_a_point(number: float, digits: int) -> str:
    return f"{number:.{digits}f}"


@dataclass(frozen=True, slots=True)
class Tongue:
    """What another process needs to speak alike. catalogues: paths of files (.mo), the nearest first."""

    catalogues: tuple[str, ...] = ()
    decimal_sign: str = "."


ENGLISH = Tongue()


@dataclass
class _Voice:
    gettext: Callable[[str], str] = _as_written
    ngettext: Callable[[str, str, int], str] = _one_or_many
    pgettext: Callable[[str, str], str] = _of_its_kind
    number: Callable[[float, int], str] = _with_a_point
    tongue: Tongue = ENGLISH


_voice = _Voice()


def speak_by(
    gettext: Callable[[str], str],
    ngettext: Callable[[str, str, int], str],
    pgettext: Callable[[str, str], str],
    number: Callable[[float, int], str],
    tongue: Tongue = ENGLISH,
) -> None:
    """From now on sentences are looked up by these; `number(value, digits)` writes a decimal number as people do."""
    _voice.gettext, _voice.ngettext, _voice.pgettext, _voice.number = gettext, ngettext, pgettext, number
    _voice.tongue = tongue


def tongue() -> Tongue:
    """What a process without Django is given, for `speak_as`."""
    return _voice.tongue


def speak_as(tongue: Tongue) -> None:
    """From now on sentences are looked up in these catalogues, without Django: what the process before this one had."""
    found = NullTranslations()
    for path in reversed(tongue.catalogues):
        with open(path, "rb") as file:
            nearer = GNUTranslations(file)
        nearer.add_fallback(found)
        found = nearer

    def written(value: float, digits: int) -> str:
        return _with_a_point(value, digits).replace(".", tongue.decimal_sign)

    speak_by(found.gettext, found.ngettext, found.pgettext, written, tongue)


def _(message: str) -> str:
    """The sentence in the yard's language."""
    return _voice.gettext(message)


def ngettext(singular: str, plural: str, number: int) -> str:
    """The sentence for that many, by the language's own rule."""
    return _voice.ngettext(singular, plural, number)


def pgettext(context: str, message: str) -> str:
    """The sentence where the same English word has two meanings; `context` says which."""
    return _voice.pgettext(context, message)


def number(value: float, digits: int) -> str:
    """`value` with so many digits behind the language's decimal sign."""
    return _voice.number(value, digits)


def short_number(value: float) -> str:
    """`value` with as many digits as it has, six at most."""
    return number(value, len(f"{value:g}".partition(".")[2]))


def whole(value: float) -> str:
    """`value` without decimals. Thousands are parted by a comma where the decimal sign is a point, as in 10,340, and
    not at all elsewhere: 10.340 in a field would be read back as ten."""
    return f"{value:,.0f}" if number(0.5, 1) == "0.5" else number(value, 0)


def gettext_noop(message: str) -> str:
    """Marks a name at the top of a module for the catalogue; whoever shows it calls `_`."""
    return message
