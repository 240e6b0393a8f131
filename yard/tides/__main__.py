"""Tides on the command line: `python -m yard.tides events --station 8418150 --from 2027-05-01 --to 2027-05-07`.

Dates are UTC days, both included. With --json: a list of objects in UTC and metres above the station's datum.
Without: a table in the station's local time. Bad input: one line on standard error, exit code 2.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import NoReturn

import msgspec
import numpy as np

from yard.speech import _
from yard.tides import bench
from yard.tides.opening import open_source
from yard.tides.printed import printed_events, printed_heights, printed_windows
from yard.tides.source import TideError, TideSource, datetimes_of, seconds_of

MOST_ROWS = 1_000_000
SHORTEST_STEP_MIN = 0.1

Rows = list[dict[str, object]]


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """One line and no usage block: what is wrong, and where help is."""
        print(f"{self.prog}: {message} (see --help)", file=sys.stderr)
        raise SystemExit(2)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    options = _parser().parse_args(argv)
    try:
        print(_answer(options))
    except TideError as error:
        print(f"yard.tides: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader has seen enough (`| head`); keep the interpreter from complaining at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _answer(options: argparse.Namespace) -> str:
    if options.command == "bench":
        return bench.report(options.station)
    starts_at, ends_at = _span(options.starts, options.ends)
    source = open_source(options.station)
    match options.command:
        case "events":
            events = source.events(starts_at, ends_at)
            rows: Rows = [{"time": _iso(e.at), "height_m": round(e.height_m, 4), "kind": e.kind} for e in events]
            return _json(rows) if options.json else printed_events(source, events)
        case "heights":
            times = _times(starts_at, ends_at, options.step_min)
            stamps, heights = datetimes_of(times), source.heights_m(times).tolist()
            pairs = zip(stamps, heights, strict=True)
            rows = [{"time": _iso(at), "height_m": round(height, 4)} for at, height in pairs]
            return _json(rows) if options.json else printed_heights(source, stamps, heights)
        case _:
            return _windows(source, starts_at, ends_at, options)


def _windows(source: TideSource, starts_at: datetime, ends_at: datetime, options: argparse.Namespace) -> str:
    [windows] = source.windows(starts_at, ends_at, [options.level_m], above=not options.below)
    rows: Rows = [
        {
            "starts_at": _iso(window.starts_at),
            "ends_at": _iso(window.ends_at),
            "opens_before": window.opens_before,
            "closes_after": window.closes_after,
        }
        for window in windows
    ]
    return _json(rows) if options.json else printed_windows(source, windows, options.level_m, options.below)


def _parser() -> _Parser:
    parser = _Parser(prog="yard.tides", description="Predicted tides: no wind, pressure or river flow in them.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="events|heights|windows|bench")
    events = commands.add_parser("events", help="high and low waters")
    heights = commands.add_parser("heights", help="heights at even steps")
    heights.add_argument("--step-min", type=float, default=60.0, help="minutes between heights (60)")
    windows = commands.add_parser("windows", help="when the water stands at or above a level")
    windows.add_argument("--level-m", type=float, required=True, help="metres above the station's datum")
    windows.add_argument("--below", action="store_true", help="when it stands below the level instead")
    for command in (events, heights, windows):
        command.add_argument("--station", required=True, help="a station's identity, or a .json or .csv file")
        command.add_argument("--from", dest="starts", required=True, type=_day, metavar="DATE", help="first UTC day")
        command.add_argument("--to", dest="ends", required=True, type=_day, metavar="DATE", help="last UTC day")
        command.add_argument("--json", action="store_true", help="JSON in UTC instead of a table in local time")
    timing = commands.add_parser("bench", help="measure how long the tide takes")
    timing.add_argument("--station", default="8418150", help="a station's identity or file (8418150)")
    return parser


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(_("{text!r} is no date: write 2027-05-01").format(text=text)) from None


def _span(first: date, last: date) -> tuple[datetime, datetime]:
    if last < first:
        raise TideError(_("--from {first} comes after --to {last}: turn them round").format(first=first, last=last))
    if last == date.max:
        raise TideError(_("--to {last} is the last day there is: choose an earlier one").format(last=last))
    return datetime.combine(first, time(0), UTC), datetime.combine(last + timedelta(days=1), time(0), UTC)


def _times(starts_at: datetime, ends_at: datetime, step_min: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    if not step_min >= SHORTEST_STEP_MIN or step_min == float("inf"):
        raise TideError(
            _("--step-min {step_min:g} is too short or no number: give minutes, {least} or more").format(
                step_min=step_min, least=SHORTEST_STEP_MIN
            )
        )
    begin, end = seconds_of(starts_at), seconds_of(ends_at)
    if (end - begin) / (step_min * 60) > MOST_ROWS:
        raise TideError(
            _("that is more than {most:,} heights: ask for fewer days or a longer --step-min").format(most=MOST_ROWS)
        )
    return np.arange(begin, end, step_min * 60)


def _iso(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


def _json(rows: Rows) -> str:
    return msgspec.json.format(msgspec.json.encode(rows), indent=1).decode()


if __name__ == "__main__":
    raise SystemExit(main())
