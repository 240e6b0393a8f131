"""The names of the rules of the yard: one name everywhere.

A rule `waits` is posted by `cpsat/waits.py`, checked by `check.CHECKS["waits"]` and tested by
`tests/planning/rules/test_waits.py`; a test walks this table and fails on a gap.
"""

from __future__ import annotations

from yard.speech import gettext_noop

MEANINGS: dict[str, str] = {
    "hours": "People work inside their own hours, away from breaks, leave and holidays.",
    "slides": "A day slides for a tide only so far, so long and so often a week.",
    "double_booking": "Nobody is in two places at once.",
    "crew": "A job has the people it asks for, each with the skill.",
    "alone": "Nobody does alone what must not be done alone.",
    "places": "A unit of a place holds one job at a time.",
    "closed": "A closed place is not used.",
    "charge": "A workboat runs no longer between two charges or fills than it can.",
    "windows": "A stretch of a job lies inside her water, the light, a dry day.",
    "release": "Nothing starts before its date, after its date or in the past.",
    "waits": "A job starts soon enough and late enough after the job before it.",
    "boat": "A boat is in one place.",
    "stays": "A berth, mooring or rack holds one boat a night.",
    "pins": "Started, finished and pinned jobs stay as they are.",
    "complete": "Every job of a boat is planned once, or the whole boat is left out.",
    "span": "A job lasts as long as it takes, and pauses only where it may.",
}

RULES = tuple(MEANINGS)

WINDOWS = (
    gettext_noop("water"),
    gettext_noop("light"),
    gettext_noop("forecast"),
    gettext_noop("closed"),
    gettext_noop("manual"),
    gettext_noop("permit"),
)
"""The usual kinds of `WindowSet.rule`: codes, and what people call a stretch of them (said by `_`)."""
