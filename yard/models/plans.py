"""Plans, what they say of each job, what they left out, and the runs that make them."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models.boats import Boat
from yard.models.crew import Person
from yard.models.orders import Job, Order, Stay
from yard.models.places import Place
from yard.models.spoken import Spoken


class Plan(Spoken):
    """One plan of all open work. At most one is posted; a number is given when it is posted.

    facts_revision: the count of facts that it read. cost, late_days, unplaced: as the planner and the check found.
    problem and plan: the JSON texts of both, kept so that a check can be run again.
    """

    class State(models.TextChoices):
        DRAFT = "draft", pgettext_lazy("of a plan", "draft")
        POSTED = "posted", gettext_lazy("posted")
        SUPERSEDED = "superseded", gettext_lazy("superseded")
        WITHDRAWN = "withdrawn", gettext_lazy("withdrawn")

    number = models.PositiveIntegerField(null=True, blank=True, unique=True)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="plans_made"
    )
    made_at = models.DateTimeField()
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="plans_posted"
    )
    posted_at = models.DateTimeField(null=True, blank=True)
    based_on = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="proposals")
    facts_revision = models.PositiveBigIntegerField()
    cost = models.BigIntegerField(null=True, blank=True)
    late_days = models.PositiveIntegerField(null=True, blank=True)
    unplaced = models.PositiveIntegerField(null=True, blank=True)
    seconds = models.FloatField(null=True, blank=True)
    seed = models.BigIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    problem = models.TextField(blank=True)
    plan = models.TextField(blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["state"], condition=Q(state="posted"), name="plan_one_posted"),
            models.CheckConstraint(
                condition=~Q(state__in=["posted", "superseded"]) | Q(number__isnull=False, posted_at__isnull=False),
                name="plan_posted_has_number_and_time",
            ),
        ]

    def __str__(self) -> str:
        return (
            _("plan {number}").format(number=self.number)
            if self.number
            else _("draft of {made_at} UTC").format(made_at=f"{self.made_at:%Y-%m-%d %H:%M}")
        )


class PlannedJob(models.Model):
    """When, by whom and where a plan does a job. [starts_at, ends_at), UTC.

    ends_at is the bare end: hands are free then. holds_until: the end of the weather allowance, through which its
    place stays taken (empty inside the forecast and indoors). floats_at: when a launch floats off. part_times:
    [{name, starts_at, ends_at}], ISO 8601 in UTC.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="planned_jobs")
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="planned_jobs")
    way = models.PositiveSmallIntegerField(default=0, help_text=gettext_lazy("the sequence of the job's way"))
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    holds_until = models.DateTimeField(null=True, blank=True)
    floats_at = models.DateTimeField(null=True, blank=True)
    part_times = models.JSONField(default=list, blank=True)
    provisional = models.BooleanField(default=False)
    people = models.ManyToManyField(Person, through="PlannedPerson", related_name="planned_jobs")
    places = models.ManyToManyField(Place, through="PlannedPlace", related_name="planned_jobs")

    class Meta:
        ordering = ["plan_id", "starts_at", "id"]
        indexes = [
            models.Index(fields=["plan", "starts_at"], name="planned_job_start"),
            models.Index(fields=["plan", "ends_at"], name="planned_job_end"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["plan", "job"], name="planned_job_once_a_plan"),
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="planned_job_ends_after_start"),
            models.CheckConstraint(
                condition=Q(holds_until=None) | Q(holds_until__gte=F("ends_at")), name="planned_job_holds_after_end"
            ),
        ]

    def __str__(self) -> str:
        return _("{job} at {starts_at} UTC").format(job=self.job, starts_at=f"{self.starts_at:%Y-%m-%d %H:%M}")


