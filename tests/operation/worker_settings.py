"""Settings of the worker that tests start as a process of its own: tables without migrations, a planner to order."""

import os

from tests.settings import *  # noqa: F403 - Django reads settings off this module
from tests.settings import DATABASES, INSTALLED_APPS

PLAN_SOLVER = os.environ["TEST_SOLVER"]
MIGRATION_MODULES = {name.rpartition(".")[2]: None for name in INSTALLED_APPS} | {"django_tasks_database": None}
if "timeout" in DATABASES["default"].get("OPTIONS", {}):
    DATABASES["default"]["OPTIONS"]["timeout"] = 1
