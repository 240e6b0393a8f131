"""Places of the yard, their own hours, and what closes them."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.day_names import said
from yard.models.checks import on_the_quarter
from yard.models.install import Weekday
from yard.models.versioned import Versioned


class PlaceKind(models.TextChoices):
    """Kinds of place; a way of doing a job names the kinds it needs."""

    RAMP = "ramp", gettext_lazy("ramp")
    TRAILER = "trailer", gettext_lazy("trailer")
    TRUCK = "truck", gettext_lazy("truck")
    GIN_POLE = "gin_pole", gettext_lazy("gin pole")
    SLINGS = "slings", gettext_lazy("slings")
    WASH_DECK = "wash_deck", gettext_lazy("wash deck")
    DRYING_LINE = "drying_line", gettext_lazy("drying line")
    LOFT_FLOOR = "loft_floor", gettext_lazy("loft floor")
    MACHINE = "machine", gettext_lazy("sewing machine")
    BENCH = "bench", gettext_lazy("bench")
    SPAR_RACK = "spar_rack", gettext_lazy("spar rack")
    SAIL_STORE = "sail_store", gettext_lazy("sail store")
    STORE_ROW = "store_row", gettext_lazy("row of the store")
    SHED = "shed", gettext_lazy("shed")
    APRON = "apron", gettext_lazy("apron")
    WORKBOAT = "workboat", gettext_lazy("workboat")
    BERTH = "berth", gettext_lazy("berth")
    DOCK = "dock", gettext_lazy("dock")
    OTHER = "other", gettext_lazy("other")


class Place(Versioned):
    """A place with its capacity and limits. An empty limit means that the place sets none.

    capacity: how many units may be taken at once. level_m_above_datum: the sill or bottom, where water matters.
    line_m: of a drying line, how much of it there is: sails take it by their length, and capacity is not asked.
    Of a workboat: seats: people aboard at most, the operator with them, empty where she carries no owners.  runs_min:
    how long she runs between two charges or fills, empty where that binds nothing; charge_min: how long one takes, at
    night, and also in the day from charged_at on where that is said.  tows: she moves boats to and from moorings.
    wind_factor: wind here over wind in the forecast. wind_limits: [{from_deg, to_deg, sustained_kn, gust_kn}],
    stricter limits for wind from a sector, clockwise, degrees true.
    """

    ref = models.SlugField(max_length=30, unique=True)
    name = models.CharField(max_length=60)
    short_name = models.CharField(max_length=12, blank=True)
    kind = models.CharField(max_length=12, choices=PlaceKind)
    capacity = models.PositiveSmallIntegerField(default=1)
    max_length_m = models.FloatField(null=True, blank=True)
    max_beam_m = models.FloatField(null=True, blank=True)
    max_displacement_kg = models.FloatField(null=True, blank=True)
    max_draft_m = models.FloatField(null=True, blank=True)
    level_m_above_datum = models.FloatField(null=True, blank=True)
    line_m = models.FloatField(null=True, blank=True)
    seats = models.PositiveSmallIntegerField(null=True, blank=True)
    runs_min = models.PositiveSmallIntegerField(null=True, blank=True)
    charge_min = models.PositiveSmallIntegerField(null=True, blank=True)
    charged_at = models.TimeField(null=True, blank=True, validators=[on_the_quarter])
    tows = models.BooleanField(default=True)
    counted_by_night = models.BooleanField(default=False, help_text=gettext_lazy("taken for whole nights, as a berth"))
    outdoor = models.BooleanField(default=False)
    wind_factor = models.FloatField(default=1.0)
    wind_limits = models.JSONField(default=list, blank=True)
    operators = models.ManyToManyField(
        "yard.Person",
        blank=True,
        related_name="operates",
        help_text=gettext_lazy("who may work it; nobody named: whoever has the skill"),
    )
    sequence = models.PositiveSmallIntegerField(default=0, help_text=gettext_lazy("where it stands in lists"))
    archived = models.BooleanField(default=False)
    notes = models.TextField(blank=True)
    history = HistoricalRecords(m2m_fields=[operators])

    class Meta:
        ordering = ["sequence", "name", "id"]
        indexes = [models.Index(fields=["kind", "archived"], name="place_kind")]
        constraints = [
            models.CheckConstraint(condition=Q(capacity__gte=1), name="place_holds_at_least_one"),
            models.CheckConstraint(
                condition=Q(line_m=None) | Q(kind="drying_line", line_m__gt=0),
                name="place_line_of_a_drying_line",
                violation_error_message=gettext_lazy("Only a drying line has a length of line, above nothing."),
            ),
            models.CheckConstraint(
                condition=Q(kind="workboat") | Q(seats=None, runs_min=None, charge_min=None, charged_at=None),
                name="place_runs_if_a_workboat",
                violation_error_message=gettext_lazy(
                    "Only a workboat has seats and runs on a charge: choose that kind."
                ),
            ),
            models.CheckConstraint(
                condition=(Q(seats=None) | Q(seats__gte=1))
                & (Q(runs_min=None, charge_min=None, charged_at=None) | Q(runs_min__gte=15, charge_min__gte=1)),
                name="place_runs_and_is_charged",
                violation_error_message=gettext_lazy(
                    "Say both: how long she runs (15 min at least), and how long a charge takes."
                ),
            ),
            models.CheckConstraint(condition=Q(wind_factor__gt=0), name="place_wind_factor_above_nothing"),
            models.CheckConstraint(
                condition=(Q(max_length_m=None) | Q(max_length_m__gt=0))
                & (Q(max_beam_m=None) | Q(max_beam_m__gt=0))
                & (Q(max_displacement_kg=None) | Q(max_displacement_kg__gt=0))
                & (Q(max_draft_m=None) | Q(max_draft_m__gt=0)),
                name="place_limits_above_nothing",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PlaceHours(Versioned):
    """When a place may be used, in the yard's zone, [starts, ends); no rows: whenever the yard is open."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    starts = models.TimeField(validators=[on_the_quarter])
    ends = models.TimeField(validators=[on_the_quarter])
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("hours of places")
        ordering = ["place_id", "weekday", "starts", "id"]
        constraints = [
            models.UniqueConstraint(fields=["place", "weekday", "starts"], name="place_hours_once"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="place_hours_end_after_start"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="place_hours_weekday"),
        ]

    def __str__(self) -> str:
        return _("{place} {weekday} {starts} to {ends}").format(
            place=self.place,
            weekday=self.get_weekday_display(),
            starts=said(self.starts, "H:i"),
            ends=said(self.ends, "H:i"),
        )


