"""manage.py try_out: the example yard made, its spring planned, the plan checked, and all of it served."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from yard.models import YardSettings


class Command(BaseCommand):
    help = (
        "Makes the example yard if there is no yard yet, plans its season from today on, checks the plan and serves it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--size", choices=["S", "M", "L"], default="M")
        parser.add_argument("--seconds", type=float, default=20.0, help="how long to improve the first plan")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")

    def handle(self, *args: Any, **options: Any) -> None:
        os.umask(0o077)  # what is made here is this user's alone
        compiling = _compile_beside()
        call_command("migrate", verbosity=0)
        if YardSettings.objects.exists():
            self.stdout.write(_("There is a yard here already: it is served as it is."))
        else:
            self.stdout.write(
                _("Making the planner ready; on a new machine it is compiled once, which takes a moment.")
            )
            compiling.wait()
            with _accounts_unlogged():
                call_command("example", size=options["size"])
            self.stdout.write(_("Planning the rest of the season from today on."))
            call_command("plan_season", seconds=options["seconds"], post=True)
            call_command("check_plan")
        if not options["no_serve"]:
            call_command("serve", port=options["port"])


@contextmanager
def _accounts_unlogged() -> Iterator[None]:
    """The accounts of invented people are no news for whoever reads the log, and this is read on a screen."""
    log = logging.getLogger("yard.security")
    before = log.level
    log.setLevel(logging.WARNING)
    try:
        yield
    finally:
        log.setLevel(before)


def _compile_beside() -> subprocess.Popen[bytes]:
    """The planner's engine into its cache, in a process beside this one; where that fails, it is compiled later."""
    command = [sys.executable, "-m", "yard.planning", "compile"]
    return subprocess.Popen(command, cwd=settings.BASE_DIR, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
