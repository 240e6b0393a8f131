"""Owners' other telephones and language, moorings with the parts of their tackle, and changes made as a whole."""

import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0011_feeds'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='boat',
            name='form_key',
            field=models.UUIDField(blank=True, editable=False, help_text='of the form she was added on: the same form sent twice is one', null=True, unique=True),
        ),
        migrations.AddField(
            model_name='boat',
            name='merged_into',
            field=models.ForeignKey(blank=True, editable=False, help_text='the one that she was found to be', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='merged_from', to='yard.boat'),
        ),
        migrations.AddField(
            model_name='historicalboat',
            name='form_key',
            field=models.UUIDField(blank=True, db_index=True, editable=False, help_text='of the form she was added on: the same form sent twice is one', null=True),
        ),
        migrations.AddField(
            model_name='historicalboat',
            name='merged_into',
            field=models.ForeignKey(blank=True, db_constraint=False, editable=False, help_text='the one that she was found to be', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.boat'),
        ),
        migrations.AddField(
            model_name='historicalmooring',
            name='bottom',
            field=models.CharField(blank=True, choices=[('mud', 'mud'), ('sand', 'sand'), ('clay', 'clay'), ('gravel', 'gravel'), ('rock', 'rock'), ('weed', 'weed')], max_length=6),
        ),
        migrations.AddField(
            model_name='historicalmooring',
            name='exposure',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name='historicalmooring',
            name='form_key',
            field=models.UUIDField(blank=True, db_index=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True),
        ),
        migrations.AddField(
            model_name='historicalmooring',
            name='notes',
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name='historicalowner',
            name='form_key',
            field=models.UUIDField(blank=True, db_index=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True),
        ),
        migrations.AddField(
            model_name='historicalowner',
            name='language',
            field=models.CharField(blank=True, choices=[('en', 'English'), ('es', 'Spanish'), ('pt', 'Portuguese'), ('fr', 'French'), ('de', 'German'), ('nl', 'Dutch'), ('it', 'Italian'), ('pl', 'Polish'), ('zh', 'Chinese'), ('und', 'another: see the notes')], max_length=3),
        ),
        migrations.AddField(
            model_name='historicalowner',
            name='merged_into',
            field=models.ForeignKey(blank=True, db_constraint=False, editable=False, help_text='the one that this one was found to be', null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.owner'),
        ),
        migrations.AddField(
            model_name='historicalowner',
            name='other_phones',
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name='mooring',
            name='bottom',
            field=models.CharField(blank=True, choices=[('mud', 'mud'), ('sand', 'sand'), ('clay', 'clay'), ('gravel', 'gravel'), ('rock', 'rock'), ('weed', 'weed')], max_length=6),
        ),
        migrations.AddField(
            model_name='mooring',
            name='exposure',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name='mooring',
            name='form_key',
            field=models.UUIDField(blank=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True, unique=True),
        ),
        migrations.AddField(
            model_name='mooring',
            name='notes',
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name='owner',
            name='form_key',
            field=models.UUIDField(blank=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True, unique=True),
        ),
        migrations.AddField(
            model_name='owner',
            name='language',
            field=models.CharField(blank=True, choices=[('en', 'English'), ('es', 'Spanish'), ('pt', 'Portuguese'), ('fr', 'French'), ('de', 'German'), ('nl', 'Dutch'), ('it', 'Italian'), ('pl', 'Polish'), ('zh', 'Chinese'), ('und', 'another: see the notes')], max_length=3),
        ),
        migrations.AddField(
            model_name='owner',
            name='merged_into',
            field=models.ForeignKey(blank=True, editable=False, help_text='the one that this one was found to be', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='merged_from', to='yard.owner'),
        ),
        migrations.AddField(
            model_name='owner',
            name='other_phones',
            field=models.TextField(blank=True),
        ),
        migrations.CreateModel(
            name='HistoricalTacklePart',
            fields=[
                ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('kind', models.CharField(choices=[('anchor', 'anchor or block'), ('ground_chain', 'ground chain'), ('top_chain', 'top chain'), ('rode', 'rode'), ('swivel', 'swivel'), ('shackle', 'shackle'), ('buoy', 'buoy'), ('winter_stick', 'winter stick'), ('pendant', 'pendant'), ('chafe_gear', 'chafe gear'), ('other', 'other')], max_length=12)),
                ('size', models.CharField(blank=True, max_length=60)),
                ('length_m', models.FloatField(blank=True, null=True)),
                ('laid_on', models.DateField(blank=True, null=True)),
                ('inspected_on', models.DateField(blank=True, null=True)),
                ('condition', models.CharField(blank=True, choices=[('good', 'good'), ('worn', 'worn, will do this season'), ('replace', 'to be replaced')], max_length=7)),
                ('note', models.CharField(blank=True, max_length=200)),
                ('taken_up_on', models.DateField(blank=True, null=True)),
                ('form_key', models.UUIDField(blank=True, db_index=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True)),
                ('history_id', models.AutoField(primary_key=True, serialize=False)),
                ('history_date', models.DateTimeField(db_index=True)),
                ('history_change_reason', models.CharField(max_length=100, null=True)),
                ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('mooring', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='yard.mooring')),
            ],
            options={
                'verbose_name': 'historical tackle part',
                'verbose_name_plural': 'historical tackle parts',
                'ordering': ('-history_date', '-history_id'),
                'get_latest_by': ('history_date', 'history_id'),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name='TacklePart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('kind', models.CharField(choices=[('anchor', 'anchor or block'), ('ground_chain', 'ground chain'), ('top_chain', 'top chain'), ('rode', 'rode'), ('swivel', 'swivel'), ('shackle', 'shackle'), ('buoy', 'buoy'), ('winter_stick', 'winter stick'), ('pendant', 'pendant'), ('chafe_gear', 'chafe gear'), ('other', 'other')], max_length=12)),
                ('size', models.CharField(blank=True, max_length=60)),
                ('length_m', models.FloatField(blank=True, null=True)),
                ('laid_on', models.DateField(blank=True, null=True)),
                ('inspected_on', models.DateField(blank=True, null=True)),
                ('condition', models.CharField(blank=True, choices=[('good', 'good'), ('worn', 'worn, will do this season'), ('replace', 'to be replaced')], max_length=7)),
                ('note', models.CharField(blank=True, max_length=200)),
                ('taken_up_on', models.DateField(blank=True, null=True)),
                ('form_key', models.UUIDField(blank=True, editable=False, help_text='of the form it was added on: the same form sent twice is one', null=True, unique=True)),
                ('mooring', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='parts', to='yard.mooring')),
            ],
            options={
                'ordering': ['mooring_id', 'id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('length_m', None), models.Q(('length_m__gt', 0), ('length_m__lte', 200)), _connector='OR'), name='tackle_length_in_range', violation_error_message='No part of a mooring is that long: check the unit.'), models.CheckConstraint(condition=models.Q(('laid_on', None), ('inspected_on', None), ('inspected_on__gte', models.F('laid_on')), _connector='OR'), name='tackle_laid_before_inspected', violation_error_message='It was inspected before it was laid: one of the two dates is wrong.'), models.CheckConstraint(condition=models.Q(('laid_on', None), ('taken_up_on', None), ('taken_up_on__gte', models.F('laid_on')), _connector='OR'), name='tackle_laid_before_taken_up', violation_error_message='It was taken up before it was laid: one of the two dates is wrong.')],
            },
        ),
        migrations.CreateModel(
            name='ToldApart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('of', models.CharField(choices=[('boats', 'boats'), ('owners', 'owners')], max_length=6)),
                ('one', models.PositiveBigIntegerField()),
                ('other', models.PositiveBigIntegerField()),
                ('said_at', models.DateTimeField()),
                ('said_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='told_apart', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'told apart',
                'ordering': ['of', 'one', 'other'],
                'constraints': [models.UniqueConstraint(fields=('of', 'one', 'other'), name='told_apart_once'), models.CheckConstraint(condition=models.Q(('one__lt', models.F('other'))), name='told_apart_in_order')],
            },
        ),
        migrations.CreateModel(
            name='WholeChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('boats', 'two boats merged'), ('owners', 'two owners merged'), ('sold', 'sold')], max_length=6)),
                ('says', models.CharField(max_length=300)),
                ('gone', models.PositiveBigIntegerField(blank=True, null=True)),
                ('rows', models.JSONField(default=list)),
                ('made_at', models.DateTimeField()),
                ('taken_back_at', models.DateTimeField(blank=True, null=True)),
                ('form_key', models.UUIDField(blank=True, editable=False, help_text='of its form: the same form sent twice is one', null=True, unique=True)),
                ('boat', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='whole_changes', to='yard.boat')),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='whole_changes', to=settings.AUTH_USER_MODEL)),
                ('owner', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='whole_changes', to='yard.owner')),
                ('taken_back_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='whole_changes_taken_back', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-made_at', '-id'],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('boat', None), ('kind', 'owners'), ('owner__isnull', False)), models.Q(models.Q(('kind', 'owners'), _negated=True), ('boat__isnull', False), ('owner', None)), _connector='OR'), name='whole_change_is_of_one')],
            },
        ),
    ]
