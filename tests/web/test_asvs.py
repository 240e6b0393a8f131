"""The table beside ASVS 5.0 is whole, and every test that it names is there."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
TABLE = (ROOT / "yard" / "web" / "ASVS.md").read_text(encoding="utf-8")
LEVELS = """
1.1 22 | 1.2 1111122223 | 1.3 112222222223 | 1.4 222 | 1.5 123
2.1 122 | 2.2 112 | 2.3 12223 | 2.4 23
3.1 3 | 3.2 113 | 3.3 12223 | 3.4 11222233 | 3.5 11122333 | 3.6 3 | 3.7 22333
4.1 12233 | 4.2 23333 | 4.3 22 | 4.4 1222
5.1 2 | 5.2 112333 | 5.3 113 | 5.4 222
6.1 122 | 6.2 111111112222 | 6.3 11223333 | 6.4 112233 | 6.5 22222333 | 6.6 2223 | 6.7 33 | 6.8 2222
7.1 222 | 7.2 1111 | 7.3 22 | 7.4 11222 | 7.5 223 | 7.6 22
8.1 1233 | 8.2 1123 | 8.3 133 | 8.4 23
9.1 111 | 9.2 1222
10.1 22 | 10.2 223 | 10.3 22223 | 10.4 1111122222233333 | 10.5 22222 | 10.6 22 | 10.7 222
11.1 2233 | 11.2 22233 | 11.3 11233 | 11.4 1222 | 11.5 23 | 11.6 23 | 11.7 33
12.1 12233 | 12.2 11 | 12.3 22223
13.1 2333 | 13.2 222223 | 13.3 2233 | 13.4 1222233
14.1 22 | 14.2 12223333 | 14.3 122
15.1 12233 | 15.2 12233 | 15.3 1222222 | 15.4 3333
16.1 2 | 16.2 22222 | 16.3 2222 | 16.4 222 | 16.5 2223
17.1 23 | 17.2 22223333 | 17.3 22
"""
"""The level of each requirement by its section, in order, read off the English CSV of ASVS 5.0.0 (OWASP/ASVS, 5.0)."""
STATES = {"yes", "part", "no", "host"}


def asked() -> dict[str, str]:
    """Level by number."""
    parts = [part.split() for part in LEVELS.replace("\n", "|").split("|") if part.strip()]
    return {f"{section}.{at}": level for section, levels in parts for at, level in enumerate(levels, 1)}


def rows() -> Iterator[list[str]]:
    for line in TABLE.partition("## Not asked here")[0].splitlines():
        if re.match(r"\| \d+\.\d+\.\d+ \|", line):
            yield [cell.strip() for cell in line.strip("|").split("|")]


def test_the_levels_are_those_of_the_standard():
    """70, 183 and 92 of 345: the counts of ASVS 5.0.0, as remembered."""
    assert Counter(asked().values()) == {"1": 70, "2": 183, "3": 92}


def test_every_requirement_of_level_1_and_2_stands_in_it_once():
    grouped = TABLE.partition("## Not asked here")[2]
    stands = [row[0] for row in rows()] + re.findall(r"\d+\.\d+\.\d+", grouped)
    assert Counter(stands) == Counter(number for number, level in asked().items() if level in "12")


def test_each_row_says_its_level_its_state_and_where_it_stops_why():
    levels = asked()
    for number, level, _, state, how, shown in rows():
        assert (level, state in STATES) == (levels[number], True), number
        assert how or shown, number
        assert state == "yes" or how, f"{number} does not hold and says not why"


def test_every_test_that_it_names_is_there():
    named = set(re.findall(r"tests/[\w/]+\.py(?:::\w+)?", TABLE))
    assert len(named) > 60
    for name in named:
        path, _, function = name.partition("::")
        tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
        functions = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
        assert function in functions or (not function and any(each.startswith("test_") for each in functions)), name