class Closure(Versioned):
    """Hours in which a place, all outdoor work or the water is shut. [starts_at, ends_at), UTC."""

    class Covers(models.TextChoices):
        PLACE = "place", gettext_lazy("one place")
        OUTDOORS = "outdoors", gettext_lazy("all outdoor work")
        WATER = "water", gettext_lazy("the water")

    class State(models.TextChoices):
        SUGGESTED = "suggested", gettext_lazy("suggested")
        ACCEPTED = "accepted", gettext_lazy("accepted")
        WITHDRAWN = "withdrawn", gettext_lazy("withdrawn")

    covers = models.CharField(max_length=8, choices=Covers)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.CASCADE, related_name="closures")
    starts_at = models.DateTimeField(validators=[on_the_quarter])
    ends_at = models.DateTimeField(validators=[on_the_quarter])
    reason = models.CharField(max_length=200)
    state = models.CharField(max_length=9, choices=State, default=State.SUGGESTED)
    forecast = models.ForeignKey(
        "yard.HourlyForecast",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="closures",
        help_text=gettext_lazy("the forecast that suggested it"),
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="closures_made"
    )
    made_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="closures_decided"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["starts_at", "id"]
        indexes = [models.Index(fields=["state", "starts_at"], name="closure_state_start")]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="closure_ends_after_start"),
            models.CheckConstraint(
                condition=Q(covers="place", place__isnull=False) | (~Q(covers="place") & Q(place__isnull=True)),
                name="closure_names_its_place",
                violation_error_message=gettext_lazy(
                    "Name the place that is shut, or say all outdoor work or the water."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.place or self.get_covers_display()}: {self.reason}"
