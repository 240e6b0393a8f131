"""Pieces of work for tests alone. Each writes a row when it is begun and one when it is done, both with its process."""

from __future__ import annotations

import os
import time

from django.db import connection, transaction
from django_tasks import task

TABLES = (
    "CREATE TABLE piece_begun (piece integer NOT NULL, process integer NOT NULL)",
    "CREATE TABLE piece_done (piece integer NOT NULL, process integer NOT NULL)",
)
DROP = ("DROP TABLE IF EXISTS piece_begun", "DROP TABLE IF EXISTS piece_done")


@task(queue_name="default")
def short(piece: int) -> None:
    """Safe to do twice, as the yard's own are: it looks first whether it is done. Some take a little longer."""
    _write("piece_begun", piece)
    time.sleep(0.3 if piece % 20 == 0 else 0.002)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [piece])
        cursor.execute("SELECT count(*) FROM piece_done WHERE piece = %s", [piece])
        if cursor.fetchone() == (0,):
            cursor.execute("INSERT INTO piece_done VALUES (%s, %s)", [piece, os.getpid()])


def _write(table: str, piece: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"INSERT INTO {table} VALUES (%s, %s)", [piece, os.getpid()])
