"""The database as it was at one moment, while others go on writing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """All that is read inside was true at once. Nobody is kept from writing meanwhile.

    Inside a transaction that has begun already nothing more is asked for.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with _as_of_the_first_read():
            yield
    else:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield


@contextmanager
def _as_of_the_first_read() -> Iterator[None]:
    """transaction.atomic would take SQLite's write lock at once (settings: IMMEDIATE): writers would wait."""
    with connection.cursor() as cursor:
        cursor.execute("BEGIN DEFERRED")
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")
