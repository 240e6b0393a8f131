"""The season read by a process of its own and handed over whole, so that the site goes on drawing pages meanwhile.

Reading is seconds of work in Python, and of a process's threads one at a time runs Python: read by a thread of the
site, it would be taken out of every page that is asked for meanwhile. The process beside it gives way to all else.
What it hands over is pickled, which is safe between a process and the child that it started, over a pipe that nobody
else holds.

The child begins with this module, before Django is set up there: what reads rows is loaded by the functions.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from multiprocessing.connection import Connection

from yard.processes import die_with_parent

LONGEST_S = 300.0
"""Reading takes seconds; what takes minutes hangs."""
NICE = 10


class SeasonNotHandedOver(RuntimeError):
    """The process that was to read the season ended by itself, or did not end."""


@dataclass(frozen=True, slots=True)
class _Refused:
    """Why the season cannot be read, as a person is told it."""

    reason: str


def read_apart(*, now: datetime) -> bool:
    """Read the season in another process and keep it in this one. False where no plan is posted.

    Raises YardNotReady as reading it here would, and SeasonNotHandedOver.
    """
    from yard.services.read_problem import YardNotReady
    from yard.services.season_ready import Ready, keep_ready

    match _answer(now):
        case Ready() as ready:
            keep_ready(ready)
            return True
        case _Refused(reason):
            raise YardNotReady(reason)
        case _:
            return False


def _answer(now: datetime) -> object:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_child, args=(theirs, now), name="season", daemon=True)
    process.start()
    theirs.close()  # else the pipe never says that the child is gone
    try:
        if not ours.poll(LONGEST_S):
            raise SeasonNotHandedOver(f"not within {LONGEST_S:g} s")
        return pickle.loads(ours.recv_bytes())
    except (EOFError, ConnectionError) as error:
        process.join(5)
        raise SeasonNotHandedOver(f"its process ended by itself (exit code {process.exitcode})") from error
    finally:
        process.kill()
        process.join()
        ours.close()


def _child(pipe: Connection, now: datetime) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us ends us
    die_with_parent(signal.SIGKILL)
    with suppress(OSError):
        os.nice(NICE)
    import django

    django.setup()
    pipe.send_bytes(pickle.dumps(answer(now), protocol=pickle.HIGHEST_PROTOCOL))


def answer(now: datetime) -> object:
    """What the child hands over: the season at hand, None where no plan is posted, or why it cannot be read."""
    from yard.services.read_problem import YardNotReady
    from yard.services.season_ready import read_ready

    try:
        return read_ready(now=now)
    except YardNotReady as error:
        return _Refused(str(error))
