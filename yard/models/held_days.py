"""Days held for a caller: an order with a place in the plan, for as long as the yard said, so that two callers are
never promised the same day."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.checks import is_list
from yard.models.orders import Order
from yard.models.spoken import Spoken


class HeldDays(Spoken):
    """An order held until a moment on the yard's clock, and where it would stand until a plan is posted with it.

    While it is held the order is open, and planned with its last day told as promised; nobody is written to about it.
    told_day: the last day that was told; day_80, day_90: by which it is done in 80 and 90 of 100 seasons, empty where
    the season was not simulated or ends before.  said: the sentence that was said.
    jobs: where each of its jobs stands, [{job, way, starts_at, ends_at, people, places: [[place, unit]]}], ids of rows;
    stays: [[stay, place, unit]].
    """

    class State(models.TextChoices):
        HELD = "held", gettext_lazy("held")
        TAKEN = "taken", gettext_lazy("taken as an order")
        RELEASED = "released", gettext_lazy("let go")
        RUN_OUT = "run_out", gettext_lazy("run out")

    order = models.OneToOneField(Order, on_delete=models.CASCADE, related_name="held")
    state = models.CharField(max_length=8, choices=State, default=State.HELD)
    until = models.DateTimeField()
    told_day = models.DateField()
    day_80 = models.DateField(null=True, blank=True)
    day_90 = models.DateField(null=True, blank=True)
    said = models.CharField(max_length=600)
    jobs = models.JSONField(default=list, validators=[is_list])
    stays = models.JSONField(default=list, blank=True, validators=[is_list])
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    made_at = models.DateTimeField()
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("held days")
        ordering = ["until", "id"]
        indexes = [models.Index(fields=["state", "until"], name="held_days_state_until")]
        constraints = [
            models.CheckConstraint(condition=Q(until__gt=models.F("made_at")), name="held_days_end_after_they_begin"),
            models.CheckConstraint(
                condition=Q(state="held", ended_at=None) | (~Q(state="held") & Q(ended_at__isnull=False)),
                name="held_days_ended_or_held",
            ),
        ]

    def __str__(self) -> str:
        return _("{order}, {state} until {until}").format(
            order=self.order, state=self.get_state_display(), until=f"{self.until:%Y-%m-%d %H:%M}"
        )
