"""The example yard as rows: the same twice, apart from other yards, and as ordering one by one would make it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from io import StringIO
from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import models, transaction

from yard.models import (
    Boat,
    DatedHours,
    Fact,
    FactsRevision,
    GaugeReading,
    Job,
    JobLink,
    JobWay,
    Mooring,
    Order,
    Package,
    Person,
    Stay,
    Whereabouts,
)
from yard.services.example_yard import build_example
from yard.services.example_yard.building import ENTERED, draw
from yard.services.example_yard.many_orders import Wanted, order_many
from yard.services.example_yard.wiping import take_away
from yard.services.order_package import OrderDates, Terms, default_options, order_package

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("january")]

ORDERED = (Order, Job, JobWay, JobLink, Stay, Fact)
TELLING = (Boat, Mooring, Person, DatedHours, Order, Job, JobWay, JobLink, Stay, Fact, GaugeReading, Whereabouts)


def made(**options: Any) -> str:
    out = StringIO()
    call_command("example", size="S", day="winter", stdout=out, **options)
    return out.getvalue()


def rows(model: type[models.Model]) -> list[tuple[Any, ...]]:
    """Every row without its keys, in the order in which it was written; rows it names as their words."""
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    found = model._default_manager.select_related(*(field.name for field in fields if field.is_relation))
    return [tuple(str(getattr(row, field.name)) for field in fields) for row in found.order_by("pk")]


def test_the_same_rows_twice():
    first = {model: rows(model) for model in TELLING}
    build_example("S", 1)
    for model in TELLING:
        assert first[model], model
        assert rows(model) == first[model], model


def test_many_orders_are_as_one_by_one():
    """The same orders made together and one after the other hold the same jobs, ways, links, stays and facts."""
    drawn = draw("S", 1)
    content = {}
    for together in (True, False):
        with transaction.atomic():  # both begin with the same rows
            Order.objects.all().delete()
            Fact.objects.all().delete()
            old = datetime(2026, 10, 1, tzinfo=UTC)
            Order.objects.create(ref="26-A31", name="Of a past season", walk_in_name="Fay", made_at=old)
            boat = Boat.objects.filter(draft_m=None).get()
            at = drawn.pen.moment(ENTERED, drawn.about.yard.shop[0].starts)
            wanted = [
                Wanted(
                    boat=boat,
                    package=package,
                    options=default_options(package, boat),
                    dates=OrderDates(wanted=date(2027, 5, 20)),
                    terms=Terms(),
                    at=at,
                )
                for package in Package.objects.order_by("key")
            ]
            if together:
                order_many(wanted, drawn.pen)
            else:
                for want in wanted:
                    order_package(
                        want.boat,
                        want.package,
                        options=want.options,
                        dates=want.dates,
                        by=None,
                        now=want.at,
                        terms=want.terms,
                    )
            content[together] = {
                model: sorted(_without_uid(model)) for model in (Order, Job, JobWay, JobLink, Stay, Fact)
            }
            content[together]["waiting"] = sorted(
                Fact.objects.values_list("name", "kind", "jobs__key", "jobs__order__ref")
            )
            transaction.set_rollback(True)
    for part, found in content[True].items():
        assert found, part
        assert found == content[False][part], part


def _without_uid(model: type[models.Model]) -> list[tuple[Any, ...]]:
    names = [field.name for field in model._meta.concrete_fields if not field.primary_key and field.name != "uid"]
    return [tuple(str(getattr(row, name)) for name in names) for row in model._default_manager.all()]


def test_what_is_left_after_it_is_as_the_migrations_leave_it() -> None:
    """Nothing of the yard but the count of changed facts, at nothing."""
    take_away()
    left = {
        model.__name__: model._base_manager.count()
        for model in apps.get_app_config("yard").get_models(include_auto_created=True)
        if model._base_manager.exists()
    }
    assert left == {"FactsRevision": 1}
    assert FactsRevision.objects.get().count == 0


def test_keep_leaves_it_as_it_is():
    Boat.objects.filter(ref=Boat.objects.order_by("id")[0].ref).update(name="Renamed")
    assert "left as it is" in made(keep=True)
    assert Boat.objects.filter(name="Renamed").exists()
    made()
    assert not Boat.objects.filter(name="Renamed").exists()
