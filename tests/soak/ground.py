"""A yard in a folder of its own for a long trial: the small example in January with its plan on the wall."""

from __future__ import annotations

import logging
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.test import Client


@contextmanager
def own_yard(copy_of: Path | None = None) -> Iterator[Path]:
    """Django set up on it, its tables made, the example's rows in. DATABASE_URL names another database, an empty one.

    copy_of: a data folder with an example yard, to work on a copy of it instead.
    """
    with tempfile.TemporaryDirectory(prefix="yard-soak-") as folder:
        if copy_of is not None:
            shutil.copytree(copy_of, folder, dirs_exist_ok=True)
        os.environ["YARD_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command
        from django.test.utils import setup_test_environment

        setup_test_environment()  # answers carry what their page was drawn from
        logging.getLogger("django.request").setLevel(logging.CRITICAL)  # every refused form would be a line
        call_command("migrate", verbosity=0)
        if copy_of is None:
            _fill()
        yield Path(folder)


def _fill() -> None:
    from tests.conftest import _post_in_january, build_january

    build_january()
    _post_in_january()


def signed_in(name: str = "soak", role: str = "planner") -> Client:
    """A browser of somebody of that role."""
    from django.contrib.auth.models import Group, User
    from django.test import Client

    user, _ = User.objects.get_or_create(username=name)
    user.groups.add(Group.objects.get(name=role))
    client = Client()
    client.force_login(user, "yard.web.access.RoleBackend")
    return client
