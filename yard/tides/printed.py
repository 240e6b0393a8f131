"""Tides as a table that people read in a terminal: the station's local time, metres and feet.

The yard's pages have words and units of their own in yard/web; these lines serve the command line alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from yard.tides.source import TideEvent, TideSource, TideWindow

FOOT_M = 0.3048


def printed_events(source: TideSource, events: Sequence[TideEvent]) -> str:
    """One line for each high and low water."""
    lines = [f"{_local(source, e.at)}  {_height(e.height_m)}  {e.kind}" for e in events]
    return _page(source, lines, "no high or low water in these days")


def printed_heights(source: TideSource, times: Sequence[datetime], heights_m: Sequence[float]) -> str:
    """One line for each time."""
    lines = [f"{_local(source, at)}  {_height(height)}" for at, height in zip(times, heights_m, strict=True)]
    return _page(source, lines, "no heights")


def printed_windows(source: TideSource, windows: Sequence[TideWindow], level_m: float, below: bool) -> str:
    """One line for each window; what is cut at either end of the days asked for says so."""
    lines = [_window(source, window) for window in windows]
    way = "below" if below else "at or above"
    return _page(source, lines, f"the water is never {way} {_height(level_m).strip()} in these days")


def _window(source: TideSource, window: TideWindow) -> str:
    minutes = window.duration.total_seconds() / 60
    cut = [
        *(["already so when these days begin"] if window.opens_before else []),
        *(["still so when they end"] if window.closes_after else []),
    ]
    hours = f"{int(minutes // 60):2d} h {int(minutes % 60):02d} min"
    return "  ".join([_local(source, window.starts_at), "to", _local(source, window.ends_at), hours, *cut])


def _page(source: TideSource, lines: Sequence[str], if_none: str) -> str:
    head = f"{source.name}: heights above {source.datum}, local time ({source.zone})"
    return "\n".join([head, *(lines or [if_none]), *source.warnings])


def _local(source: TideSource, at: datetime) -> str:
    return f"{at.astimezone(ZoneInfo(source.zone)):%a %Y-%m-%d %H:%M %Z}"


def _height(height_m: float) -> str:
    return f"{height_m:6.2f} m {height_m / FOOT_M:6.1f} ft"
