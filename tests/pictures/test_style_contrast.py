"""The colours of the stylesheet, recomputed by WCAG 2.2: text needs 4.5 to 1, marks and controls 3 to 1.

Relative luminance and contrast ratio: W3C, WCAG 2.2, definitions "relative luminance" and "contrast ratio"
(https://www.w3.org/TR/WCAG22/#dfn-relative-luminance).
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

SHEETS = Path(__file__).resolve().parents[2] / "yard" / "static" / "yard"
TOKENS = (SHEETS / "tokens.css").read_text(encoding="utf-8")
TEXT, MARK = 4.5, 3.0


def _colours(css: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{3,6})\b", css))


LIGHT = _colours(TOKENS.split("@media")[0])
DARK = LIGHT | _colours(TOKENS.split("@media", 1)[1])
THEMES = {"light": LIGHT, "dark": DARK}


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    parts = [int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_measure_itself():
    """Black on white is 21 to 1 by definition; #767676 on white is the well-known 4.54."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


# token, ground, least ratio, measured when the colours were chosen (light, dark)
PAIRS = [
    ("ink", "sheet", TEXT, 16.2, 13.8),
    ("ink", "cloth", TEXT, 14.8, 15.3),
    ("ink", "water", TEXT, 12.6, 9.5),
    ("ink-2", "sheet", TEXT, 7.6, 7.9),
    ("ink-2", "rest", TEXT, 6.5, 8.4),
    ("rule-2", "sheet", MARK, 3.7, 4.1),
    ("rule-2", "cloth", MARK, 3.4, 4.6),
    ("hatch", "sheet", MARK, 3.1, 3.3),
    ("link", "sheet", TEXT, 8.4, 9.1),
    ("act-ink", "act", TEXT, 10.6, 11.9),
    ("yard-ink", "yard", TEXT, 11.7, 8.7),
    ("yard-edge", "sheet", MARK, 5.5, 6.6),
    ("rig-ink", "rig", TEXT, 7.7, 8.9),
    ("rig-edge", "sheet", MARK, 5.7, 8.9),
    ("loft-ink", "loft", TEXT, 5.2, 5.9),
    ("loft", "sheet", MARK, 5.2, 5.3),
    ("launch-ink", "launch", TEXT, 10.6, 11.9),
    ("launch", "sheet", MARK, 10.6, 11.6),
    ("water-2", "sheet", MARK, 5.7, 7.5),
    ("water-2", "water", MARK, 4.4, 5.1),
    ("late", "sheet", TEXT, 6.5, 8.0),
    ("late", "late-bg", TEXT, 5.7, 7.4),
    ("prop", "sheet", TEXT, 6.2, 8.1),
    ("prop", "prop-bg", TEXT, 5.3, 7.4),
    ("nohand", "rest", TEXT, 5.9, 9.9),
    ("focus", "cloth", MARK, 14.8, 17.9),
    # pairs that the pictures add to the table
    ("ink-2", "water", TEXT, 5.9, 5.4),
    ("ink-2", "cloth", TEXT, 6.9, 8.7),
    ("late", "cloth", TEXT, 6.0, 8.9),
    ("ink", "prop-bg", TEXT, 14.0, 12.8),
]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("token", "ground", "least", "light", "dark"), PAIRS)
def test_contrast(theme, token, ground, least, light, dark):
    """At least what WCAG asks for, and what was measured when the colour was chosen."""
    colours = THEMES[theme]
    measured = contrast(colours[token], colours[ground])
    assert measured >= least
    assert measured == pytest.approx({"light": light, "dark": dark}[theme], abs=0.06)


@pytest.mark.parametrize("theme", THEMES)
def test_trade_groups_differ_in_lightness(theme):
    """Grey paper and any colour vision still tell the four groups apart: 9 or more of L* (CIE 1976) between each."""
    lightness = sorted(
        116 * luminance(THEMES[theme][group]) ** (1 / 3) - 16 for group in ("yard", "rig", "loft", "launch")
    )
    assert all(after - before >= 9 for before, after in pairwise(lightness))


def test_every_colour_is_a_token():
    """No sheet but the tokens and the paper names a colour of its own."""
    for path in SHEETS.glob("*.css"):
        if path.name not in ("tokens.css", "print.css"):
            assert re.findall(r"#[0-9a-fA-F]{3,6}\b(?=[;,\s)])", path.read_text(encoding="utf-8")) == [], path.name


def test_every_token_used_exists():
    names = set(re.findall(r"--([\w-]+):", TOKENS))
    for path in SHEETS.glob("*.css"):
        assert set(re.findall(r"var\(--([\w-]+)\)", path.read_text(encoding="utf-8"))) <= names, path.name
