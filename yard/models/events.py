"""What happened to a posted plan, and the proposals that were made for it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.orders import Job
from yard.models.plans import Plan, PlanRun
from yard.models.spoken import Spoken


class Event(Spoken):
    """Something that changed facts under a posted plan: a day closed, somebody away, cloth late.

    rows: the facts that it wrote, [{model, pk, before, after}], so that it can be taken back: `before` is null for a
    row that it made, else the fields as they were.  Rows are added, not changed: a correction names what it corrects.
    job: the one that it is about, if any.
    """

    class Kind(models.TextChoices):
        CLOSURE = "closure", gettext_lazy("closed")
        AWAY = "away", gettext_lazy("away")
        EXTRA_HOURS = "extra", gettext_lazy("extra hours")
        LONGER = "longer", gettext_lazy("takes longer")
        DONE = "done", gettext_lazy("done early")
        FAILED = "failed", gettext_lazy("failed")
        FACT = "fact", gettext_lazy("fact late or early")
        SLIP = "slip", gettext_lazy("contractor slips")
        OWNER_DATE = "date", gettext_lazy("owner's new date")
        URGENT = "urgent", gettext_lazy("urgent")
        MOVED = "moved", gettext_lazy("lies elsewhere")
        STARTED = "started", gettext_lazy("started")
        STOPPED = "stopped", gettext_lazy("stopped")
        SPLIT = "split", gettext_lazy("split in two")
        DAY = "day", gettext_lazy("day closed")
        STORM = "storm", gettext_lazy("storm")
        DAMP = "damp", gettext_lazy("came off damp")
        RUN = "run", gettext_lazy("owners carried")

    kind = models.CharField(max_length=7, choices=Kind)
    says = models.CharField(max_length=300)
    rows = models.JSONField(default=list)
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.SET_NULL, related_name="events")
    form_key = models.UUIDField(
        null=True,
        blank=True,
        unique=True,
        editable=False,
        help_text=gettext_lazy("of the form: the same form sent twice is one"),
    )
    corrects = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="corrections")
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="events_recorded"
    )
    recorded_at = models.DateTimeField()
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="events_withdrawn"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-recorded_at", "-id"]

    def __str__(self) -> str:
        return self.says


class Proposal(Spoken):
    """An answer to events: plans to choose from, made from the posted one, until a person accepts or drops it.

    based_on: the plan that was posted when it was asked for; once another is posted, it is stale.
    wishes: {keep_boats, leave_people}: row ids.  must_move: [{boat, job}] that move in any plan, proved; row ids.
    not_kept: [{boat, job, rule, says}] that was wished to stay and cannot, with the rule that forbids it.
    posted: the plan that accepting it put on the wall.  again_for: the proposal that was asked again with wishes.
    """

    class State(models.TextChoices):
        ASKED = "asked", gettext_lazy("being made")
        READY = "ready", gettext_lazy("ready")
        ACCEPTED = "accepted", gettext_lazy("accepted")
        DROPPED = "dropped", gettext_lazy("dropped")
        FAILED = "failed", gettext_lazy("failed")
        UNDONE = "undone", gettext_lazy("undone")

    state = models.CharField(max_length=8, choices=State, default=State.ASKED)
    events = models.ManyToManyField(Event, blank=True, related_name="proposals")
    based_on = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="reshuffles")
    run = models.OneToOneField(PlanRun, null=True, blank=True, on_delete=models.SET_NULL, related_name="proposal")
    again_for = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="asked_again")
    wishes = models.JSONField(default=dict, blank=True)
    must_move = models.JSONField(default=list, blank=True)
    not_kept = models.JSONField(default=list, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="proposals_asked"
    )
    asked_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="proposals_decided"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    posted = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.PROTECT, related_name="accepted_proposals")

    class Meta:
        ordering = ["-asked_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["accepted", "undone"]) | Q(posted__isnull=False), name="proposal_accepted_posts"
            )
        ]

    def __str__(self) -> str:
        return _("proposal {pk}, {state}").format(pk=self.pk, state=self.get_state_display())


class ProposedPlan(models.Model):
    """One draft of a proposal, from fewest boats moved (rank 0) to fewest days late; one of them is proposed."""

    proposal = models.ForeignKey(Proposal, on_delete=models.CASCADE, related_name="choices")
    plan = models.OneToOneField(Plan, on_delete=models.CASCADE, related_name="proposed_in")
    rank = models.PositiveSmallIntegerField()
    proposed = models.BooleanField(default=False)
    firm_moved = models.PositiveIntegerField()
    boats_moved = models.PositiveIntegerField()
    jobs_moved = models.PositiveIntegerField()
    people_changed = models.PositiveIntegerField()
    promises_lost = models.PositiveIntegerField()

    class Meta:
        ordering = ["proposal_id", "rank"]
        constraints = [
            models.UniqueConstraint(fields=["proposal", "rank"], name="proposed_plan_rank_once"),
            models.UniqueConstraint(fields=["proposal"], condition=Q(proposed=True), name="proposed_plan_one_proposed"),
        ]

    def __str__(self) -> str:
        return _("{proposal}: {boats_moved} boats moved").format(proposal=self.proposal, boats_moved=self.boats_moved)
