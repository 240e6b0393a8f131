"""One command for one server: the site and the background worker, started, watched and ended together."""

import os
import socket
import sys
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, connections
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.management.database import steps_to_come
from yard.management.supervisor import Child, Supervisor

HERE_ALONE = ("127.0.0.1", "localhost", "::1")
THREADS = 8


class Command(BaseCommand):
    help = "Serve the yard: brings the database up to date, then runs the site and the background worker."

    def add_arguments(self, parser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="default: 8000")
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on; default: this machine alone")

    def handle(self, *, port: int, host: str, **options) -> None:
        _refuse_taken_port(host, port)
        self._update_database()
        call_command("collectstatic", interactive=False, verbosity=0)
        self._say_what_is_missing(host)
        connections.close_all()  # children must not share one
        self._say(_("Yard is at {address} (Ctrl-C ends it)").format(address=_address(host, port)))
        Supervisor([_web(host, port), _worker()], say=self._say).run()
        self._say(_("Ended."))

    def _say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()

    def _update_database(self) -> None:
        try:
            steps = steps_to_come()
        except OperationalError as error:
            raise CommandError(_("The database cannot be reached: {error}").format(error=error).strip()) from error
        if steps:
            self._say(
                ngettext(
                    "Bringing the database up to date: {n} step.", "Bringing the database up to date: {n} steps.", steps
                ).format(n=steps)
            )
            call_command("migrate", interactive=False, verbosity=0)

    def _say_what_is_missing(self, host: str) -> None:
        if not get_user_model().objects.filter(is_active=True).exists():
            self._say(_("Nobody can sign in yet. In another window: manage.py add_user NAME --role planner"))
        if host not in HERE_ALONE and set(settings.ALLOWED_HOSTS) <= {"localhost", "127.0.0.1", "[::1]"}:
            self._say(_("It answers only when asked for as localhost: name this machine in YARD_HOSTS."))


def _refuse_taken_port(host: str, port: int) -> None:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except (OSError, OverflowError) as error:
            raise CommandError(
                _("Cannot listen on {host} port {port} ({error}): try another with --port.").format(
                    host=host, port=port, error=error
                )
            ) from error


def _address(host: str, port: int) -> str:
    shown = "localhost" if host in ("127.0.0.1", "0.0.0.0", "::", "::1") else host
    return f"http://{f'[{shown}]' if ':' in shown else shown}:{port}/"


def _web(host: str, port: int) -> Child:
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    gunicorn = [sys.executable, "-m", "gunicorn", "yard.wsgi:application", "--bind", bind]
    options = ["--workers", "1", "--threads", str(THREADS), "--graceful-timeout", "10", "--no-control-socket"]
    log = ["--log-level", "warning", "--logger-class", "yard.site_log.SiteLog"]
    return Child(_("The site"), [*gunicorn, *options, *log, "--chdir", str(settings.BASE_DIR)])


def _worker() -> Child:
    """Without the checks of the program, which this process has made of the same code: they load every page."""
    manage = Path(os.fspath(settings.BASE_DIR)) / "manage.py"
    return Child(_("The background worker"), [sys.executable, str(manage), "worker", "--skip-checks"])
