"""Tides as a table that people read in a terminal: the station's local time, metres and feet.

The yard's pages have words and units of their own in yard/web; these lines serve the command line alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from yard.speech import _, pgettext
from yard.tides.source import TideEvent, TideSource, TideWindow

FOOT_M = 0.3048


def printed_events(source: TideSource, events: Sequence[TideEvent]) -> str:
    """One line for each high and low water."""
    lines = [f"{_local(source, e.at)}  {_height(e.height_m)}  {_kind(e)}" for e in events]
    return _page(source, lines, _("no high or low water in these days"))


def printed_heights(source: TideSource, times: Sequence[datetime], heights_m: Sequence[float]) -> str:
    """One line for each time."""
    lines = [f"{_local(source, at)}  {_height(height)}" for at, height in zip(times, heights_m, strict=True)]
    return _page(source, lines, _("no heights"))


def printed_windows(source: TideSource, windows: Sequence[TideWindow], level_m: float, below: bool) -> str:
    """One line for each window; what is cut at either end of the days asked for says so."""
    lines = [_window(source, window) for window in windows]
    never = (
        _("the water is never below {height} in these days")
        if below
        else _("the water is never at or above {height} in these days")
    )
    return _page(source, lines, never.format(height=_height(level_m).strip()))


def _window(source: TideSource, window: TideWindow) -> str:
    minutes = window.duration.total_seconds() / 60
    cut = [
        *([_("already so when these days begin")] if window.opens_before else []),
        *([_("still so when they end")] if window.closes_after else []),
    ]
    hours = f"{int(minutes // 60):2d} h {int(minutes % 60):02d} min"
    return "  ".join([_local(source, window.starts_at), _("to"), _local(source, window.ends_at), hours, *cut])


def _page(source: TideSource, lines: Sequence[str], if_none: str) -> str:
    head = _("{source}: heights above {datum}, local time ({zone})").format(
        source=source.name, datum=source.datum, zone=source.zone
    )
    return "\n".join([head, *(lines or [if_none]), *source.warnings])


def _kind(event: TideEvent) -> str:
    return pgettext("tide", "high") if event.kind == "high" else pgettext("tide", "low")


def _local(source: TideSource, at: datetime) -> str:
    return f"{at.astimezone(ZoneInfo(source.zone)):%a %Y-%m-%d %H:%M %Z}"


def _height(height_m: float) -> str:
    return f"{height_m:6.2f} m {height_m / FOOT_M:6.1f} ft"
