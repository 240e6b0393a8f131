"""Days held for a caller: an order with a place in the plan for as long as the yard said."""

import django.db.models.deletion
import yard.models.checks
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0020_storm_hauling_as_work'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='HeldDays',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('held', 'held'), ('taken', 'taken as an order'), ('released', 'let go'), ('run_out', 'run out')], default='held', max_length=8)),
                ('until', models.DateTimeField()),
                ('told_day', models.DateField()),
                ('day_80', models.DateField(blank=True, null=True)),
                ('day_90', models.DateField(blank=True, null=True)),
                ('said', models.CharField(max_length=600)),
                ('jobs', models.JSONField(default=list, validators=[yard.models.checks.is_list])),
                ('stays', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                ('made_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('ended_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('order', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='held', to='yard.order')),
            ],
            options={
                'verbose_name_plural': 'held days',
                'ordering': ['until', 'id'],
                'indexes': [models.Index(fields=['state', 'until'], name='held_days_state_until')],
                'constraints': [models.CheckConstraint(condition=models.Q(('until__gt', models.F('made_at'))), name='held_days_end_after_they_begin'), models.CheckConstraint(condition=models.Q(models.Q(('ended_at', None), ('state', 'held')), models.Q(models.Q(('state', 'held'), _negated=True), ('ended_at__isnull', False)), _connector='OR'), name='held_days_ended_or_held')],
            },
        ),
    ]
