"""Orders and their jobs. All open orders of a boat are one network: a link may join jobs of two orders."""

import uuid

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat, Mooring
from yard.models.checks import is_list_of_names
from yard.models.install import Season
from yard.models.kinds import BoatAt, JobKind, WaterNeed, WeatherClass
from yard.models.packages import Package
from yard.models.places import Place, PlaceKind
from yard.models.versioned import Versioned


class Order(Versioned):
    """What an owner, or a walk-in without a boat on file, asked for.

    earliest_date, wanted_date, latest_date: the owner's. promised_date: what the owner was told, and the plan keeps.
    goes_first: 1 as all, 3 before all. fixed_delivery_at: a road or ferry date that does not move.
    """

    class State(models.TextChoices):
        OPEN = "open", gettext_lazy("open")
        DONE = "done", gettext_lazy("done")
        CANCELLED = "cancelled", gettext_lazy("cancelled")

    ref = models.CharField(max_length=20, unique=True)
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.PROTECT, related_name="orders")
    package = models.ForeignKey(Package, null=True, blank=True, on_delete=models.PROTECT, related_name="orders")
    package_edition = models.ForeignKey(
        "yard.PackageEdition",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="orders",
        help_text=gettext_lazy("which its jobs follow; empty: the first"),
    )
    package_lines = models.JSONField(
        default=dict,
        blank=True,
        help_text=gettext_lazy("lines of a newer edition decided one by one: {edition, taken, left}; empty: none"),
    )
    name = models.CharField(max_length=80)
    options = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    season = models.ForeignKey(Season, null=True, blank=True, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    unconfirmed = models.BooleanField(
        default=False, help_text=gettext_lazy("as last year, not yet confirmed by the owner")
    )
    earliest_date = models.DateField(null=True, blank=True)
    wanted_date = models.DateField(null=True, blank=True)
    latest_date = models.DateField(null=True, blank=True)
    promised_date = models.DateField(null=True, blank=True)
    goes_first = models.PositiveSmallIntegerField(default=1)
    fixed_delivery_at = models.DateTimeField(null=True, blank=True)
    covers_gate_delivery = models.BooleanField(default=False)
    to_mooring = models.ForeignKey(
        Mooring,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="orders",
        help_text=gettext_lazy("where she goes, if not to the mooring of her permit"),
    )
    walk_in_name = models.CharField(max_length=80, blank=True)
    walk_in_phone = models.CharField(max_length=40, blank=True)
    bag_tag = models.CharField(max_length=20, blank=True)
    bag_place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL, related_name="bags")
    price_said = models.CharField(max_length=40, blank=True)
    copied_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="copies")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="orders_made"
    )
    made_at = models.DateTimeField()
    notes = models.TextField(blank=True)
    form_key = models.UUIDField(
        null=True,
        blank=True,
        unique=True,
        editable=False,
        help_text=gettext_lazy("of the form it was taken on: the same form sent twice is one order"),
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [
            models.Index(fields=["state", "promised_date"], name="order_state_promised"),
            models.Index(fields=["boat", "state"], name="order_boat_state"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | ~Q(walk_in_name=""),
                name="order_has_boat_or_name",
                violation_error_message=gettext_lazy("Name the boat, or the person who walked in."),
            ),
            models.CheckConstraint(
                condition=Q(goes_first__gte=1) & Q(goes_first__lte=3), name="order_goes_first_1_to_3"
            ),
            models.CheckConstraint(
                condition=Q(earliest_date=None) | Q(latest_date=None) | Q(latest_date__gte=F("earliest_date")),
                name="order_latest_after_earliest",
                violation_error_message=gettext_lazy("The latest date lies before the earliest."),
            ),
            models.CheckConstraint(
                condition=(Q(wanted_date=None) | Q(earliest_date=None) | Q(wanted_date__gte=F("earliest_date")))
                & (Q(wanted_date=None) | Q(latest_date=None) | Q(latest_date__gte=F("wanted_date"))),
                name="order_wanted_between",
                violation_error_message=gettext_lazy("The wanted date lies outside the earliest and the latest."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ref} {self.name}"


class Job(Versioned):
    """A piece of work with people, places and time. Its needs are copied from its kind when ordered.

    uid names it in calendars for ever. split_of: the job before the break point of the same work.
    finish_by_date: a date of its own, as winterising before the first freeze. on_fixed_date: it starts at the order's
    fixed_delivery_at. worked_min is working time, not
    elapsed; hours_as_planned marks a figure copied from the estimate, which teaches nothing. left_min: what is
    left of a job that stopped part done.
    """

    class State(models.TextChoices):
        OPEN = "open", gettext_lazy("open")
        STARTED = "started", gettext_lazy("started")
        DONE = "done", gettext_lazy("done")
        FAILED = "failed", gettext_lazy("failed")
        CANCELLED = "cancelled", gettext_lazy("cancelled")

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="jobs")
    kind = models.ForeignKey(JobKind, on_delete=models.PROTECT, related_name="jobs")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    sequence = models.PositiveSmallIntegerField(default=0)
    split_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="later_parts")
    state = models.CharField(max_length=9, choices=State, default=State.OPEN)
    outdoor = models.BooleanField(default=False)
    needs_light = models.BooleanField(default=False)
    water_need = models.CharField(max_length=13, choices=WaterNeed, default=WaterNeed.NONE)
    weather_class = models.CharField(max_length=8, choices=WeatherClass, default=WeatherClass.NONE)
    cautions = models.TextField(blank=True)
    waits_for_open = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    on_fixed_date = models.BooleanField(default=False)
    finish_by_date = models.DateField(null=True, blank=True)
    actual_starts_at = models.DateTimeField(null=True, blank=True)
    actual_ends_at = models.DateTimeField(null=True, blank=True)
    worked_min = models.PositiveIntegerField(null=True, blank=True)
    hours_as_planned = models.BooleanField(default=False)
    left_min = models.PositiveIntegerField(null=True, blank=True)
    state_note = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["order_id", "sequence", "id"]
        indexes = [
            models.Index(fields=["state", "order"], name="job_state_order"),
            models.Index(fields=["actual_ends_at"], name="job_actual_end"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["order", "key"], name="job_key_once_an_order"),
            models.CheckConstraint(
                condition=~Q(state="done") | Q(actual_ends_at__isnull=False),
                name="job_done_has_an_end",
                violation_error_message=gettext_lazy("A finished job has the time at which it ended."),
            ),
            models.CheckConstraint(
                condition=Q(actual_starts_at=None)
                | Q(actual_ends_at=None)
                | Q(actual_ends_at__gte=F("actual_starts_at")),
                name="job_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class JobWay(Versioned):
    """One way of doing a job; the planner picks one. Fields as in PackageWay; duration_min is the bare median.

    places: named places that this way must use; empty: any of the kinds.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="ways")
    sequence = models.PositiveSmallIntegerField(default=0)
    duration_min = models.PositiveIntegerField()
    crew = models.JSONField(default=list, blank=True)
    place_kinds = models.JSONField(default=list, blank=True)
    boat_at = models.CharField(max_length=7, choices=BoatAt, blank=True)
    parts = models.JSONField(default=list, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["job_id", "sequence", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "sequence"], name="job_way_once"),
            models.CheckConstraint(condition=Q(duration_min__gt=0), name="job_way_takes_time"),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.duration_min} min"


class JobLink(Versioned):
    """One job after another, within an order or across orders of a boat. Waits in minutes of clock time."""

    class Origin(models.TextChoices):
        PACKAGE = "package", gettext_lazy("from the package")
        OTHER_ORDER = "other_order", gettext_lazy("because of another open order")
        BY_HAND = "by_hand", gettext_lazy("by hand")

    before = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="links_after")
    after = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="links_before")
    min_wait_min = models.PositiveIntegerField(default=0)
    max_wait_min = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    source = models.CharField(max_length=300, blank=True)
    product_kind = models.CharField(max_length=7, blank=True)
    product_sheet = models.ForeignKey(
        "yard.ProductSheet", null=True, blank=True, on_delete=models.PROTECT, related_name="links"
    )
    origin = models.CharField(max_length=11, choices=Origin, default=Origin.BY_HAND)
    covers_gate = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["before_id", "after_id"]
        constraints = [
            models.UniqueConstraint(fields=["before", "after"], name="job_link_once"),
            models.CheckConstraint(condition=~Q(before=F("after")), name="job_link_joins_two"),
            models.CheckConstraint(
                condition=Q(max_wait_min=None) | Q(max_wait_min__gte=F("min_wait_min")),
                name="job_link_waits",
                violation_error_message=gettext_lazy("The longest wait is shorter than the least."),
            ),
        ]

    def __str__(self) -> str:
        return _("{before} before {after}").format(before=self.before, after=self.after)


class Stay(Versioned):
    """A place that stays taken between two jobs, as a berth from launch to delivery.

    By night: each night from the day of the one job to the day of the other.
    """

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="stays")
    from_job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="stays_from")
    until_job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="stays_until")
    place_kind = models.CharField(max_length=12, choices=PlaceKind)
    counted_by_night = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["order_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["from_job", "until_job", "place_kind"], name="stay_once"),
            models.CheckConstraint(condition=~Q(from_job=F("until_job")), name="stay_joins_two"),
        ]

    def __str__(self) -> str:
        return _("{place_kind} from {from_job} until {until_job}").format(
            place_kind=self.get_place_kind_display(), from_job=self.from_job, until_job=self.until_job
        )


class Pin(Versioned):
    """A planner's word that a job starts then, with these people, or in these places; one at a time holds.

    ends_at: until when its people and places are taken, also through nights; empty: as long as the job takes.
    trip: the booked trip that it stands for; such a pin goes only with its trip.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="pins")
    starts_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    trip = models.ForeignKey("yard.Trip", null=True, blank=True, on_delete=models.CASCADE, related_name="pins")
    people = models.ManyToManyField("yard.Person", blank=True, related_name="pins")
    places = models.ManyToManyField(Place, blank=True, related_name="pins")
    reason = models.CharField(max_length=200)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="pins_made"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(m2m_fields=[people, places])

    class Meta:
        ordering = ["job_id", "-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(withdrawn_at=None),
                name="pin_one_that_holds",
                violation_error_message=gettext_lazy("This job is pinned already: withdraw that pin first."),
            ),
            models.CheckConstraint(
                condition=Q(ends_at=None) | Q(starts_at__isnull=False, ends_at__gt=F("starts_at")),
                name="pin_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return _("{job} pinned: {reason}").format(job=self.job, reason=self.reason)


class Waiver(Versioned):
    """A named person's word that a rule does not hold for one job, within a limit, and why."""

    rule = models.CharField(max_length=40)
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="waivers")
    limit = models.CharField(max_length=80, blank=True)
    reason = models.CharField(max_length=200)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="waivers_made")
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["job_id", "-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "rule"], condition=Q(withdrawn_at=None), name="waiver_one_a_rule"),
            models.CheckConstraint(condition=~Q(reason=""), name="waiver_has_a_reason"),
        ]

    def __str__(self) -> str:
        return _("{rule} waived for {job}: {reason}").format(rule=self.rule, job=self.job, reason=self.reason)

    def clean(self) -> None:
        """Refuse a waiver without a reason."""
        if not self.reason.strip():
            raise ValidationError({"reason": _("Say why: whoever reads the plan must know.")})


class JobWork(models.Model):
    """Who did a job, and how long."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="work")
    person = models.ForeignKey("yard.Person", on_delete=models.PROTECT, related_name="work")
    worked_on = models.DateField()
    worked_min = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("work done")
        ordering = ["job_id", "worked_on", "id"]
        constraints = [models.UniqueConstraint(fields=["job", "person", "worked_on"], name="job_work_once_a_day")]

    def __str__(self) -> str:
        return _("{person} on {job}, {worked_on}").format(person=self.person, job=self.job, worked_on=self.worked_on)
