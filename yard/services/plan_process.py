"""The planner in a process of its own: a Problem goes in as JSON, progress and a result come back as JSON.

Neither side of this module imports Django.  The child is spawned, never forked: it shares no database connection,
it may load a solver of 200 MB and be gone with it, and it can be killed.  It leads a process group, so that what it
starts itself is killed with it, and it dies with its parent.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import traceback
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from multiprocessing.connection import Connection
from types import TracebackType
from typing import Any, Self

import msgspec

from yard.planning.fit import Fit, Fitted, NoRoom
from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned, Result
from yard.planning.problem import read_problem_json
from yard.planning.progress import Seconds
from yard.planning.reshuffle import Reshuffled
from yard.planning.what_if import PlannedBeside
from yard.processes import die_with_parent
from yard.speech import _, speak_as, tongue

DEFAULT_SOLVER = "yard.planning.solve.solve"
STOP = b"stop"
RESHUFFLE_SOLVER = "yard.planning.reshuffle.front.mend"
WHAT_IF_SOLVER = "yard.planning.what_if.beside.plan_beside"
FIT_SOLVER = "yard.planning.fit.fit_in_the_background"
Found = Result | Reshuffled | PlannedBeside | Fit
_RESULTS: dict[str, type[Found]] = {
    kind.__name__: kind for kind in (Planned, Infeasible, OutOfTime, Reshuffled, PlannedBeside, Fitted, NoRoom)
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SolveOrder:
    """What the child is to solve. problem: JSON of a Problem; start: JSON of a Plan to begin from, or empty.

    options: what this solver takes beside what all take.
    """

    problem: bytes
    seconds: int
    seed: int
    workers: int = 1
    start: bytes = b""
    solver: str = DEFAULT_SOLVER
    options: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Progressed:
    """How far it is: the planner's Progress as plain values."""

    progress: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Finished:
    """It has ended as a planner ends."""

    result: Found


@dataclass(frozen=True, slots=True)
class Broke:
    """It has ended as it should not: an exception's text, or the child is gone."""

    reason: str
    trace: str = ""


Message = Progressed | Finished | Broke


class PlanProcess:
    """One solve in a child. Use as a context: leaving it kills whatever still runs."""

    def __init__(self, order: SolveOrder) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, childs_end = context.Pipe()
        # Not a daemon: a daemon may start no children of its own, and a planner may use several processes.
        self._process = context.Process(target=_child, args=(childs_end,), name="planner")
        self._childs_end, self._order = childs_end, order

    def __enter__(self) -> Self:
        self._process.start()
        self._childs_end.close()  # else the pipe never says that the child is gone
        # Not as an argument of the process: a season is more than a pipe holds, and `start` would wait for ever for a
        # child that died before it read it.  Here the pipe breaks, and `message` says so.
        with suppress(ConnectionError):
            self._pipe.send((self._order, tongue()))
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.kill()
        self._pipe.close()

    @property
    def pid(self) -> int | None:
        return self._process.pid

    def message(self, timeout_s: float) -> Message | None:
        """The next message, or None if none comes within the time."""
        try:
            if not self._pipe.poll(timeout_s):
                return None
            return _read(self._pipe.recv_bytes())
        except (EOFError, ConnectionError):
            self._process.join(5)
            return Broke(
                _("the planner's process ended by itself (exit code {exitcode})").format(
                    exitcode=self._process.exitcode
                )
            )

    def ask_to_stop(self) -> None:
        """Ask for the best plan so far. It comes as a message, like any other result."""
        with suppress(OSError):  # it has just ended; its last message is still in the pipe
            self._pipe.send_bytes(STOP)

    def kill(self) -> None:
        if (pid := self._process.pid) is None:
            return
        if self._process.exitcode is None:
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(pid, signal.SIGKILL)  # with everything that it started
            self._process.kill()  # where it had no time yet to lead its group
        self._process.join(10)


def _read(data: bytes) -> Message:
    kind, _, body = data.partition(b"\n")
    match kind.decode():
        case "progress":
            return Progressed(msgspec.json.decode(body))
        case "broke":
            return Broke(*msgspec.json.decode(body))
        case name:
            return Finished(msgspec.json.decode(body, type=_RESULTS[name]))


def _child(pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started us decides, by message
    os.setsid()
    die_with_parent(signal.SIGKILL)
    order, speaks = pipe.recv()
    speak_as(speaks)
    stop, sending = threading.Event(), threading.Lock()
    threading.Thread(target=_listen, args=(pipe, stop), daemon=True).start()

    def send(kind: str, value: object) -> None:
        with sending:
            pipe.send_bytes(kind.encode() + b"\n" + msgspec.json.encode(value))

    try:
        result = _solve(order, stop, send)
        send(type(result).__name__, result)
    except BaseException as error:
        # It goes into a log, and what an error says may name people.
        frames = traceback.extract_tb(error.__traceback__)
        where = "\n".join(f"{frame.filename}:{frame.lineno} {frame.name}" for frame in frames)
        send("broke", (f"{type(error).__name__}: {error}", where))


def _listen(pipe: Connection, stop: threading.Event) -> None:
    with suppress(EOFError, OSError):
        while pipe.recv_bytes() != STOP:
            pass
    stop.set()


def _solve(order: SolveOrder, stop: threading.Event, send: Any) -> Found:
    name, _, solve = order.solver.rpartition(".")
    result: Found = getattr(import_module(name), solve)(  # here, in the child alone: it loads the solver
        read_problem_json(order.problem),
        stop=Seconds(order.seconds),
        seed=order.seed,
        workers=order.workers,
        on_progress=lambda progress: send("progress", progress),
        should_stop=stop.is_set,
        start=msgspec.json.decode(order.start, type=Plan) if order.start else None,
        **order.options,
    )
    return result
