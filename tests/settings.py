"""The yard's settings for a run of tests: a data folder of its own, so that nobody's yard is touched."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

if "YARD_DATA" not in os.environ:  # pytest's own workers inherit it
    _folder = tempfile.mkdtemp(prefix="yard-tests-")
    os.environ["YARD_DATA"] = _folder
    atexit.register(shutil.rmtree, _folder, ignore_errors=True)
os.environ.setdefault("YARD_SECRET_KEY", "a key for tests alone, which opens nothing anywhere")
os.environ.setdefault("YARD_PLAIN_STATIC", "1")
os.environ.setdefault("YARD_PLAN_WORKERS", "1")
os.environ.setdefault("NUMBA_CACHE_DIR", str(Path(__file__).resolve().parent.parent / ".numba_cache"))

from yard.settings import *  # noqa: F403 - Django reads settings off this module
from yard.settings import DATABASES, STATIC_ROOT

STATIC_ROOT.mkdir(parents=True, exist_ok=True)

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # fast; accounts of tests hold nothing

if "init_command" in DATABASES["default"].get("OPTIONS", {}):
    # No yard's work hangs on this file: nobody waits until the disk has it.
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"
