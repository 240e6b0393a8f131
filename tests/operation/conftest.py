"""A yard in a folder of its own, with tables and one person; its processes are killed when the test is over.

A process of Django's takes seconds to begin: what every test begins with is made once, as a file.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.operation.background import ASK, Folder


@pytest.fixture(scope="session")
def made_yard(tmp_path_factory) -> Path:
    folder = Folder(tmp_path_factory.mktemp("yard"))
    folder.run("migrate", "--run-syncdb", "--verbosity", "0")
    folder.python("from tests.operation.small_yard import make_small_yard; make_small_yard()")
    shutil.copy(folder.path / "yard.sqlite3", folder.path / "empty.sqlite3")
    folder.python(ASK)
    return folder.path


@pytest.fixture
def folder(made_yard, tmp_path) -> Iterator[Folder]:
    shutil.copy(made_yard / "empty.sqlite3", tmp_path / "yard.sqlite3")
    folder = Folder(tmp_path)
    yield folder
    folder.kill_all()


@pytest.fixture
def asked(made_yard, folder) -> Folder:
    """The same, and a plan of ten minutes is asked for, which no worker has taken up yet."""
    shutil.copy(made_yard / "yard.sqlite3", folder.path / "yard.sqlite3")
    return folder
