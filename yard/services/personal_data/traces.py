"""What tells one owner from all others: every name, number and address ever on file, and how each is written."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

from yard.models import Owner, Person, YardSettings
from yard.services.keep_owner import FEWEST_DIGITS, digits_of, telephones

ERASED = "(erased)"
LEAST_OF_A_HINT = 3
LEAST_OF_AN_ADDRESS = 6
"""Letters of an address that tell anything."""


@dataclass(frozen=True)
class Traces:
    """names: of two words and more, which are looked for everywhere; short_names: of one word, which may as well be a
    boat's and are looked for by a person. refs: whole values alone. shared: what another owner on file has as well.
    """

    names: frozenset[str]
    short_names: frozenset[str]
    emails: frozenset[str]
    phones: frozenset[str]
    addresses: frozenset[str]
    refs: frozenset[str]
    shared: frozenset[str] = frozenset()

    @cached_property
    def pattern(self) -> re.Pattern[str] | None:
        """Any of them, as people and programs write it; None where nothing is known that could be looked for."""
        ways = [
            *(way for name in self.names for way in _name_ways(name)),
            *(rf"(?<![\w.+-]){re.escape(email)}(?!\w)" for email in self.emails),
            *(rf"(?<!\d)\+?{_digits_way(phone)}(?!\d)" for phone in self.phones),
            *(rf"(?<!\w){_words_way(each)}(?!\w)" for address in self.addresses for each in _written(address)),
        ]
        return re.compile("|".join(sorted(ways, key=len, reverse=True)), re.IGNORECASE) if ways else None

    @property
    def hints(self) -> Traces:
        """Surnames, names of one word and what is shared: they may mean her, or somebody or something else."""
        words = {name.split()[-1] for name in self.names if len(name.split()[-1]) >= LEAST_OF_A_HINT}
        nothing: frozenset[str] = frozenset()
        return Traces(frozenset(words) | self.short_names | self.shared, nothing, nothing, nothing, nothing, nothing)

    def in_text(self, text: str) -> bool:
        return text in self.refs or (self.pattern is not None and self.pattern.search(text) is not None)

    def in_value(self, value: Any) -> bool:
        """In a text, or anywhere in what a JSON column holds."""
        return any(self.in_text(text) for text in _texts(value))

    def taken_out(self, value: Any) -> Any:
        """The same value with ERASED in their place."""
        match value:
            case str():
                if value in self.refs:
                    return ERASED
                return self.pattern.sub(ERASED, value) if self.pattern is not None else value
            case list():
                return [self.taken_out(each) for each in value]
            case dict():
                return {self.taken_out(key): self.taken_out(each) for key, each in value.items()}
        return value


def traces_of(owners: Iterable[Owner]) -> Traces:
    """Of one person, who may be on file more than once; what these rows held before counts as well.

    A number that is also the yard's own, or somebody's who works here, means neither her nor anybody else on file.
    """
    own = list(owners)
    keys = [owner.pk for owner in own]
    versions: list[Any] = [*own, *Owner.history.filter(id__in=keys)]
    others = Owner.objects.exclude(pk__in=keys)
    taken = {part for other in others for part in _parts(other)}
    found = {part for version in versions for part in _parts(version)} - _of_the_yard()
    of = {kind: frozenset(text for each, text in found - taken if each == kind) for kind in KINDS}
    return Traces(
        names=frozenset(name for name in of["name"] if len(name.split()) > 1),
        short_names=frozenset(name for name in of["name"] if len(name.split()) == 1),
        emails=of["email"],
        phones=of["phone"],
        addresses=of["address"],
        refs=of["ref"],
        shared=frozenset(text for _, text in found & taken),
    )


def _of_the_yard() -> set[tuple[str, str]]:
    numbers = [*YardSettings.objects.values_list("phone", flat=True), *Person.objects.values_list("phone", flat=True)]
    return {("phone", digits_of(number)) for number in numbers if number}


KINDS = ("name", "email", "phone", "address", "ref")


def _parts(owner: Any) -> Iterable[tuple[str, str]]:
    """What one row of an owner, or of its history, tells by: kind and text, written in one way."""
    if name := " ".join(owner.name.split()).lower():
        yield "name", name
    if owner.email:
        yield "email", owner.email.lower()
    for line in telephones(owner):
        if len(digits := digits_of(line.number)) >= FEWEST_DIGITS:
            yield "phone", digits
    lines = [" ".join(line.split()).lower() for line in owner.address.splitlines() if line.strip()]
    whole = " ".join(lines)
    if len(whole) >= LEAST_OF_AN_ADDRESS:
        yield "address", whole
    # The first line with a number is the house; the town's line is half the yard's.
    house = next((line for line in lines if any(letter.isdigit() for letter in line)), "")
    if len(house) >= LEAST_OF_AN_ADDRESS and house != whole:
        yield "address", house
    if owner.ref:
        yield "ref", owner.ref


def _name_ways(name: str) -> Iterable[str]:
    """Ann Hale; Hale, Ann; and each as a page and as JSON escape it."""
    *first, last = name.split()
    for said in (name, f"{last}, {' '.join(first)}"):
        for each in _written(said):
            yield rf"(?<!\w){_words_way(each)}(?!\w)"


def _written(text: str) -> set[str]:
    return {text, escape(text), json.dumps(text)[1:-1]}


def _words_way(text: str) -> str:
    """Whatever stands between its words: blanks, the end of a line, a comma."""
    gap = r"(?:[\s,;]|\\n|\\r|<br ?/?>)+"
    return gap.join(re.escape(word.rstrip(",;")) for word in text.split())


def _digits_way(digits: str) -> str:
    return r"[\s()./-]{0,3}".join(digits)


def _texts(value: Any) -> Iterable[str]:
    match value:
        case str():
            yield value
        case list():
            for each in value:
                yield from _texts(each)
        case dict():
            for key, each in value.items():
                yield str(key)
                yield from _texts(each)
