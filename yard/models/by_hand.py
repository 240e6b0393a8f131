"""Changes that a person makes to the posted plan by hand: they gather in a draft until it is posted or dropped."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.events import Event
from yard.models.orders import Job
from yard.models.plans import Plan
from yard.models.spoken import Spoken


class HandDraft(Spoken):
    """The posted plan with changes by hand, not yet posted. One that is open at a time hangs on each posted plan.

    done: how many of its changes hold; those after it were undone and can be done again.  version: of the draft, so
    that of two who change it the second is told.
    """

    class State(models.TextChoices):
        OPEN = "open", gettext_lazy("open")
        POSTED = "posted", gettext_lazy("posted")
        DROPPED = "dropped", gettext_lazy("dropped")

    based_on = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="hand_drafts")
    state = models.CharField(max_length=7, choices=State, default=State.OPEN)
    done = models.PositiveSmallIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)
    posted = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="posted_by_hand")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="hand_drafts"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["based_on"], condition=Q(state="open"), name="hand_draft_one_open")
        ]

    def __str__(self) -> str:
        return _("changes by hand to {based_on}").format(based_on=self.based_on)


class HandChange(models.Model):
    """One change: where jobs stand after it.

    placements: [{job, way, starts_at, ends_at, people, places: [[id, unit]]}], row ids and ISO 8601 in UTC: the job
    and whatever moves with it.  stays: [{stay, place, unit}] that change.  pins: the job is to stay there.
    waives: [{rule, limit}], with `reason`.
    event: the split of a job, which changed facts.
    """

    draft = models.ForeignKey(HandDraft, on_delete=models.CASCADE, related_name="changes")
    sequence = models.PositiveSmallIntegerField()
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="hand_changes")
    says = models.CharField(max_length=300)
    placements = models.JSONField(default=list)
    stays = models.JSONField(default=list, blank=True)
    pins = models.BooleanField(default=False)
    waives = models.JSONField(default=list, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    event = models.ForeignKey(Event, null=True, blank=True, on_delete=models.SET_NULL, related_name="hand_changes")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="hand_changes"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["draft_id", "sequence"]
        constraints = [models.UniqueConstraint(fields=["draft", "sequence"], name="hand_change_once")]

    def __str__(self) -> str:
        return self.says
