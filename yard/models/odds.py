"""How sure a plan's days are, as simulated: one row of figures for each day that an owner asks about."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.orders import Job, Order
from yard.models.plans import Plan
from yard.models.spoken import Spoken


class PlanOdds(models.Model):
    """One simulation of a posted plan. rests_on: climate, or a forecast with its time. The newest one counts."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="odds")
    made_at = models.DateTimeField()
    scenarios = models.PositiveIntegerField()
    seed = models.BigIntegerField()
    seconds = models.FloatField()
    rests_on = models.CharField(max_length=200)

    class Meta:
        verbose_name_plural = gettext_lazy("odds of plans")
        ordering = ["-made_at", "-id"]
        constraints = [models.CheckConstraint(condition=Q(scenarios__gte=1), name="plan_odds_scenarios")]

    def __str__(self) -> str:
        return _("odds of {plan}, {scenarios} scenarios").format(plan=self.plan, scenarios=self.scenarios)


class DayOdds(Spoken):
    """The day of one milestone of an order. A day_.. that is empty lies beyond the planner's calendar.

    chance_kept: of promised_date, 0 to 1.  drivers: [{cause, name, share}], the greatest first.  chances: [[date,
    share of the scenarios done by then]], rising.
    """

    class Milestone(models.TextChoices):
        FITTING = "fitting", gettext_lazy("fitting")
        LAUNCH = "launch", gettext_lazy("launch")
        DELIVERY = "delivery", gettext_lazy("delivery")
        DONE = "done", gettext_lazy("all of it done")

    odds = models.ForeignKey(PlanOdds, on_delete=models.CASCADE, related_name="days")
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="day_odds")
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="day_odds")
    milestone = models.CharField(max_length=8, choices=Milestone)
    planned_date = models.DateField()
    day_50 = models.DateField(null=True, blank=True)
    day_80 = models.DateField(null=True, blank=True)
    day_90 = models.DateField(null=True, blank=True)
    day_95 = models.DateField(null=True, blank=True)
    promised_date = models.DateField(null=True, blank=True)
    chance_kept = models.FloatField(null=True, blank=True)
    drivers = models.JSONField(default=list, blank=True)
    chances = models.JSONField(default=list, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("odds of days")
        ordering = ["odds_id", "planned_date", "id"]
        constraints = [
            models.UniqueConstraint(fields=["odds", "job", "milestone"], name="day_odds_once"),
            models.CheckConstraint(
                condition=Q(promised_date=None, chance_kept=None)
                | Q(promised_date__isnull=False, chance_kept__gte=0, chance_kept__lte=1),
                name="day_odds_chance_of_a_promise",
            ),
        ]

    def __str__(self) -> str:
        return _("{milestone} of {order}").format(milestone=self.get_milestone_display(), order=self.order)
