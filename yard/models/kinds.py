"""Kinds of job: what every job of a kind shares. Rows, so that a yard adds its own."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.checks import is_parts
from yard.models.versioned import Versioned


class Trade(models.TextChoices):
    """The groups that pictures tell apart."""

    YARD = "yard", _("yard")
    RIG = "rig", _("rig")
    LOFT = "loft", _("loft")
    LAUNCH = "launch", _("launch")
    MOORING = "mooring", _("mooring")


class WeatherClass(models.TextChoices):
    """Which limits of wind, rain and temperature hold for a job."""

    NONE = "none", _("any weather")
    SAILS = "sails", _("sails and covers")
    PATTERN = "pattern", _("pattern on the boat")
    MAST = "mast", _("mast and aloft")
    AFLOAT = "afloat", _("launch, delivery, trial")
    COATING = "coating", _("coating")
    WASH = "wash", _("wash")


class WaterNeed(models.TextChoices):
    """What water a job needs: over the ramp, along the route, at the mooring, or not too much (under a bridge)."""

    NONE = "none", _("none")
    RAMP = "ramp", _("over the ramp")
    ROUTE = "route", _("along the route to the mooring")
    MOORING = "mooring", _("at the mooring")
    BELOW_MAXIMUM = "below_maximum", _("no higher than a maximum")


class Pausing(models.TextChoices):
    """How a job lies in time: fitted never runs over a meal or a night, elapsed runs on without hands."""

    FITTED = "fitted", _("inside one stretch of working time")
    PAUSED = "paused", _("bench work, pauses overnight")
    ELAPSED = "elapsed", _("runs on the clock, as drying does")


class BoatAt(models.TextChoices):
    """Where the boat must lie for one way of doing a job."""

    ANYWHERE = "", _("anywhere")
    ASHORE = "ashore", _("ashore")
    BERTH = "berth", _("at a berth")
    MOORING = "mooring", _("on her mooring")


class ProductKind(models.TextChoices):
    """What a product data sheet is about."""

    PAINT = "paint", _("bottom paint")
    SEALANT = "sealant", _("sealant")
    VARNISH = "varnish", _("varnish")


class JobKind(Versioned):
    """A kind of job. parts: [{name, minutes, water}], in order, for a job that is one booking in several parts."""

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    short_name = models.CharField(max_length=8)
    letter = models.CharField(max_length=2, help_text=_("the mark on the season board"))
    trade = models.CharField(max_length=7, choices=Trade)
    cautions = models.TextField(blank=True)
    outdoor = models.BooleanField(default=False)
    needs_light = models.BooleanField(default=False)
    weather_class = models.CharField(max_length=8, choices=WeatherClass, default=WeatherClass.NONE)
    water_need = models.CharField(max_length=13, choices=WaterNeed, default=WaterNeed.NONE)
    not_alone = models.BooleanField(default=False)
    needs_boat = models.BooleanField(default=False, help_text=_("done on the boat, wherever she is"))
    shares_boat = models.BooleanField(default=False, help_text=_("others may work on her at the same time"))
    pausing = models.CharField(max_length=7, choices=Pausing, default=Pausing.FITTED)
    parts = models.JSONField(default=list, blank=True, validators=[is_parts])
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["trade", "name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(weather_class="none") | Q(outdoor=True),
                name="job_kind_weather_is_outdoors",
                violation_error_message=_("Only outdoor work has weather limits."),
            ),
            models.CheckConstraint(
                condition=Q(needs_boat=True) | Q(shares_boat=False), name="job_kind_shares_a_boat_it_needs"
            ),
        ]

    def __str__(self) -> str:
        return self.name
