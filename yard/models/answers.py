"""What was asked of a plan and is worked out in the background: how good it is, ways back, what if."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.orders import Order
from yard.models.plans import Plan, PlanRun
from yard.models.spoken import Spoken


class Asking(Spoken):
    """A question that the worker answers. Asked twice while it waits or is worked on, it is answered once.

    heartbeat_at: written while it is worked on; an old one means that nobody works on it any more.
    """

    class State(models.TextChoices):
        ASKED = "asked", gettext_lazy("waiting")
        WORKING = "working", gettext_lazy("being worked out")
        DONE = "done", gettext_lazy("done")
        FAILED = "failed", gettext_lazy("failed")

    state = models.CharField(max_length=7, choices=State, default=State.ASKED)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    asked_at = models.DateTimeField()
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    error = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True


class PlanBound(Asking):
    """What no plan of the season can be better than, proved from the stored Problem of a plan.

    cost, weighted_days_late, days_of_flow: each a bound of its own, for every plan that keeps the rules; they are
    proved apart and need not be had together.  by: what proved the cost (yard.planning.bound.By).  seconds: it took.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="bounds")
    cost = models.PositiveBigIntegerField(default=0)
    weighted_days_late = models.PositiveBigIntegerField(default=0)
    days_of_flow = models.PositiveBigIntegerField(default=0)
    by = models.CharField(max_length=10, blank=True)
    seconds = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]

    def __str__(self) -> str:
        return _("bound of {plan}, {state}").format(plan=self.plan, state=self.get_state_display())


class BackSearch(Asking):
    """Ways back for the late boats of a plan, tried on the facts of one revision.

    boats: how many are late; an answer row stands for each that is done.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="back_searches")
    facts_revision = models.PositiveBigIntegerField()
    boats = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-id"]

    def __str__(self) -> str:
        return _("ways back for {plan}, {state}").format(plan=self.plan, state=self.get_state_display())


class BackAnswer(models.Model):
    """The ways back of one late boat, by her latest order: [{says, gains_days, on_time, disturbs}], cheapest first.

    days_late: as it was tried.  whole: every kind of change was tried; else the time was over before.
    """

    search = models.ForeignKey(BackSearch, on_delete=models.CASCADE, related_name="answers")
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="+")
    days_late = models.PositiveIntegerField()
    ways = models.JSONField(default=list, blank=True)
    seconds = models.FloatField()
    whole = models.BooleanField(default=True)

    class Meta:
        ordering = ["search_id", "-days_late", "id"]
        constraints = [models.UniqueConstraint(fields=["search", "order"], name="back_answer_once")]

    def __str__(self) -> str:
        return _("{ways} ways back for {order}").format(ways=len(self.ways), order=self.order)


class WhatIf(Spoken):
    """A copy of the season with one change, planned beside the season as it is; the posted plan is never touched.

    change: what is different, as yard.planning.what_if reads it.  says: the same in a sentence.
    figures: {"posted", "same", "changed"}, each as yard.services.what_if.Side has it ("posted" null where none hung).
    problem, plan: the JSON texts of the changed season and its plan.  made: the draft plan that was made of it.
    form_key: of the form that asked, so that a double press asks once.
    """

    class State(models.TextChoices):
        ASKED = "asked", gettext_lazy("being planned")
        READY = "ready", gettext_lazy("to decide")
        KEPT = "kept", gettext_lazy("kept")
        DROPPED = "dropped", gettext_lazy("thrown away")
        FAILED = "failed", gettext_lazy("failed")

    state = models.CharField(max_length=7, choices=State, default=State.ASKED)
    says = models.CharField(max_length=200)
    change = models.JSONField()
    form_key = models.UUIDField(unique=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    asked_at = models.DateTimeField()
    based_on = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="what_ifs")
    run = models.OneToOneField(PlanRun, null=True, blank=True, on_delete=models.SET_NULL, related_name="what_if")
    facts_revision = models.PositiveBigIntegerField(default=0)
    figures = models.JSONField(default=dict, blank=True)
    problem = models.TextField(blank=True)
    plan = models.TextField(blank=True)
    made = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["kept", "dropped"]) | Q(decided_at__isnull=False),
                name="what_if_decided_has_time",
            )
        ]

    def __str__(self) -> str:
        return self.says