class PlannedPerson(models.Model):
    """A person on a planned job, with the name that the plan printed and the skill they are there for."""

    planned_job = models.ForeignKey(PlannedJob, on_delete=models.CASCADE, related_name="planned_people")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="planned")
    name = models.CharField(max_length=12)
    skill = models.CharField(max_length=30, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("planned people")
        ordering = ["planned_job_id", "id"]
        constraints = [models.UniqueConstraint(fields=["planned_job", "person"], name="planned_person_once")]

    def __str__(self) -> str:
        return self.name


class PlannedPlace(models.Model):
    """A unit of a place that a planned job uses; units count from 1."""

    planned_job = models.ForeignKey(PlannedJob, on_delete=models.CASCADE, related_name="planned_places")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="planned")
    unit = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["planned_job_id", "place_id", "unit"]
        constraints = [
            models.UniqueConstraint(fields=["planned_job", "place", "unit"], name="planned_place_once"),
            models.CheckConstraint(condition=Q(unit__gte=1), name="planned_place_unit_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.place} {self.unit}"


class PlannedStay(models.Model):
    """Where a plan lets a boat lie, or keeps a place taken, between two jobs. [starts_at, ends_at), UTC."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="planned_stays")
    stay = models.ForeignKey(Stay, on_delete=models.CASCADE, related_name="planned_stays")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="planned_stays")
    unit = models.PositiveSmallIntegerField(default=1)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        ordering = ["plan_id", "starts_at", "id"]
        indexes = [models.Index(fields=["plan", "starts_at"], name="planned_stay_start")]
        constraints = [
            models.UniqueConstraint(fields=["plan", "stay"], name="planned_stay_once_a_plan"),
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="planned_stay_ends_after_start"),
            models.CheckConstraint(condition=Q(unit__gte=1), name="planned_stay_unit_from_one"),
        ]

    def __str__(self) -> str:
        return _("{stay} at {place}").format(stay=self.stay, place=self.place)


class LeftOut(models.Model):
    """What a plan could not place, the rule that stopped it, and the reason in words."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="left_out")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="left_out")
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.CASCADE, related_name="left_out")
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.CASCADE, related_name="left_out")
    rule = models.CharField(max_length=40)
    reason = models.CharField(max_length=300)

    class Meta:
        verbose_name_plural = gettext_lazy("left out")
        ordering = ["plan_id", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | Q(order__isnull=False) | Q(job__isnull=False),
                name="left_out_names_something",
            )
        ]

    def __str__(self) -> str:
        return self.reason


class PlannedCause(models.Model):
    """Why an order ends when the plan has it: one reason in the row of jobs that sets her date, in order of time.

    kind and detail: as yard.planning.causes has them. [ready_at, starts_at), UTC: between them the reason held the
    job. days: working days between them. could_start_at: when it would have started without this reason alone.
    Written with the plan, which never changes, so that no page has to work it out.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="causes")
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="causes")
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="causes")
    sequence = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10)
    detail = models.CharField(max_length=200, blank=True)
    ready_at = models.DateTimeField()
    starts_at = models.DateTimeField()
    days = models.PositiveSmallIntegerField()
    could_start_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["plan_id", "order_id", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "order", "sequence"], name="planned_cause_once"),
            models.CheckConstraint(condition=Q(starts_at__gte=F("ready_at")), name="planned_cause_ends_after_start"),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.kind} {self.detail}".strip()


class PlannedWeek(models.Model):
    """How much of a person's week a plan takes, from the plan's now on, in minutes. Written with the plan."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="weeks")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="planned_weeks")
    monday = models.DateField()
    planned_min = models.PositiveIntegerField()
    available_min = models.PositiveIntegerField()

    class Meta:
        ordering = ["plan_id", "person_id", "monday"]
        constraints = [models.UniqueConstraint(fields=["plan", "person", "monday"], name="planned_week_once")]

    def __str__(self) -> str:
        return _("{person}, week of {monday}").format(person=self.person, monday=self.monday)


class PlanRun(Spoken):
    """One run of the planner in the background. progress: {elapsed_s, cost, late_days, unplaced, phase}.

    stop_asked is written by the page, the rest by the worker. A run whose heartbeat is old is broken.
    """

    class State(models.TextChoices):
        QUEUED = "queued", gettext_lazy("queued")
        RUNNING = "running", gettext_lazy("running")
        STOPPING = "stopping", gettext_lazy("stopping")
        DONE = "done", gettext_lazy("done")
        FAILED = "failed", gettext_lazy("failed")
        BROKEN = "broken", gettext_lazy("broken")

    state = models.CharField(max_length=8, choices=State, default=State.QUEUED)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="plan_runs"
    )
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    stop_asked = models.BooleanField(default=False)
    seconds_limit = models.PositiveIntegerField(default=60)
    seed = models.BigIntegerField(default=1)
    request = models.JSONField(
        default=dict, blank=True, help_text=gettext_lazy("what was asked for, as a reshuffle of a day")
    )
    progress = models.JSONField(default=dict, blank=True)
    result = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="runs")
    error = models.TextField(blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        indexes = [models.Index(fields=["state", "asked_at"], name="plan_run_state")]
        constraints = [
            models.CheckConstraint(
                condition=Q(seconds_limit__gte=1) & Q(seconds_limit__lte=3600), name="plan_run_seconds_in_range"
            )
        ]

    def __str__(self) -> str:
        return _("run {pk}, {state}").format(pk=self.pk, state=self.get_state_display())
