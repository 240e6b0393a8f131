"""The tables are as the models say: columns, constraints and indexes by name, however the tables were made."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import connection

pytestmark = pytest.mark.django_db
MODELS = apps.get_app_config("yard").get_models(include_auto_created=True)


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_table_has_what_its_model_names(model):
    """Run on tables that the migrations made as well (`--migrations`): there it tells what a migration left out."""
    with connection.cursor() as cursor:
        columns = {
            column.name for column in connection.introspection.get_table_description(cursor, model._meta.db_table)
        }
        found = set(connection.introspection.get_constraints(cursor, model._meta.db_table))
    assert columns == {field.column for field in model._meta.local_concrete_fields}
    named = {each.name for each in (*model._meta.constraints, *model._meta.indexes)}
    assert named <= found
