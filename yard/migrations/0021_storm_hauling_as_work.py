from django.db import migrations, models


class Migration(migrations.Migration):
    """A line of a storm list names the order by which she is hauled."""

    dependencies = [("yard", "0017_answers_of_plans")]

    operations = [
        migrations.AddField(
            model_name="stormline",
            name="order",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=models.SET_NULL,
                related_name="storm_lines",
                to="yard.order",
            ),
        ),
    ]
