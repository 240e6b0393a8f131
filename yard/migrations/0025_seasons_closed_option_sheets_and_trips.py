"""Seasons ended and closed, options sheets of new boats with what was chosen, trips with a fixed date, parts."""

import django.core.validators
import django.db.models.deletion
import simple_history.models
import yard.models.checks
from django.conf import settings
from django.db import migrations, models

from yard.migrating import MakeTables


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0024_store_plans_and_autumn_rules'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        MakeTables(
            [
                migrations.CreateModel(
                    name='HistoricalOptionSheet',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('key', models.SlugField(max_length=40)),
                        ('name', models.CharField(max_length=80)),
                        ('base_price', models.DecimalField(decimal_places=2, default=0, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('base_materials', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('one_of', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('notes', models.TextField(blank=True, help_text="printed on the customer's sheet")),
                        ('source', models.CharField(help_text='where these figures come from', max_length=200)),
                        ('archived', models.BooleanField(default=False)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                    ],
                    options={
                        'verbose_name': 'historical option sheet',
                        'verbose_name_plural': 'historical option sheets',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalSeason',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('name', models.CharField(db_index=True, max_length=60)),
                        ('starts_on', models.DateField()),
                        ('ends_on', models.DateField()),
                        ('closed_at', models.DateTimeField(blank=True, null=True)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                    ],
                    options={
                        'verbose_name': 'historical season',
                        'verbose_name_plural': 'historical seasons',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalSheetChoice',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('options', models.JSONField(default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('lines', models.JSONField(default=list, validators=[yard.models.checks.is_list])),
                        ('materials', models.JSONField(blank=True, default=dict, validators=[yard.models.checks.is_table])),
                        ('price', models.DecimalField(decimal_places=2, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('made_at', models.DateTimeField()),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                    ],
                    options={
                        'verbose_name': 'historical sheet choice',
                        'verbose_name_plural': 'historical sheet choices',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalSheetOption',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('key', models.SlugField(max_length=40)),
                        ('name', models.CharField(max_length=80)),
                        ('group', models.CharField(blank=True, max_length=40)),
                        ('price', models.DecimalField(decimal_places=2, default=0, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('brings', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('hours', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('materials', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('excludes', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('needs', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('on_by_default', models.BooleanField(default=False)),
                        ('source', models.CharField(help_text='where these figures come from', max_length=200)),
                        ('sequence', models.PositiveSmallIntegerField(default=0)),
                        ('archived', models.BooleanField(default=False)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                    ],
                    options={
                        'verbose_name': 'historical sheet option',
                        'verbose_name_plural': 'historical sheet options',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalTrip',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('leaves_at', models.DateTimeField()),
                        ('drive_min', models.PositiveIntegerField()),
                        ('check_in_by', models.DateTimeField(blank=True, null=True)),
                        ('returns_at', models.DateTimeField()),
                        ('permit', models.CharField(blank=True, max_length=60)),
                        ('escort', models.CharField(blank=True, help_text='who drives before or behind', max_length=120)),
                        ('note', models.CharField(blank=True, max_length=200)),
                        ('booked_at', models.DateTimeField()),
                        ('called_off_at', models.DateTimeField(blank=True, null=True)),
                        ('form_key', models.UUIDField(blank=True, db_index=True, editable=False, null=True)),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                    ],
                    options={
                        'verbose_name': 'historical trip',
                        'verbose_name_plural': 'historical trips',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalTrip_people',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('m2m_history_id', models.AutoField(primary_key=True, serialize=False)),
                    ],
                    options={
                        'verbose_name': 'HistoricalTrip_people',
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='HistoricalTrip_places',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('m2m_history_id', models.AutoField(primary_key=True, serialize=False)),
                    ],
                    options={
                        'verbose_name': 'HistoricalTrip_places',
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='OptionSheet',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('key', models.SlugField(max_length=40, unique=True)),
                        ('name', models.CharField(max_length=80)),
                        ('base_price', models.DecimalField(decimal_places=2, default=0, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('base_materials', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('one_of', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('notes', models.TextField(blank=True, help_text="printed on the customer's sheet")),
                        ('source', models.CharField(help_text='where these figures come from', max_length=200)),
                        ('archived', models.BooleanField(default=False)),
                    ],
                    options={
                        'ordering': ['name', 'id'],
                    },
                ),
                migrations.CreateModel(
                    name='SheetChoice',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('options', models.JSONField(default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('lines', models.JSONField(default=list, validators=[yard.models.checks.is_list])),
                        ('materials', models.JSONField(blank=True, default=dict, validators=[yard.models.checks.is_table])),
                        ('price', models.DecimalField(decimal_places=2, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('made_at', models.DateTimeField()),
                    ],
                    options={
                        'ordering': ['-made_at', '-id'],
                    },
                ),
                migrations.CreateModel(
                    name='SheetOption',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('key', models.SlugField(max_length=40)),
                        ('name', models.CharField(max_length=80)),
                        ('group', models.CharField(blank=True, max_length=40)),
                        ('price', models.DecimalField(decimal_places=2, default=0, max_digits=9, validators=[django.core.validators.MinValueValidator(0, 'A price is not below nothing.')])),
                        ('brings', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('hours', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('materials', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list])),
                        ('excludes', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('needs', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                        ('on_by_default', models.BooleanField(default=False)),
                        ('source', models.CharField(help_text='where these figures come from', max_length=200)),
                        ('sequence', models.PositiveSmallIntegerField(default=0)),
                        ('archived', models.BooleanField(default=False)),
                    ],
                    options={
                        'ordering': ['sheet_id', 'sequence', 'id'],
                    },
                ),
                migrations.CreateModel(
                    name='Trip',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('version', models.PositiveIntegerField(default=1, editable=False)),
                        ('leaves_at', models.DateTimeField()),
                        ('drive_min', models.PositiveIntegerField()),
                        ('check_in_by', models.DateTimeField(blank=True, null=True)),
                        ('returns_at', models.DateTimeField()),
                        ('permit', models.CharField(blank=True, max_length=60)),
                        ('escort', models.CharField(blank=True, help_text='who drives before or behind', max_length=120)),
                        ('note', models.CharField(blank=True, max_length=200)),
                        ('booked_at', models.DateTimeField()),
                        ('called_off_at', models.DateTimeField(blank=True, null=True)),
                        ('form_key', models.UUIDField(blank=True, editable=False, null=True, unique=True)),
                    ],
                    options={
                        'ordering': ['leaves_at', 'id'],
                    },
                ),
                migrations.CreateModel(
                    name='YearEnd',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('state', models.CharField(choices=[('queued', 'waiting for the worker'), ('running', 'under way'), ('stopped', 'stopped'), ('done', 'done'), ('taken_back', 'taken back')], default='queued', max_length=10)),
                        ('choices', models.JSONField(default=dict, validators=[yard.models.checks.is_table])),
                        ('form_key', models.UUIDField(editable=False, help_text="the same form sent twice is one year's end", unique=True)),
                        ('total', models.PositiveIntegerField(default=0)),
                        ('done', models.PositiveIntegerField(default=0)),
                        ('trouble', models.CharField(blank=True, max_length=300)),
                        ('asked_at', models.DateTimeField()),
                        ('claim', models.UUIDField(blank=True, editable=False, help_text='of the worker that carries it out', null=True)),
                        ('heartbeat_at', models.DateTimeField(blank=True, null=True)),
                        ('ended_at', models.DateTimeField(blank=True, null=True)),
                        ('taken_back_at', models.DateTimeField(blank=True, null=True)),
                        ('taken_back_why', models.CharField(blank=True, max_length=200)),
                    ],
                    options={
                        'ordering': ['-asked_at', '-id'],
                    },
                ),
                migrations.CreateModel(
                    name='YearEndLine',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('kind', models.CharField(choices=[('finished', 'finished order'), ('open_order', 'unfinished order'), ('again', "last year's order taken again"), ('repairs', 'unfinished repair list'), ('estimate', 'hours learnt')], max_length=10)),
                        ('what', models.CharField(max_length=160)),
                        ('before_min', models.PositiveIntegerField(blank=True, null=True)),
                        ('after_min', models.PositiveIntegerField(blank=True, null=True)),
                        ('left_why', models.CharField(blank=True, max_length=300)),
                    ],
                    options={
                        'ordering': ['year_end_id', 'id'],
                    },
                ),
                migrations.AddField(
                    model_name='historicaloptionsheet',
                    name='history_user',
                    field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicaloptionsheet',
                    name='package',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.package'),
                ),
                migrations.AddField(
                    model_name='historicalseason',
                    name='history_user',
                    field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicalsheetchoice',
                    name='history_user',
                    field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicalsheetchoice',
                    name='made_by',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicalsheetchoice',
                    name='order',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='historicalsheetoption',
                    name='history_user',
                    field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicaltrip',
                    name='booked_by',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicaltrip',
                    name='history_user',
                    field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='historicaltrip',
                    name='order',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_people',
                    name='history',
                    field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, to='yard.historicaltrip'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_people',
                    name='person',
                    field=models.ForeignKey(blank=True, db_constraint=False, db_tablespace='', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.person'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_places',
                    name='history',
                    field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, to='yard.historicaltrip'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_places',
                    name='place',
                    field=models.ForeignKey(blank=True, db_constraint=False, db_tablespace='', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.place'),
                ),
                migrations.AddField(
                    model_name='optionsheet',
                    name='package',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='option_sheets', to='yard.package'),
                ),
                migrations.AddField(
                    model_name='historicalsheetoption',
                    name='sheet',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.optionsheet'),
                ),
                migrations.AddField(
                    model_name='historicalsheetchoice',
                    name='sheet',
                    field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.optionsheet'),
                ),
                migrations.AddField(
                    model_name='sheetchoice',
                    name='made_by',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='sheet_choices', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='sheetchoice',
                    name='order',
                    field=models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='sheet_choice', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='sheetchoice',
                    name='sheet',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='choices', to='yard.optionsheet'),
                ),
                migrations.AddField(
                    model_name='sheetoption',
                    name='sheet',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='options', to='yard.optionsheet'),
                ),
                migrations.AddField(
                    model_name='trip',
                    name='booked_by',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='trips_booked', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='trip',
                    name='order',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='trips', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='trip',
                    name='people',
                    field=models.ManyToManyField(related_name='trips', to='yard.person'),
                ),
                migrations.AddField(
                    model_name='trip',
                    name='places',
                    field=models.ManyToManyField(related_name='trips', to='yard.place'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_places',
                    name='trip',
                    field=models.ForeignKey(blank=True, db_constraint=False, db_tablespace='', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.trip'),
                ),
                migrations.AddField(
                    model_name='historicaltrip_people',
                    name='trip',
                    field=models.ForeignKey(blank=True, db_constraint=False, db_tablespace='', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.trip'),
                ),
                migrations.AddField(
                    model_name='yearend',
                    name='again_into',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='taken_again_from', to='yard.season'),
                ),
                migrations.AddField(
                    model_name='yearend',
                    name='asked_by',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='year_ends', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='yearend',
                    name='into',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='carried_from', to='yard.season'),
                ),
                migrations.AddField(
                    model_name='yearend',
                    name='season',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='year_ends', to='yard.season'),
                ),
                migrations.AddField(
                    model_name='yearend',
                    name='taken_back_by',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='year_ends_taken_back', to=settings.AUTH_USER_MODEL),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='copy',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='order',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='yard.order'),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='repair_list',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='carried_over', to='yard.repairlist'),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='season_before',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='yard.season'),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='way',
                    field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='yard.packageway'),
                ),
                migrations.AddField(
                    model_name='yearendline',
                    name='year_end',
                    field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='yard.yearend'),
                ),
                migrations.AddConstraint(
                    model_name='sheetchoice',
                    constraint=models.CheckConstraint(condition=models.Q(('price__gte', 0)), name='sheet_choice_price'),
                ),
                migrations.AddConstraint(
                    model_name='sheetoption',
                    constraint=models.UniqueConstraint(fields=('sheet', 'key'), name='sheet_option_once', violation_error_message='Another option of this sheet has that key.'),
                ),
                migrations.AddConstraint(
                    model_name='trip',
                    constraint=models.UniqueConstraint(condition=models.Q(('called_off_at', None)), fields=('order',), name='trip_one_an_order', violation_error_message='This order has its trip already: change that one, or call it off.'),
                ),
                migrations.AddConstraint(
                    model_name='trip',
                    constraint=models.CheckConstraint(condition=models.Q(('returns_at__gt', models.F('leaves_at'))), name='trip_returns_after_leaving', violation_error_message='They are back before they leave: set the return after it.'),
                ),
                migrations.AddConstraint(
                    model_name='yearend',
                    constraint=models.UniqueConstraint(condition=models.Q(('state__in', ['queued', 'running', 'stopped'])), fields=('season',), name='year_end_one_in_hand', violation_error_message="Somebody is at this season's end already."),
                ),
                migrations.AddConstraint(
                    model_name='yearendline',
                    constraint=models.UniqueConstraint(condition=models.Q(('order__isnull', False)), fields=('year_end', 'kind', 'order'), name='year_end_order_once'),
                ),
                migrations.AddConstraint(
                    model_name='yearendline',
                    constraint=models.UniqueConstraint(condition=models.Q(('way__isnull', False)), fields=('year_end', 'way'), name='year_end_estimate_once'),
                ),
            ]
        ),
        migrations.RemoveConstraint(
            model_name='material',
            name='material_foam_has_its_sheet',
        ),
        migrations.AddField(
            model_name='historicalpin',
            name='ends_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='pin',
            name='ends_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name='historicalmaterial',
            name='kind',
            field=models.CharField(choices=[('cloth', 'cloth, by the roll'), ('foam', 'foam, by the sheet'), ('piece', 'a part, by the piece')], default='cloth', max_length=5),
        ),
        migrations.AlterField(
            model_name='historicalmaterial',
            name='width_mm',
            field=models.PositiveIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)]),
        ),
        migrations.AlterField(
            model_name='material',
            name='kind',
            field=models.CharField(choices=[('cloth', 'cloth, by the roll'), ('foam', 'foam, by the sheet'), ('piece', 'a part, by the piece')], default='cloth', max_length=5),
        ),
        migrations.AlterField(
            model_name='material',
            name='width_mm',
            field=models.PositiveIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1)]),
        ),
        migrations.AddConstraint(
            model_name='material',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['cloth', 'piece']), models.Q(('length_mm__gt', 0), ('length_mm__isnull', False), ('thickness_mm__gt', 0), ('thickness_mm__isnull', False)), _connector='OR'), name='material_foam_has_its_sheet', violation_error_message='Foam has the length and the thickness of its sheet.'),
        ),
        migrations.AddField(
            model_name='historicalpin',
            name='trip',
            field=models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.trip'),
        ),
        migrations.AddField(
            model_name='pin',
            name='trip',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='pins', to='yard.trip'),
        ),
        migrations.AddConstraint(
            model_name='pin',
            constraint=models.CheckConstraint(condition=models.Q(('ends_at', None), models.Q(('ends_at__gt', models.F('starts_at')), ('starts_at__isnull', False)), _connector='OR'), name='pin_ends_after_start'),
        ),
    ]
