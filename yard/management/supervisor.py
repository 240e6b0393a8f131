"""Keep a few children running: start them, start them anew when they end, end them all together."""

from __future__ import annotations

import signal
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from types import FrameType

from django.utils.translation import gettext as _

from yard.processes import die_with_parent

LONGEST_PAUSE_S = 30.0
STEADY_S = 60.0  # a child that ran so long starts with a short pause again
LOOK_EVERY_S = 0.2


@dataclass
class Child:
    """One command that is to run always. pause_s: how long to wait before the next start, doubled each time."""

    name: str
    command: Sequence[str]
    process: subprocess.Popen[bytes] | None = None
    pause_s: float = 1.0
    started_at: float = 0.0
    start_again_at: float = 0.0

    def start(self) -> None:
        self.started_at = time.monotonic()
        self.process = subprocess.Popen(self.command, preexec_fn=_follow_parent)

    @property
    def runs(self) -> bool:
        return self.process is not None and self.process.poll() is None


def _follow_parent() -> None:
    die_with_parent(signal.SIGTERM)


@dataclass
class Supervisor:
    """say: where a sentence for the person at the terminal goes.

    grace_s: how long children may take to end; longer than a run in hand needs to keep its best plan.
    """

    children: list[Child]
    say: Callable[[str], None]
    grace_s: float = 45.0
    _ending: bool = field(default=False, init=False)

    def run(self) -> None:
        """Until SIGTERM or SIGINT. A single thread, so that a child never inherits half a lock."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._end)
        for child in self.children:
            child.start()
        try:
            while not self._ending:
                for child in self.children:
                    self._look_after(child)
                time.sleep(LOOK_EVERY_S)
        finally:
            self._stop_all()

    def _end(self, number: int, frame: FrameType | None) -> None:
        self._ending = True

    def _look_after(self, child: Child) -> None:
        if child.runs:
            return
        now = time.monotonic()
        if child.process is not None:
            if now - child.started_at > STEADY_S:
                child.pause_s = 1.0
            self.say(
                _("{child} ended (code {code}); again in {pause_s} s").format(
                    child=child.name, code=child.process.returncode, pause_s=f"{child.pause_s:g}"
                )
            )
            child.process, child.start_again_at = None, now + child.pause_s
            child.pause_s = min(LONGEST_PAUSE_S, child.pause_s * 2)
        elif now >= child.start_again_at:
            child.start()

    def _stop_all(self) -> None:
        running = [child.process for child in self.children if child.process is not None]
        for process in running:
            process.terminate()
        deadline = time.monotonic() + self.grace_s
        for process in running:
            try:
                process.wait(max(0.0, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
