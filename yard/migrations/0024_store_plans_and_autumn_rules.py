"""Rules for autumn, what rows and racks hold, and plans of who stands where through the winter."""

import django.core.validators
import django.db.models.deletion
import simple_history.models
import yard.models.checks
from django.conf import settings
from django.db import migrations, models

from yard.migrating import MakeTables


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0023_sail_care_and_intervals'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        MakeTables(
            [
                migrations.CreateModel(
                    name='AutumnRules',
                    fields=[
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('id', models.PositiveSmallIntegerField(default=1, editable=False, primary_key=True, serialize=False)),
                        ('hauls_a_day', models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(50)])),
                        ('gap_m', models.FloatField(default=0.6, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(5)])),
                        ('freeze_station', models.SlugField(blank=True, max_length=40)),
                        ('freeze_below_f', models.PositiveSmallIntegerField(choices=[(36, '36 °F (2 °C)'), (32, '32 °F (0 °C)'), (28, '28 °F (−2 °C)')], default=32)),
                        ('freeze_in_100', models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(90)])),
                        ('freeze_own_day', models.CharField(blank=True, max_length=5, validators=[yard.models.checks.is_day_of_year])),
                        ('freeze_binds', models.BooleanField(default=True)),
                    ],
                    options={
                        'verbose_name': 'rules for autumn',
                        'verbose_name_plural': 'rules for autumn',
                        'constraints': [models.CheckConstraint(condition=models.Q(('id', 1)), name='autumn_rules_one_row')],
                    },
                ),
                migrations.CreateModel(
                    name='HistoricalAutumnRules',
                    fields=[
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('id', models.PositiveSmallIntegerField(db_index=True, default=1, editable=False)),
                        ('hauls_a_day', models.PositiveSmallIntegerField(default=3, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(50)])),
                        ('gap_m', models.FloatField(default=0.6, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(5)])),
                        ('freeze_station', models.SlugField(blank=True, max_length=40)),
                        ('freeze_below_f', models.PositiveSmallIntegerField(choices=[(36, '36 °F (2 °C)'), (32, '32 °F (0 °C)'), (28, '28 °F (−2 °C)')], default=32)),
                        ('freeze_in_100', models.PositiveSmallIntegerField(default=10, validators=[django.core.validators.MinValueValidator(10), django.core.validators.MaxValueValidator(90)])),
                        ('freeze_own_day', models.CharField(blank=True, max_length=5, validators=[yard.models.checks.is_day_of_year])),
                        ('freeze_binds', models.BooleanField(default=True)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                        ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                    ],
                    options={
                        'verbose_name': 'historical rules for autumn',
                        'verbose_name_plural': 'historical rules for autumn',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalStackMeasure',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('length_m', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(500)])),
                        ('height_m', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.5), django.core.validators.MaxValueValidator(60)])),
                        ('levels', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(30)])),
                        ('per_level', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(200)])),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                        ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('place', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.place')),
                    ],
                    options={
                        'verbose_name': 'historical stack measure',
                        'verbose_name_plural': 'historical stack measures',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='StackMeasure',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('length_m', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(500)])),
                        ('height_m', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(0.5), django.core.validators.MaxValueValidator(60)])),
                        ('levels', models.PositiveSmallIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(30)])),
                        ('per_level', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(200)])),
                        ('place', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='stack', to='yard.place')),
                    ],
                    options={
                        'ordering': ['place_id'],
                    },
                ),
                migrations.CreateModel(
                    name='StowPlan',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('kind', models.CharField(choices=[('boats', 'boats in rows'), ('spars', 'spars on racks')], max_length=5)),
                        ('state', models.CharField(choices=[('proposed', 'proposed'), ('accepted', 'accepted'), ('dropped', 'dropped')], default='proposed', max_length=8)),
                        ('inputs', models.CharField(max_length=64)),
                        ('figures', models.JSONField(default=dict)),
                        ('made_at', models.DateTimeField()),
                        ('decided_at', models.DateTimeField(blank=True, null=True)),
                        ('decided_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='stow_plans_decided', to=settings.AUTH_USER_MODEL)),
                        ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='stow_plans_made', to=settings.AUTH_USER_MODEL)),
                        ('replaced', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='replacing', to='yard.stowplan')),
                    ],
                    options={
                        'ordering': ['-made_at', '-id'],
                    },
                ),
                migrations.CreateModel(
                    name='HistoricalStowPlan',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('kind', models.CharField(choices=[('boats', 'boats in rows'), ('spars', 'spars on racks')], max_length=5)),
                        ('state', models.CharField(choices=[('proposed', 'proposed'), ('accepted', 'accepted'), ('dropped', 'dropped')], default='proposed', max_length=8)),
                        ('inputs', models.CharField(max_length=64)),
                        ('made_at', models.DateTimeField()),
                        ('decided_at', models.DateTimeField(blank=True, null=True)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                        ('decided_by', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('made_by', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('replaced', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.stowplan')),
                    ],
                    options={
                        'verbose_name': 'historical stow plan',
                        'verbose_name_plural': 'historical stow plans',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='StowSpot',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('level', models.PositiveSmallIntegerField(default=1)),
                        ('position', models.PositiveSmallIntegerField()),
                        ('standing', models.BooleanField(default=False)),
                        ('on', models.DateField(blank=True, null=True)),
                        ('turn', models.PositiveSmallIntegerField()),
                        ('leaves', models.DateField()),
                        ('boat', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='stow_spots', to='yard.boat')),
                        ('item', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='stow_spots', to='yard.item')),
                        ('place', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='stow_spots', to='yard.place')),
                        ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='spots', to='yard.stowplan')),
                    ],
                    options={
                        'ordering': ['plan_id', 'place_id', 'level', 'position'],
                    },
                ),
                migrations.AddConstraint(
                    model_name='stowplan',
                    constraint=models.UniqueConstraint(condition=models.Q(('state', 'accepted')), fields=('kind',), name='stow_plan_one_accepted', violation_error_message='Another plan is accepted already.'),
                ),
                migrations.AddConstraint(
                    model_name='stowplan',
                    constraint=models.UniqueConstraint(condition=models.Q(('state', 'proposed')), fields=('kind',), name='stow_plan_one_proposed'),
                ),
                migrations.AddConstraint(
                    model_name='stowspot',
                    constraint=models.UniqueConstraint(fields=('plan', 'place', 'level', 'position'), name='stow_spot_one_a_place'),
                ),
                migrations.AddConstraint(
                    model_name='stowspot',
                    constraint=models.CheckConstraint(condition=models.Q(('standing', True), ('on__isnull', False), _connector='OR'), name='stow_spot_has_its_day'),
                ),
            ]
        ),
    ]
