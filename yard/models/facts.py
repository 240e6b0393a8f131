"""Facts that work waits for, product data sheets, and readings of the tide gauge."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard import speech
from yard.models.boats import Boat
from yard.models.kinds import ProductKind
from yard.models.orders import Job, Order
from yard.models.packages import FactKind
from yard.models.versioned import Versioned


class Fact(Versioned):
    """A fact that jobs wait for. Only a fact that is here lets a job be called firm, or started.

    here: known or in hand, since here_since where somebody said so. expected: by expected_date, told by somebody
    (told_by) or a marked guess. unknown: what follows is not planned.
    """

    class State(models.TextChoices):
        HERE = "here", gettext_lazy("here")
        EXPECTED = "expected", gettext_lazy("expected")
        UNKNOWN = "unknown", gettext_lazy("unknown")

    kind = models.CharField(max_length=10, choices=FactKind)
    name = models.CharField(max_length=80)
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="facts")
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.CASCADE, related_name="facts")
    jobs = models.ManyToManyField(Job, blank=True, related_name="facts")
    state = models.CharField(max_length=8, choices=State, default=State.UNKNOWN)
    here_since = models.DateField(null=True, blank=True)
    expected_date = models.DateField(null=True, blank=True)
    guess = models.BooleanField(default=False, help_text=gettext_lazy("nobody said this date: the yard guesses"))
    told_by = models.CharField(max_length=120, blank=True, help_text=gettext_lazy("who said so"))
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="facts_set"
    )
    set_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords(m2m_fields=[jobs])

    class Meta:
        ordering = ["expected_date", "name", "id"]
        indexes = [models.Index(fields=["state", "expected_date"], name="fact_state_expected")]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | Q(order__isnull=False), name="fact_of_boat_or_order"
            ),
            models.CheckConstraint(
                condition=Q(state="expected", expected_date__isnull=False)
                | (~Q(state="expected") & Q(expected_date__isnull=True, guess=False)),
                name="fact_expected_has_its_date",
                violation_error_message=gettext_lazy("An expected fact has a date, and only an expected one."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ProductSheet(Versioned):
    """A paint's, sealant's or varnish's limits and waits, off the maker's data sheet. Empty: the sheet states none.

    max_wait_min: the longest it may stand dry before she is launched. overcoat_max_min: the longest between two coats.
    planned_temp_c: the temperature that the yard plans its waits for; empty: the coldest that the sheet lists.
    min_dew_spread_c: how far the surface must be above the dew point.
    """

    kind = models.CharField(max_length=7, choices=ProductKind)
    name = models.CharField(max_length=120, unique=True)
    max_wait_min = models.PositiveIntegerField(null=True, blank=True)
    overcoat_max_min = models.PositiveIntegerField(null=True, blank=True)
    min_temp_c = models.FloatField(null=True, blank=True)
    max_temp_c = models.FloatField(null=True, blank=True)
    max_humidity_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    min_dew_spread_c = models.FloatField(null=True, blank=True)
    planned_temp_c = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=300)
    read_on = models.DateField(null=True, blank=True, help_text=gettext_lazy("the day somebody read the sheet"))
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["kind", "name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(max_humidity_pct=None) | Q(max_humidity_pct__gte=1, max_humidity_pct__lte=100),
                name="product_humidity_is_a_share",
                violation_error_message=gettext_lazy("Humidity is a share of 100: from 1 to 100."),
            ),
            models.CheckConstraint(
                condition=Q(min_temp_c=None) | Q(max_temp_c=None) | Q(max_temp_c__gt=F("min_temp_c")),
                name="product_warmest_above_coldest",
                violation_error_message=gettext_lazy("The warmest it may be put on lies below the coldest."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ProductWait(Versioned):
    """The least wait from a temperature upwards, degrees Celsius: before the next coat, or before what follows."""

    class Use(models.TextChoices):
        OVERCOAT = "overcoat", gettext_lazy("before the next coat")
        DRY = "dry", gettext_lazy("before launching, or what else follows")

    use = models.CharField(max_length=8, choices=Use, default=Use.DRY)
    sheet = models.ForeignKey(ProductSheet, on_delete=models.CASCADE, related_name="waits")
    from_temp_c = models.FloatField()
    min_wait_min = models.PositiveIntegerField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["sheet_id", "use", "from_temp_c", "id"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "use", "from_temp_c"], name="product_wait_once"),
            models.CheckConstraint(
                condition=Q(from_temp_c__gte=-30) & Q(from_temp_c__lte=60),
                name="product_wait_temperature",
                violation_error_message=gettext_lazy("Between -30 and 60 degrees Celsius: was it typed in Fahrenheit?"),
            ),
        ]

    def __str__(self) -> str:
        return _("{sheet}: {min_wait_min} min from {from_temp_c} °C").format(
            sheet=self.sheet, min_wait_min=self.min_wait_min, from_temp_c=speech.short_number(self.from_temp_c)
        )


class GaugeReading(models.Model):
    """The yard's own gauge, metres above datum: what was seen, and what had been predicted for that moment."""

    at = models.DateTimeField()
    observed_m_above_datum = models.FloatField()
    predicted_m_above_datum = models.FloatField(null=True, blank=True)
    boat = models.ForeignKey(
        Boat,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="gauge_readings",
        help_text=gettext_lazy("the boat that floated then"),
    )
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="gauge_readings"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["at"], name="gauge_reading_at")]

    def __str__(self) -> str:
        return _("{height_m} m at {at} UTC").format(
            height_m=speech.number(self.observed_m_above_datum, 2), at=f"{self.at:%Y-%m-%d %H:%M}"
        )
