"""A yard in a folder of its own, with tables and one person; its processes are killed when the test is over."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.operation.background import Folder


@pytest.fixture(scope="session")
def made_yard(tmp_path_factory) -> Path:
    folder = Folder(tmp_path_factory.mktemp("yard"))
    folder.run("migrate", "--run-syncdb", "--verbosity", "0")
    folder.python("from tests.operation.small_yard import make_small_yard; make_small_yard()")
    return folder.path


@pytest.fixture
def folder(made_yard, tmp_path) -> Iterator[Folder]:
    shutil.copy(made_yard / "yard.sqlite3", tmp_path)
    folder = Folder(tmp_path)
    yield folder
    folder.kill_all()
