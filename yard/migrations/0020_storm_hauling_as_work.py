from django.db import migrations, models


class Migration(migrations.Migration):
    """A line of a storm list names the order by which she is hauled."""

    dependencies = [("yard", "0019_sales_to_come_and_package_lines")]

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
