"""What failed, and what to do about it: a full disk, a database that only reads, is held or does not answer."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import DatabaseError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True)
class Failing:
    """status: of the answer. retry_s: after how long it may be better by itself, None where somebody must help."""

    status: int
    title: StrOrPromise
    remedy: StrOrPromise
    retry_s: int | None = None


FULL = Failing(
    507,
    gettext_lazy("The disk of the yard's machine is full"),
    gettext_lazy("Tell whoever looks after the machine: it needs room before anything can be saved. Reading goes on."),
)
READ_ONLY = Failing(
    503,
    gettext_lazy("The yard's machine lets nothing be written"),
    gettext_lazy(
        "Tell whoever looks after the machine: its disk or its database is set to be read only. Reading goes on."
    ),
)
BROKEN = Failing(
    503,
    gettext_lazy("The disk of the yard's machine does not answer as it should"),
    gettext_lazy(
        "Tell whoever looks after the machine at once: the disk is full or failing. Keep last night's backup safe."
    ),
)
HELD = Failing(
    503,
    gettext_lazy("Somebody else is writing at this moment"),
    gettext_lazy("Wait a few seconds, then send it again. If it goes on, tell whoever looks after the machine."),
    retry_s=5,
)
SILENT = Failing(
    503,
    gettext_lazy("The yard's database does not answer"),
    gettext_lazy("Wait a minute, then try again. If it goes on, tell whoever looks after the machine."),
    retry_s=60,
)
SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_BUSY: HELD,
    sqlite3.SQLITE_LOCKED: HELD,
    sqlite3.SQLITE_CANTOPEN: SILENT,
    sqlite3.SQLITE_IOERR: BROKEN,
    sqlite3.SQLITE_CORRUPT: BROKEN,
}
"""By primary result code (https://sqlite.org/rescode.html)."""
POSTGRES = {
    "53100": FULL,
    "25006": READ_ONLY,
    "55P03": HELD,
    "40P01": HELD,
    "40001": HELD,
    "57P01": SILENT,
    "57P03": SILENT,
}
"""By SQLSTATE (PostgreSQL's manual, appendix A); 08 and its kind are connections."""
SYSTEM = {errno.ENOSPC: FULL, errno.EDQUOT: FULL, errno.EFBIG: FULL, errno.EROFS: READ_ONLY, errno.EACCES: READ_ONLY}
SYSTEM |= {errno.EIO: BROKEN}
NEVER_AGAIN = ("password", "csrfmiddlewaretoken")
MOST_KEPT = 200_000
"""Characters of a form that are given back on the page."""


def failing_of(error: BaseException | None) -> Failing | None:
    """What of these it was; None for any other fault, which is one of ours."""
    for each in _causes(error):
        match each:
            case sqlite3.Error():
                return SQLITE.get(getattr(each, "sqlite_errorcode", 0) & 0xFF)
            case OSError() if each.errno in SYSTEM:
                return SYSTEM[each.errno]
            case _ if state := getattr(each, "sqlstate", None):
                return POSTGRES.get(state, SILENT if state.startswith("08") else None)
    return SILENT if isinstance(error, DatabaseError) and "connect" in str(error) else None


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    """The error and what it came of, outermost first."""
    while error is not None:
        yield error
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)


def sent_again(request: HttpRequest) -> list[tuple[str, str]] | None:
    """The fields of a form as they were sent, to be sent again; None where it had a file, or there was no form."""
    try:
        if request.method != "POST" or request.FILES:
            return None
        fields = [(name, value) for name, values in request.POST.lists() for value in values]
    except Exception:  # what was sent could not be read: that may be what failed
        return None
    kept = [(name, value) for name, value in fields if not any(word in name for word in NEVER_AGAIN)]
    secret = any(NEVER_AGAIN[0] in name for name, _ in fields)
    too_long = sum(len(value) for _, value in kept) > MOST_KEPT
    return None if secret or too_long else kept
