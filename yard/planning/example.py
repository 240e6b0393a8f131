"""A season of the example yard as a Problem, for whoever has no database at hand."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from yard.planning.problem import Problem, read_problem_json

MANAGE = Path(__file__).resolve().parents[2] / "manage.py"


def example_problem(size: str, seed: int) -> Problem:
    """The example yard of this size ("S", "M", "L") in January, read from a database made for it and thrown away.

    The rows are read by a process of its own, because this room knows no database.
    Raises subprocess.CalledProcessError where the program is not installed whole.
    """
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "YARD_DATA": folder, "DATABASE_URL": f"sqlite:///{folder}/yard.sqlite3"}
        command = [sys.executable, str(MANAGE), "example_problem", "--size", size, "--seed", str(seed)]
        done = subprocess.run(command, env=environment, check=True, stdout=subprocess.PIPE)
        return read_problem_json(done.stdout)
