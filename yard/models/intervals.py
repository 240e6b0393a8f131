"""What is looked over or renewed by interval: rigs, tackle, the yard's own gear; when it was, and what was ordered."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat, Mooring
from yard.models.checks import is_list_of_names
from yard.models.orders import Order
from yard.models.packages import Package
from yard.models.places import Place
from yard.models.spoken import Spoken
from yard.models.versioned import Versioned

ONE_SUBJECT = (
    Q(boat__isnull=False, mooring=None, gear=None)
    | Q(boat=None, mooring__isnull=False, gear=None)
    | Q(boat=None, mooring=None, gear__isnull=False)
)
ONE_SUBJECT_WORDS = _("Name one: a boat, a mooring, or a piece of gear.")


class Gear(Versioned):
    """A piece of the yard's own gear that lives depend on, or one aboard a boat: slings, hoists, extinguishers.

    rated_kg: as its tag or its maker says; empty where nobody has read it.
    """

    class Kind(models.TextChoices):
        SLING = "sling", _("sling or strap")
        LIFTING = "lifting", _("lifting gear")
        CHAIN = "chain", _("chain or chain sling")
        EXTINGUISHER = "extinguisher", _("fire extinguisher")
        OTHER = "other", _("other")

    ref = models.SlugField(max_length=30, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    name = models.CharField(max_length=80)
    mark = models.CharField(max_length=40, blank=True, help_text=_("serial number or tag, as it stands on it"))
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.SET_NULL, related_name="gear")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL, related_name="gear")
    rated_kg = models.FloatField(null=True, blank=True)
    in_use_since = models.DateField(null=True, blank=True)
    out_of_use = models.BooleanField(default=False, help_text=_("not to be used until somebody qualified says so"))
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = _("gear")
        ordering = ["kind", "name", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(rated_kg=None) | Q(rated_kg__gt=0), name="gear_rated_above_nothing")
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.mark}".strip()


class Interval(Versioned):
    """How often something is looked over or renewed, who does it, and where that figure comes from.

    covers: what it is about. kinds: of tackle's parts or of gear, by their keys; empty: all. job_kinds: keys of the
    kinds of job that do it: one that is done counts, whoever ordered it. package: what is ordered where it is due.
    """

    class Covers(models.TextChoices):
        RIG = "rig", _("the rig of a boat")
        TACKLE = "tackle", _("the tackle of a mooring")
        PARTS = "parts", _("parts of a mooring's tackle")
        GEAR = "gear", _("gear of the yard")

    class Counts(models.TextChoices):
        INSPECTED = "inspected", _("since it was last looked over")
        NEW = "new", _("since it was new")

    class Origin(models.TextChoices):
        PUBLISHED = "published", _("published")
        COMMON = "common", _("common practice")
        YARD = "yard", _("the yard's own")

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    covers = models.CharField(max_length=6, choices=Covers)
    kinds = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    counts = models.CharField(max_length=9, choices=Counts, default=Counts.INSPECTED)
    months = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1, _("At least a month.")), MaxValueValidator(600, _("At most 50 years."))]
    )
    season = models.CharField(max_length=80, blank=True, help_text=_("when in the year, in words"))
    by_whom = models.CharField(max_length=80, blank=True)
    package = models.ForeignKey(Package, null=True, blank=True, on_delete=models.SET_NULL, related_name="intervals")
    job_kinds = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    origin = models.CharField(max_length=9, choices=Origin, default=Origin.YARD)
    source = models.CharField(max_length=300, blank=True)
    cautions = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["covers", "name", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(months__gte=1) & Q(months__lte=600), name="interval_months_in_range"),
            models.CheckConstraint(
                condition=~Q(origin="published") | ~Q(source=""),
                name="interval_published_names_its_source",
                violation_error_message=_(
                    "Say where it is published, or mark it as common practice or the yard's own."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Inspection(Spoken):
    """That something was looked over or renewed, by whom, and what was found. Rows are added; a slip is withdrawn."""

    class Result(models.TextChoices):
        GOOD = "good", _("good")
        WATCH = "watch", _("worn, will do until the next")
        FAILED = "failed", _("not fit for use")
        RENEWED = "renewed", _("renewed")

    interval = models.ForeignKey(Interval, on_delete=models.PROTECT, related_name="inspections")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="inspections")
    mooring = models.ForeignKey(Mooring, null=True, blank=True, on_delete=models.CASCADE, related_name="inspections")
    gear = models.ForeignKey(Gear, null=True, blank=True, on_delete=models.CASCADE, related_name="inspections")
    done_on = models.DateField()
    by_whom = models.CharField(max_length=80)
    result = models.CharField(max_length=7, choices=Result)
    note = models.CharField(max_length=300, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="inspections_recorded"
    )
    recorded_at = models.DateTimeField()
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="inspections_withdrawn"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)

    class Meta:
        ordering = ["-done_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=ONE_SUBJECT, name="inspection_of_one", violation_error_message=ONE_SUBJECT_WORDS
            )
        ]

    def __str__(self) -> str:
        return f"{self.interval}, {self.done_on}: {self.get_result_display()}"


class DueOrder(models.Model):
    """The order that was made because something fell due. due_on: None where no day was on file."""

    interval = models.ForeignKey(Interval, on_delete=models.PROTECT, related_name="due_orders")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="due_orders")
    mooring = models.ForeignKey(Mooring, null=True, blank=True, on_delete=models.CASCADE, related_name="due_orders")
    gear = models.ForeignKey(Gear, null=True, blank=True, on_delete=models.CASCADE, related_name="due_orders")
    due_on = models.DateField(null=True, blank=True)
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="made_for_due")

    class Meta:
        ordering = ["order_id", "id"]
        constraints = [
            models.CheckConstraint(
                condition=ONE_SUBJECT, name="due_order_for_one", violation_error_message=ONE_SUBJECT_WORDS
            ),
            models.UniqueConstraint(
                fields=["interval", "boat", "order"], condition=Q(boat__isnull=False), name="due_order_once_for_boat"
            ),
            models.UniqueConstraint(
                fields=["interval", "mooring", "order"],
                condition=Q(mooring__isnull=False),
                name="due_order_once_for_mooring",
            ),
            models.UniqueConstraint(
                fields=["interval", "gear", "order"], condition=Q(gear__isnull=False), name="due_order_once_for_gear"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.interval}: {self.order}"
