"""Calendars: rows for every thing that a feed shows, and addresses whose token only its hash tells."""

import django.db.models.deletion
import uuid
import yard.models.checks
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0010_sheets_and_refs'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.DeleteModel(
            name='FeedVisitPerson',
        ),
        migrations.DeleteModel(
            name='FeedVisit',
        ),
        migrations.DeleteModel(
            name='CalendarAddress',
        ),
        migrations.CreateModel(
            name='CalendarAddress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('person', "one person's jobs"), ('boat', "one boat's jobs"), ('owner', "one owner's boats"), ('place', 'one place'), ('yard', "everybody's jobs"), ('tides', 'tides and daylight'), ('closures', 'closures and holidays'), ('deadlines', 'deadlines')], max_length=9)),
                ('name', models.CharField(max_length=80)),
                ('parts', models.JSONField(blank=True, default=list, validators=[yard.models.checks.is_list_of_names])),
                ('draft_m', models.FloatField(blank=True, null=True)),
                ('alarm_min', models.PositiveSmallIntegerField(blank=True, help_text='minutes before; empty: no alarm', null=True)),
                ('uid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('seed', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('token_sha256', models.CharField(editable=False, max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('changed_at', models.DateTimeField()),
                ('paused_at', models.DateTimeField(blank=True, null=True)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('last_fetched_at', models.DateTimeField(blank=True, null=True)),
                ('last_client', models.CharField(blank=True, max_length=40)),
                ('written_for', models.CharField(blank=True, max_length=64)),
                ('tag', models.CharField(blank=True, max_length=40)),
                ('boat', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='addresses', to='yard.boat')),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='addresses_made', to=settings.AUTH_USER_MODEL)),
                ('owner', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='addresses', to='yard.owner')),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='addresses', to='yard.person')),
                ('place', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='addresses', to='yard.place')),
                ('replaced_by', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='replaces', to='yard.calendaraddress')),
            ],
            options={
                'verbose_name_plural': 'calendar addresses',
                'ordering': ['name', 'id'],
            },
        ),
        migrations.CreateModel(
            name='FeedEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=80, unique=True)),
                ('part', models.CharField(choices=[('jobs', 'jobs'), ('closures', 'closures and holidays'), ('deadlines', 'deadlines'), ('highs_lows', 'high and low water'), ('ramp', 'water at the ramp for a draft'), ('daylight', 'daylight')], max_length=10)),
                ('owners', models.BooleanField(default=False)),
                ('uid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('sequence', models.PositiveIntegerField(default=0)),
                ('made_at', models.DateTimeField()),
                ('revised_at', models.DateTimeField()),
                ('cancelled_at', models.DateTimeField(blank=True, null=True)),
                ('whole_days', models.BooleanField(default=False)),
                ('starts_at', models.DateTimeField()),
                ('ends_at', models.DateTimeField()),
                ('content', models.JSONField(default=dict, validators=[yard.models.checks.is_table])),
                ('changed', models.JSONField(blank=True, default=list)),
                ('fingerprint', models.CharField(max_length=64)),
                ('lines', models.TextField()),
                ('job', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='feed_entries', to='yard.job')),
            ],
            options={
                'verbose_name_plural': 'feed entries',
                'ordering': ['starts_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='FeedMember',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('person', 'a person'), ('boat', 'a boat'), ('owner', 'an owner'), ('place', 'a place')], max_length=6)),
                ('subject', models.PositiveBigIntegerField()),
                ('taken_off_at', models.DateTimeField(blank=True, null=True)),
                ('sequence', models.PositiveIntegerField(default=0)),
                ('lines', models.TextField(blank=True)),
                ('entry', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='members', to='yard.feedentry')),
            ],
            options={
                'ordering': ['entry_id', 'kind', 'subject'],
            },
        ),
        migrations.CreateModel(
            name='FeedState',
            fields=[
                ('id', models.PositiveSmallIntegerField(default=1, editable=False, primary_key=True, serialize=False)),
                ('count', models.PositiveBigIntegerField(default=0)),
                ('read_of', models.CharField(blank=True, max_length=64)),
                ('zone', models.CharField(blank=True, max_length=60)),
                ('changed_at', models.DateTimeField(blank=True, null=True)),
                ('reckoned', models.UUIDField(default=uuid.uuid4, editable=False)),
                ('tide_fingerprint', models.CharField(blank=True, max_length=64)),
                ('tide_sequence', models.PositiveIntegerField(default=0)),
                ('tide_revised_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('id', 1)), name='feed_state_one_row')],
            },
        ),
        migrations.AddConstraint(
            model_name='calendaraddress',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('boat', None), ('kind', 'person'), ('owner', None), ('person__isnull', False), ('place', None)), models.Q(('boat__isnull', False), ('kind', 'boat'), ('owner', None), ('person', None), ('place', None)), models.Q(('boat', None), ('kind', 'owner'), ('owner__isnull', False), ('person', None), ('place', None)), models.Q(('boat', None), ('kind', 'place'), ('owner', None), ('person', None), ('place__isnull', False)), models.Q(('kind__in', ['yard', 'tides', 'closures', 'deadlines']), ('boat', None), ('owner', None), ('person', None), ('place', None)), _connector='OR'), name='calendar_address_of_its_kind'),
        ),
        migrations.AddConstraint(
            model_name='calendaraddress',
            constraint=models.CheckConstraint(condition=models.Q(('token_sha256', ''), _negated=True), name='calendar_address_has_a_token'),
        ),
        migrations.AddConstraint(
            model_name='calendaraddress',
            constraint=models.CheckConstraint(condition=models.Q(('alarm_min', None), ('alarm_min__lte', 10080), _connector='OR'), name='calendar_address_alarm_in_range'),
        ),
        migrations.AddConstraint(
            model_name='calendaraddress',
            constraint=models.CheckConstraint(condition=models.Q(('draft_m', None), models.Q(('draft_m__gt', 0), ('draft_m__lte', 12)), _connector='OR'), name='calendar_address_draft_in_range'),
        ),
        migrations.AddIndex(
            model_name='feedentry',
            index=models.Index(fields=['part', 'owners', 'ends_at'], name='feed_entry_part_end'),
        ),
        migrations.AddConstraint(
            model_name='feedentry',
            constraint=models.CheckConstraint(condition=models.Q(('ends_at__gt', models.F('starts_at'))), name='feed_entry_ends_after_start'),
        ),
        migrations.AddConstraint(
            model_name='feedentry',
            constraint=models.CheckConstraint(condition=models.Q(('revised_at__gte', models.F('made_at'))), name='feed_entry_revised_after_made'),
        ),
        migrations.AddConstraint(
            model_name='feedentry',
            constraint=models.CheckConstraint(condition=models.Q(('part__in', ['jobs', 'closures', 'deadlines'])), name='feed_entry_is_of_a_stored_part'),
        ),
        migrations.AddIndex(
            model_name='feedmember',
            index=models.Index(fields=['kind', 'subject'], name='feed_member_subject'),
        ),
        migrations.AddConstraint(
            model_name='feedmember',
            constraint=models.UniqueConstraint(fields=('entry', 'kind', 'subject'), name='feed_member_once'),
        ),
        migrations.AddConstraint(
            model_name='feedmember',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('lines', ''), ('taken_off_at', None)), models.Q(('taken_off_at__isnull', False), models.Q(('lines', ''), _negated=True)), _connector='OR'), name='feed_member_taken_off_says_so'),
        ),
    ]
