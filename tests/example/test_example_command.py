"""manage.py example and example_problem, and the way to it without a database."""

from __future__ import annotations

from io import StringIO

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import RequestFactory

from tests.conftest import build_january
from yard.models import Person, YardSettings
from yard.planning import example
from yard.planning.problem import read_problem_json
from yard.services.example_yard.building import Built
from yard.services.example_yard.load import YardLoad
from yard.services.example_yard.sign_ins import SIGN_INS
from yard.services.people_accounts import role_of

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def made(**options) -> str:
    out = StringIO()
    call_command("example", size="S", day="winter", stdout=out, **options)
    return out.getvalue()


def test_says_what_it_made_and_how_to_sign_in(monkeypatch):
    monkeypatch.delenv("YARD_EXAMPLE_PASSWORD", raising=False)
    told = made()
    assert "25 boats" in told
    password = told.split("the password of all is ")[1].strip()
    for name, role in SIGN_INS.items():
        account = authenticate(RequestFactory().post("/"), username=name, password=password)
        assert account is not None, name
        assert role_of(User.objects.prefetch_related("groups").get(username=name)) == role
    assert Person.objects.get(user__username="ben").short_name == "Ben"


def test_a_password_from_the_environment_is_not_printed(monkeypatch):
    built = Built(boats=25, orders=60, jobs=300, people=8, load=YardLoad(0.9, ("canvas",)))
    monkeypatch.setattr("yard.management.commands.example.build_example", lambda *args, **options: built)
    monkeypatch.setenv("YARD_EXAMPLE_PASSWORD", "the ebb runs till noon")
    assert "the ebb runs till noon" not in made()
    assert User.objects.get(username="dee").check_password("the ebb runs till noon")


def test_problem_leaves_nothing_behind(monkeypatch, kept_rows):
    command = "yard.management.commands.example_problem.build_example"
    monkeypatch.setattr(command, lambda *size_seed_day: kept_rows.there("january", build_january))
    out = StringIO()
    call_command("example_problem", size="S", seed=1, stdout=out)
    problem = read_problem_json(out.getvalue())
    assert len(problem.boats) > 20
    assert not YardSettings.objects.exists()


def test_problem_without_a_database():
    problem = example.example_problem("S", 1)
    assert len(problem.boats) > 20
    assert not YardSettings.objects.exists()


def test_what_went_wrong_is_told():
    with pytest.raises(example.ExampleNotMade, match="invalid choice"):
        example.example_problem("XL", 1)
