"""The long trials by name; each prints what went wrong, a line for each, and ends with 1 if anything did."""

from __future__ import annotations

import argparse
import os
import resource
import sys
import time
import warnings
from collections.abc import Callable, Iterable

BAD_INPUT = ("sheets", "dear-sheets", "problems", "forecasts", "addresses", "forms")
MOST_MEMORY = 4 * 2**30


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    commands = parser.add_subparsers(required=True, metavar="TRIAL")
    bad = commands.add_parser(
        "bad-input", help="sheets, problems, forecasts, addresses and forms as they should not be"
    )
    bad.add_argument("--count", type=int, default=2000, help="of each kind (default 2000)")
    bad.add_argument("--first", type=int, default=0, help="the number to begin with")
    bad.add_argument("--only", choices=BAD_INPUT, action="append", help="this kind alone; may be given again")
    bad.set_defaults(run=_bad_input)
    kills = commands.add_parser("kills", help="a served yard killed while people write, and nothing lost")
    kills.add_argument("--times", type=int, default=100, help="default 100; some 5 s each")
    kills.set_defaults(run=_kills)
    given = parser.parse_args()
    run: Callable[[argparse.Namespace], int] = given.run
    return run(given)


def _bad_input(given: argparse.Namespace) -> int:
    from tests.soak.ground import own_yard, signed_in

    warnings.filterwarnings("ignore", module="openpyxl")  # a day of a sheet that is none, a line for each cell
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))  # what fills the memory is a fault with a name
    numbers = range(given.first, given.first + given.count)
    with own_yard() as folder:
        from tests.soak.forecasts_trial import try_forecasts
        from tests.soak.pages_trial import try_addresses, try_forms, walk
        from tests.soak.problems_trial import try_problems
        from tests.soak.sheets_trial import try_sheets

        trials: dict[str, Callable[[], Iterable[str]]] = {
            "sheets": lambda: try_sheets(signed_in(), numbers),
            "dear-sheets": lambda: try_sheets(signed_in(), numbers[:: max(1, len(numbers) // 40)], dear=True),
            "problems": lambda: try_problems(numbers, folder),
            "forecasts": lambda: try_forecasts(signed_in(), numbers),
            "addresses": lambda: try_addresses(signed_in(), walk(signed_in()), numbers),
            "forms": lambda: try_forms(signed_in(), walk(signed_in()), numbers),
        }
        return sum(_say(name, trial()) for name, trial in trials.items() if name in (given.only or BAD_INPUT)) and 1


def _kills(given: argparse.Namespace) -> int:
    from tests.soak.ground import own_yard

    with own_yard() as folder:
        from tests.soak.kills_trial import try_kills

        return _say("kills", try_kills(folder, given.times)) and 1


def _say(name: str, wrongs: Iterable[str]) -> int:
    """How many things went wrong, each printed as it comes."""
    began, count = time.process_time(), 0
    for wrong in wrongs:
        print(wrong, flush=True)
        count += 1
    spent = time.process_time() - began
    print(f"{name}: {count} went wrong; {spent:.0f} s of processor time, load {os.getloadavg()[0]:.1f}", flush=True)
    return count


if __name__ == "__main__":
    sys.exit(main())
