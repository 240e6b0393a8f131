"""A strict reader of iCalendar bytes, written for the tests from RFC 5545 alone.

It shares nothing with the writer, and refuses what lenient parsers forgive: other line ends, long lines, a character
cut in two, an unknown escape, a repeated or missing property.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

OCTETS = 75  # RFC 5545, 3.1
NAME = re.compile(r"[A-Z0-9-]+")


class Refused(AssertionError):
    """These bytes are not as RFC 5545 wants them."""


@dataclass(frozen=True)
class Property:
    name: str
    params: dict[str, str]
    value: str


@dataclass
class Part:
    """A component: its properties in their order, and the components inside it."""

    name: str
    properties: list[Property] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        return [each for each in self.properties if each.name == name]

    def one(self, name: str) -> Property:
        found = self.all(name)
        if len(found) != 1:
            raise Refused(f"{self.name} has {name} {len(found)} times")
        return found[0]

    def text(self, name: str) -> str:
        return unescaped(self.one(name).value)

    def inside(self, name: str) -> list[Part]:
        return [part for part in self.parts if part.name == name]


def physical_lines(body: bytes) -> list[bytes]:
    """The lines as they lie there, without their CRLF."""
    if not body.endswith(b"\r\n"):
        raise Refused("the last line has no CRLF")
    lines = body[:-2].split(b"\r\n")
    for line in lines:
        if b"\r" in line or b"\n" in line:
            raise Refused(f"a bare CR or LF in {line!r}")
        if len(line) > OCTETS:
            raise Refused(f"{len(line)} octets in {line!r}")
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            raise Refused(f"a character is cut in {line!r}") from error
        if re.search(rb"[\x00-\x08\x0a-\x1f\x7f]", line):
            raise Refused(f"a control character in {line!r}")
    return lines


def logical_lines(body: bytes) -> list[str]:
    found: list[str] = []
    for line in physical_lines(body):
        words = line.decode("utf-8")
        if words.startswith((" ", "\t")):
            found[-1] += words[1:]
        elif not words:
            raise Refused("an empty line")
        else:
            found.append(words)
    return found


def read(body: bytes) -> Part:
    """The one VCALENDAR of these bytes."""
    root = Part("")
    open_parts = [root]
    for line in logical_lines(body):
        found = _property(line)
        if found.name == "BEGIN":
            part = Part(found.value)
            open_parts[-1].parts.append(part)
            open_parts.append(part)
        elif found.name == "END":
            if open_parts.pop().name != found.value:
                raise Refused(f"END:{found.value} closes another part")
        else:
            open_parts[-1].properties.append(found)
    if len(open_parts) != 1 or [part.name for part in root.parts] != ["VCALENDAR"] or root.properties:
        raise Refused("it is not exactly one VCALENDAR")
    return root.parts[0]


def _property(line: str) -> Property:
    quoted, colon = False, -1
    for place, letter in enumerate(line):
        if letter == '"':
            quoted = not quoted
        elif letter == ":" and not quoted:
            colon = place
            break
    if colon < 0:
        raise Refused(f"no colon in {line!r}")
    name, *params = line[:colon].split(";")
    if not NAME.fullmatch(name):
        raise Refused(f"{name!r} is no name of a property")
    pairs = dict(param.split("=", 1) for param in params)
    return Property(name, pairs, line[colon + 1 :])


def unescaped(value: str) -> str:
    """A TEXT value (RFC 5545, 3.3.11): a bare comma, semicolon or backslash is refused."""
    found, place = [], 0
    while place < len(value):
        letter = value[place]
        if letter == "\\":
            follows = value[place + 1 : place + 2]
            if follows not in ("\\", ";", ",", "n", "N"):
                raise Refused(f"\\{follows} is no escape")
            found.append("\n" if follows in "nN" else follows)
            place += 2
            continue
        if letter in ",;":
            raise Refused(f"a bare {letter} in {value!r}")
        found.append(letter)
        place += 1
    return "".join(found)


def moment(found: Property) -> datetime | date:
    """A date, or an instant in UTC. A time without a zone is refused."""
    if found.params.get("VALUE") == "DATE":
        return datetime.strptime(found.value, "%Y%m%d").date()
    if found.value.endswith("Z"):
        return datetime.strptime(found.value, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    if "TZID" not in found.params:
        raise Refused(f"a floating time: {found}")
    local = datetime.strptime(found.value, "%Y%m%dT%H%M%S")
    return local.replace(tzinfo=ZoneInfo(found.params["TZID"])).astimezone(UTC)


Seen = tuple[str, datetime | date, datetime | date, str]
"""UID, start, end (instants in UTC, or days), summary: what every client must read alike."""


def seen(body: bytes) -> list[Seen]:
    calendar = read(body)
    return [
        (event.one("UID").value, moment(event.one("DTSTART")), moment(event.one("DTEND")), event.text("SUMMARY"))
        for event in calendar.inside("VEVENT")
    ]
