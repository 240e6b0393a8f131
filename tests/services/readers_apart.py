"""Readers of the season that do not hand it over. Without Django, which is not set up where they begin."""

import os
import time
from multiprocessing.connection import Connection


def ends(pipe: Connection, now: object) -> None:
    os._exit(7)


def hangs(pipe: Connection, now: object) -> None:
    time.sleep(60)
