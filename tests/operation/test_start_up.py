"""What the site loads at its start: not the planner's solver, nor what only an export needs."""

import os
import subprocess
import sys

CODE = """
import sys, django
django.setup()
from django.urls import get_resolver
get_resolver().url_patterns
print(sorted({"ortools", "pandas", "openpyxl", "numba"} & set(sys.modules)))
"""


def test_the_site_starts_without_heavy_libraries():
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    ran = subprocess.run([sys.executable, "-c", CODE], env=environment, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
