"""Databases of states that have landed: small example yards, each made by the program as it was then.

    python -m tests.operation.landed_states COMMIT NAME

checks that commit out beside this one, has its own code make the example yard of May in a new SQLite file, and keeps
the file's rows and tables as SQL in tests/operation/landed/NAME.sql.xz. NAME: the day and the newest migration, as
2026-11-26-0028. Kept is one for each state that landed with a migration; none is ever made anew.
"""

from __future__ import annotations

import lzma
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(__file__).parent / "landed"
ENDING = ".sql.xz"
LARGEST_BYTES = 400_000
LEAVE_OUT = ("django_session", "axes_accesslog", "axes_accessattempt", "axes_accessfailurelog")


def states() -> list[str]:
    return sorted(file.name.removesuffix(ENDING) for file in FOLDER.glob(f"*{ENDING}"))


def lay_out(state: str, to: Path) -> None:
    """That state's database as a new SQLite file."""
    text = lzma.decompress((FOLDER / f"{state}{ENDING}").read_bytes()).decode("utf-8")
    with closing(sqlite3.connect(to)) as database:
        database.executescript(text)


def counts(path: Path) -> dict[str, int]:
    """How many rows each table of a SQLite file has."""
    with closing(sqlite3.connect(path)) as database:
        names = [name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}


def keep(commit: str, name: str) -> Path:
    """Make and keep one. Raises CalledProcessError where that state's own code fails, ValueError where it is large."""
    with tempfile.TemporaryDirectory(prefix="landed-") as folder:
        then, data = Path(folder) / "program", Path(folder) / "data"
        subprocess.run(["git", "worktree", "add", "--detach", str(then), commit], cwd=ROOT, check=True)
        try:
            _make(then, data)
            packed = lzma.compress(_as_sql(data / "yard.sqlite3").encode("utf-8"), preset=9 | lzma.PRESET_EXTREME)
        finally:
            subprocess.run(["git", "worktree", "remove", "--force", str(then)], cwd=ROOT, check=True)
            shutil.rmtree(data, ignore_errors=True)
    if len(packed) > LARGEST_BYTES:
        raise ValueError(f"{name} would be {len(packed) / 1000:.0f} kB: more than {LARGEST_BYTES / 1000:.0f}.")
    to = FOLDER / f"{name}{ENDING}"
    to.write_bytes(packed)
    return to


def _make(then: Path, data: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "PYTHONPATH")}
    environment = kept | {
        "YARD_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "yard.settings",
        "YARD_SECRET_KEY": "x" * 50,
    }
    for words in (("migrate", "-v", "0"), ("example", "--size", "S", "--day", "may", "--rounds", "40")):
        subprocess.run([sys.executable, "manage.py", *words], cwd=then, env=environment, check=True)


def _as_sql(path: Path) -> str:
    """Without sign-ins' passwords and sessions; the plans' long texts stay, for migrations may read them."""
    with closing(sqlite3.connect(path)) as database:
        database.execute("UPDATE auth_user SET password = '!'")
        for table in LEAVE_OUT:
            if database.execute("SELECT 1 FROM sqlite_master WHERE name = ?", [table]).fetchone():
                database.execute(f"DELETE FROM {table}")
        database.commit()
        return "\n".join(database.iterdump())


if __name__ == "__main__":
    commit, name = sys.argv[1:]
    made = keep(commit, name)
    print(f"{made.relative_to(ROOT)}: {made.stat().st_size / 1000:.0f} kB, {sum(1 for _ in states())} kept in all")
