"""manage.py draw_catalogue de: what the site says, as catalogues to be translated, in locale/ of the data folder."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from argparse import ArgumentParser
from io import StringIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.test.utils import override_settings
from django.utils.translation import to_locale

DRAWN_FROM = ("yard", "templates")
TARGET = Path(settings.DATA_DIR) / "locale"


class Command(BaseCommand):
    help = (
        "Draws the catalogues of a language (django.po, djangojs.po) into locale/ of the data folder, and keeps what "
        "is translated there. Wants GNU gettext. Fails where a sentence cannot be taken out of the source."
    )
    requires_system_checks: list[str] = []  # a catalogue at fault is drawn anew with this

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("language", help="as YARD_LANGUAGE has it: de, nl, en-us")

    def handle(self, *args: Any, **options: Any) -> None:
        locale = to_locale(options["language"])
        said = StringIO()
        # In a copy: files are written beside the source meanwhile, and the source may be another's.
        with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
            for name in DRAWN_FROM:
                shutil.copytree(settings.BASE_DIR / name, name, ignore=shutil.ignore_patterns("locale", "__pycache__"))
            drawn = Path("locale") / locale
            shutil.copytree(TARGET / locale, drawn) if (TARGET / locale).is_dir() else drawn.mkdir(parents=True)
            with override_settings(LOCALE_PATHS=[str(Path("locale").resolve())]):
                for domain in ("django", "djangojs"):
                    call_command("makemessages", locale=[locale], domain=domain, no_wrap=False, stdout=said)
            troubles = [line for line in said.getvalue().splitlines() if "warning" in line or "error" in line]
            if troubles:
                raise CommandError("\n".join(troubles))
            shutil.copytree(drawn, TARGET / locale, dirs_exist_ok=True)
        self.stdout.write(f"{TARGET / locale}: translate django.po and djangojs.po, then start the site anew.")
