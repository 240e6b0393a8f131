"""The example yard's season as a Problem.

The yard is described as rows, so the rows' own reading makes the Problem: in another process, with a database that
ends with it. Nothing of that is imported here.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Final, Literal

from yard.planning.problem import Problem, read_problem_json

MANAGE: Final = Path(__file__).parents[2] / "manage.py"


class ExampleNotMade(RuntimeError):
    """The example yard could not be made; the text is what the command said."""


def example_problem(size: Literal["S", "M", "L"], seed: int) -> Problem:
    """The season of the example yard of this size, from January on; the same for the same seed. Takes seconds.

    Raises ExampleNotMade.
    """
    command = [sys.executable, str(MANAGE), "example_problem", "--size", size, "--seed", str(seed)]
    with tempfile.TemporaryDirectory(prefix="example-yard-") as folder:
        own = {"DATABASE_URL": f"sqlite:///{folder}/yard.sqlite3", "YARD_DATA": folder}
        done = subprocess.run(command, capture_output=True, check=False, env={**os.environ, **own})
    if done.returncode:
        raise ExampleNotMade(done.stderr.decode(errors="replace").strip().splitlines()[-1])
    return read_problem_json(done.stdout)
