"""Answers to what was asked of a plan: how good it is, ways back, what if."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('yard', '0011_feeds'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='BackSearch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('asked', 'waiting'), ('working', 'being worked out'), ('done', 'done'), ('failed', 'failed')], default='asked', max_length=7)),
                ('asked_at', models.DateTimeField()),
                ('heartbeat_at', models.DateTimeField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('error', models.CharField(blank=True, max_length=300)),
                ('facts_revision', models.PositiveBigIntegerField()),
                ('boats', models.PositiveIntegerField(default=0)),
                ('asked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='back_searches', to='yard.plan')),
            ],
            options={
                'ordering': ['-asked_at', '-id'],
            },
        ),
        migrations.CreateModel(
            name='PlanBound',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('asked', 'waiting'), ('working', 'being worked out'), ('done', 'done'), ('failed', 'failed')], default='asked', max_length=7)),
                ('asked_at', models.DateTimeField()),
                ('heartbeat_at', models.DateTimeField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('error', models.CharField(blank=True, max_length=300)),
                ('cost', models.PositiveBigIntegerField(default=0)),
                ('weighted_days_late', models.PositiveBigIntegerField(default=0)),
                ('days_of_flow', models.PositiveBigIntegerField(default=0)),
                ('by', models.CharField(blank=True, max_length=10)),
                ('seconds', models.FloatField(blank=True, null=True)),
                ('asked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='bounds', to='yard.plan')),
            ],
            options={
                'ordering': ['-asked_at', '-id'],
            },
        ),
        migrations.CreateModel(
            name='BackAnswer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('days_late', models.PositiveIntegerField()),
                ('ways', models.JSONField(blank=True, default=list)),
                ('seconds', models.FloatField()),
                ('whole', models.BooleanField(default=True)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='yard.order')),
                ('search', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='answers', to='yard.backsearch')),
            ],
            options={
                'ordering': ['search_id', '-days_late', 'id'],
                'constraints': [models.UniqueConstraint(fields=('search', 'order'), name='back_answer_once')],
            },
        ),
        migrations.CreateModel(
            name='WhatIf',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('asked', 'being planned'), ('ready', 'to decide'), ('kept', 'kept'), ('dropped', 'thrown away'), ('failed', 'failed')], default='asked', max_length=7)),
                ('says', models.CharField(max_length=200)),
                ('change', models.JSONField()),
                ('form_key', models.UUIDField(unique=True)),
                ('asked_at', models.DateTimeField()),
                ('facts_revision', models.PositiveBigIntegerField(default=0)),
                ('figures', models.JSONField(blank=True, default=dict)),
                ('problem', models.TextField(blank=True)),
                ('plan', models.TextField(blank=True)),
                ('decided_at', models.DateTimeField(blank=True, null=True)),
                ('asked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('based_on', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='what_ifs', to='yard.plan')),
                ('decided_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('made', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='yard.plan')),
                ('run', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='what_if', to='yard.planrun')),
            ],
            options={
                'ordering': ['-asked_at', '-id'],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('state__in', ['kept', 'dropped']), _negated=True), ('decided_at__isnull', False), _connector='OR'), name='what_if_decided_has_time')],
            },
        ),
    ]
