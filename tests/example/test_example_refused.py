"""The example yard is never written over somebody's own."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command

from yard.models import Boat, YardSettings
from yard.services.example_yard import ExampleRefused, build_example

pytestmark = pytest.mark.django_db


def test_another_yard_is_not_touched():
    Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3)
    with pytest.raises(ExampleRefused, match="never written over it"):
        build_example("S", 1)
    assert [boat.name for boat in Boat.objects.all()] == ["Wren"]
    with pytest.raises(CommandError, match="DATABASE_URL"):
        call_command("example", size="S", day="winter")


def test_a_yard_with_the_real_clock_is_not_an_example():
    YardSettings.objects.create(name="Somebody's yard", clock_frozen_at=None)
    with pytest.raises(ExampleRefused):
        build_example("S", 1)
