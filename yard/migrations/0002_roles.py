"""The four roles, and the one row that counts changes of facts."""

from django.db import migrations

ROLES = ("planner", "office", "crew", "viewer")


def add_roles(apps, schema_editor):
    Group = apps.get_model("auth", "Group")
    for name in ROLES:
        Group.objects.get_or_create(name=name)
    apps.get_model("yard", "FactsRevision").objects.get_or_create(id=1)


class Migration(migrations.Migration):
    dependencies = [("yard", "0001_initial"), ("auth", "0012_alter_user_first_name_max_length")]

    operations = [migrations.RunPython(add_roles, migrations.RunPython.noop)]
