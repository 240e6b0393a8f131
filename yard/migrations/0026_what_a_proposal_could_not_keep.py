"""What a proposal was asked to leave where it is and could not, with the rule that forbids it."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("yard", "0001_squashed_0025_until_the_years_end")]

    operations = [
        migrations.AddField(
            model_name="proposal", name="not_kept", field=models.JSONField(blank=True, default=list)
        ),
    ]
