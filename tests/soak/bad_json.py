"""JSON documents as they should not be: a good one, changed in one to four places, the same for the same number."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable
from typing import Any

Tree = Any
"""What json.loads gives."""

HUGE = [2**31, 2**63 - 1, 2**63, 2**64, -(2**63) - 1, 10**18, 10**30, 1e308, -1, 0, 1, 62, 63, 1_000_000]
WRONG_TYPES = [
    None,
    True,
    False,
    0,
    -1,
    1.5,
    "",
    "x",
    "1",
    [],
    [[]],
    {},
    {"key": "x"},
    [None],
    [1, 2, 3, 4],
    ["1", "2"],
]
TEXTS = [
    "",
    " ",
    "\x00",
    "\ud800",
    "\u202e",
    "x" * 100_000,
    "é" * 300,
    "2027-02-30T00:00:00Z",
    "NaN",
    "../..",
    "$",
    "null",
]
RAW = [
    "NaN",
    "Infinity",
    "-Infinity",
    "1e999",
    "-1e999",
    "9" * 5_000,
    "0x10",
    "01",
    "+1",
    "'x'",
    '"\\ud800"',
    '"\\x"',
    "undefined",
]
MARK = "\x01here\x01"
"""Stands in the tree where raw text is put in, which json.dumps would not write."""


def bad_json(number: int, good: Tree) -> tuple[str, bytes]:
    """What was done to the document, and the document."""
    chance = random.Random(number)
    if number % 8 == 7:
        damage = chance.choice(DAMAGES_OF_TEXT)
        return damage.__name__.strip("_"), damage(chance, json.dumps(good).encode())
    tree, done = copy.deepcopy(good), []
    raw = ""
    for _ in range(chance.choice([1, 1, 1, 2, 4])):
        places = all_places(tree)
        if not places:
            break
        holder, key = chance.choice(places)
        change = chance.choice(CHANGES)
        if change is _raw:
            raw = chance.choice(RAW)
        change(chance, holder, key)
        done.append(f"{change.__name__.strip('_')} at {key!r}")
    text = json.dumps(tree, ensure_ascii=chance.random() < 0.5)
    return ", ".join(done), text.replace(json.dumps(MARK), raw).encode("utf-8", "surrogatepass")


def all_places(tree: Tree) -> list[tuple[Any, Any]]:
    """Every holder with each of its keys. A long list of numbers counts as three."""
    found: list[tuple[Any, Any]] = []
    waiting = [tree]
    while waiting:
        holder = waiting.pop()
        keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
        if isinstance(holder, list) and len(keys) > 6 and not isinstance(holder[0], dict | list):
            keys = [0, 1, keys[-1]]
        for key in keys:
            found.append((holder, key))
            if isinstance(holder[key], dict | list):
                waiting.append(holder[key])
    return found


def _wrong_type(chance: random.Random, holder: Any, key: Any) -> None:
    holder[key] = copy.deepcopy(chance.choice(WRONG_TYPES))


def _huge_number(chance: random.Random, holder: Any, key: Any) -> None:
    holder[key] = chance.choice(HUGE) * chance.choice([1, 1, -1])


def _near_number(chance: random.Random, holder: Any, key: Any) -> None:
    """Off by little, so that it still names something, or just nothing."""
    value = holder[key]
    holder[key] = value + chance.choice([-15, -2, -1, 1, 2, 15]) if type(value) in (int, float) else 1


def _odd_text(chance: random.Random, holder: Any, key: Any) -> None:
    holder[key] = chance.choice(TEXTS)


def _missing(chance: random.Random, holder: Any, key: Any) -> None:
    del holder[key]


def _more_keys(chance: random.Random, holder: Any, key: Any) -> None:
    if isinstance(holder, dict):
        holder[chance.choice(["__class__", "", "unknown", "keys", key + "s"])] = holder[key]
    else:
        holder.append(holder[key])


def _twice(chance: random.Random, holder: Any, key: Any) -> None:
    if isinstance(holder[key], list) and holder[key]:
        holder[key] = holder[key] * chance.choice([2, 40])


def _turned_round(chance: random.Random, holder: Any, key: Any) -> None:
    if isinstance(holder[key], list):
        holder[key] = holder[key][::-1]


def _emptied(chance: random.Random, holder: Any, key: Any) -> None:
    value = holder[key]
    holder[key] = type(value)() if isinstance(value, dict | list | str) else None


def _another_places_value(chance: random.Random, holder: Any, key: Any) -> None:
    other = chance.choice(list(holder) if isinstance(holder, dict) else list(range(len(holder))))
    holder[key] = copy.deepcopy(holder[other])


def _nested_deep(chance: random.Random, holder: Any, key: Any) -> None:
    deep: Any = holder[key]
    for _ in range(chance.choice([3, 200])):
        deep = [deep]
    holder[key] = deep


def _raw(chance: random.Random, holder: Any, key: Any) -> None:
    holder[key] = MARK


CHANGES: list[Callable[[random.Random, Any, Any], None]] = [
    _wrong_type,
    _huge_number,
    _huge_number,
    _near_number,
    _near_number,
    _odd_text,
    _missing,
    _more_keys,
    _twice,
    _turned_round,
    _emptied,
    _another_places_value,
    _another_places_value,
    _nested_deep,
    _raw,
]


def _cut_short(chance: random.Random, data: bytes) -> bytes:
    return data[: chance.randrange(len(data))]


def _bytes_changed(chance: random.Random, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.randint(1, 10)):
        changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def _in_other_letters(chance: random.Random, data: bytes) -> bytes:
    return data.decode().encode(chance.choice(["utf-16", "utf-32", "utf-8-sig", "cp037"]))


def _brackets(chance: random.Random, data: bytes) -> bytes:
    return chance.choice([b"[", b'{"jobs":', b'{"a":[']) * chance.choice([500, 100_000])


def _something_after_it(chance: random.Random, data: bytes) -> bytes:
    return data + chance.choice([b"}", b"\x00", data[:50], b"\n\n//", b" " * 100_000])


def _something_else(chance: random.Random, data: bytes) -> bytes:
    return chance.choice([b"", b" ", b"null", b"3", b'"text"', b"[]", b"{}", b"PK\x03\x04", chance.randbytes(400)])


DAMAGES_OF_TEXT: list[Callable[[random.Random, bytes], bytes]] = [
    _cut_short,
    _bytes_changed,
    _in_other_letters,
    _brackets,
    _something_after_it,
    _something_else,
]
