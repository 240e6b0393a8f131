"""Worked examples of tide arithmetic from handbooks and courses, with their sources.

"CALC" is the value worked out with the formula of the cosine method for this table, where the source rounds
or reads a diagram. "from memory" is the compiler's memory of a source that was not at hand.
"""

from typing import Final

# 1. Rule of twelfths: low 2 m, high 14 m, three hours on. Source: liquisearch, "rule of twelfths".
TWELFTHS: Final = {"low_m": 2.0, "high_m": 14.0, "share": 0.5, "height_m": 8.0}

# 2. NOAA Tide Tables, Table 3 method (from memory): 05:22 0.1 ft, 11:14 4.2 ft, at 07:55 1.7 ft; CALC 1.73.
TABLE_3: Final = {"low": ("05:22", 0.1), "high": ("11:14", 4.2), "at": "07:55", "ft": 1.7, "calc_ft": 1.73}

# 3. Canadian Hydrographic Service example as told on SailNet: 03:27 2.2 ft, 11:41 11.4 ft, at 07:00 5.8 ft; CALC 5.81.
CANADIAN: Final = {"low": ("03:27", 2.2), "high": ("11:41", 11.4), "at": "07:00", "ft": 5.8, "calc_ft": 5.81}

# 4. Secondary port, corvidia.net: +35 min at high water 00 and 12 h, +23 min at 06 and 18 h; springs 4.2 m +1.1,
#    neaps 3.4 m +0.8. High water 06:38 4.2 m gives CALC 07:02, 5.3 m.
SECONDARY: Final = {
    "by_minute": ((0, 35), (360, 23), (720, 35), (1080, 23)),
    "by_height": ((4.2, 1.1), (3.4, 0.8)),
    "high": ("06:38", 4.2),
    "answer": ("07:02", 5.3),
}

# 5. Window over a bar, Scribd document 545839918: charted 28.2 m, draft 27.2 m, clearance 2.3 m, so 1.3 m of tide;
#    15:09 0.4 m, 21:47 2.5 m, 04:06 0.7 m. The source reads 18:07 to 01:37 off a curve; CALC 18:10 to 01:37.
BAR: Final = {
    "charted_m": 28.2,
    "draft_m": 27.2,
    "clearance_m": 2.3,
    "needed_m": 1.3,
    "waters": ((15 * 60 + 9, 0.4), (21 * 60 + 47, 2.5), (28 * 60 + 6, 0.7)),
    "calc": (18 * 60 + 10, 25 * 60 + 37),
    "source": (18 * 60 + 7, 25 * 60 + 37),
}

# 6. fantasie19 sailing notes, 2011: draft 2.0 m, depth 4.0 m at height 2.6 m; low water 0.8 m leaves 0.2 m
#    under the keel.
ANCHORED: Final = {"draft_m": 2.0, "depth_m": 4.0, "height_m": 2.6, "low_m": 0.8, "under_keel_m": 0.2}

# 7. tidalstreams.net: drying height 5.4 m, draft 1.0 m: the ground is dry at 5.4 m, she refloats at 6.4 m.
DRYING: Final = {"drying_m": 5.4, "draft_m": 1.0, "refloats_m": 6.4}
