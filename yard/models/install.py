"""The yard itself: its one row of settings, its shop hours, holidays and seasons, and the count of its facts."""

from datetime import date, time

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.day_names import said
from yard.models.checks import (
    is_table,
    is_time_zone,
    latitude_in_range,
    longitude_in_range,
    on_the_quarter,
)
from yard.models.versioned import Versioned


class Weekday(models.IntegerChoices):
    """Monday is 0, as in Python's date.weekday()."""

    MONDAY = 0, gettext_lazy("Monday")
    TUESDAY = 1, gettext_lazy("Tuesday")
    WEDNESDAY = 2, gettext_lazy("Wednesday")
    THURSDAY = 3, gettext_lazy("Thursday")
    FRIDAY = 4, gettext_lazy("Friday")
    SATURDAY = 5, gettext_lazy("Saturday")
    SUNDAY = 6, gettext_lazy("Sunday")


class YardSettings(Versioned):
    """One install serves one yard: one row, id 1.

    Heights are metres above the station's datum. Offsets carry the station's prediction to the ramp and to the
    mooring field: time added in minutes, height multiplied by the ratio, then height_m added.
    """

    class Units(models.TextChoices):
        FEET = "feet", gettext_lazy("feet")
        METRES = "metres", gettext_lazy("metres")

    class SecondFactorFor(models.TextChoices):
        """Whose role asks for a second factor at sign-in. Anybody may have one."""

        NOBODY = "", gettext_lazy("nobody; whoever wants one has one")
        PLANNERS = "planner", gettext_lazy("planners")
        OFFICE = "office", gettext_lazy("planners and the office: whoever sees owners")
        EVERYBODY = "all", gettext_lazy("everybody who signs in")

    class Light(models.TextChoices):
        SUN = "sun", gettext_lazy("sunrise to sunset")
        CIVIL = "civil", gettext_lazy("civil dawn to civil dusk")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=80)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True)
    time_zone = models.CharField(max_length=60, default="UTC", validators=[is_time_zone])
    latitude = models.FloatField(null=True, blank=True, validators=latitude_in_range)
    longitude = models.FloatField(null=True, blank=True, validators=longitude_in_range)
    units = models.CharField(max_length=6, choices=Units, default=Units.FEET)

    tide_station = models.CharField(
        max_length=40, blank=True, help_text=gettext_lazy("the station's id in its own table")
    )
    datum = models.CharField(
        max_length=20, blank=True, help_text=gettext_lazy("what heights are measured from, as MLLW")
    )
    ramp_time_min = models.IntegerField(default=0)
    ramp_height_m = models.FloatField(default=0.0)
    ramp_ratio = models.FloatField(default=1.0)
    mooring_field_time_min = models.IntegerField(default=0)
    mooring_field_height_m = models.FloatField(default=0.0)
    mooring_field_ratio = models.FloatField(default=1.0)
    ramp_toe_m_above_datum = models.FloatField(null=True, blank=True)
    trailer_height_m = models.FloatField(null=True, blank=True)
    # 1.0 ft on a rising tide, 1.5 ft on a falling one, plus chop: common practice.
    margin_rising_m = models.FloatField(default=0.3048)
    margin_falling_m = models.FloatField(default=0.4572)

    light_rule = models.CharField(max_length=5, choices=Light, default=Light.SUN)
    light_margin_min = models.IntegerField(
        default=0, help_text=gettext_lazy("minutes added at both ends of the light; negative shortens the day")
    )
    weather_limits = models.JSONField(default=dict, blank=True, validators=[is_table])
    weather_allowance = models.JSONField(default=dict, blank=True, validators=[is_table])
    # Hours are booked at 1.1 of the median: about the 60th percentile of a lognormal scatter of 0.35.
    duration_factor = models.FloatField(default=1.1)

    final_call_time = models.TimeField(default=time(16, 0), validators=[on_the_quarter])
    day_told_days_before = models.PositiveSmallIntegerField(default=14)
    firm_told_hours_before = models.PositiveSmallIntegerField(default=48)
    answers_chased_after_days = models.PositiveSmallIntegerField(default=14)
    tells_odds = models.BooleanField(default=False, help_text=gettext_lazy("owners read odds beside their date"))
    clock_frozen_at = models.DateTimeField(
        null=True, blank=True, help_text=gettext_lazy("the example yard's own clock; empty: the real one")
    )
    # Every request reads this row anyway: whether a boat changes hands today costs no query more.
    next_sale_on = models.DateField(
        null=True, blank=True, editable=False, help_text=gettext_lazy("of the sales to come, the first")
    )
    # Said on the page of accounts; who changed it when is a SecurityEvent.
    second_factor_for = models.CharField(
        max_length=7, choices=SecondFactorFor, default=SecondFactorFor.NOBODY, db_default="", blank=True, editable=False
    )
    history = HistoricalRecords(excluded_fields=["next_sale_on", "second_factor_for"])

    class Meta:
        verbose_name = verbose_name_plural = gettext_lazy("settings of the yard")
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="settings_one_row"),
            models.CheckConstraint(
                condition=Q(ramp_ratio__gt=0) & Q(mooring_field_ratio__gt=0), name="settings_ratio_above_nothing"
            ),
            models.CheckConstraint(
                condition=Q(margin_rising_m__gte=0) & Q(margin_falling_m__gte=0), name="settings_margin_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(duration_factor__gte=0.5) & Q(duration_factor__lte=3), name="settings_factor_in_range"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ShopHours(Versioned):
    """When the yard is open, in its own zone; several rows a day make breaks. [starts, ends)."""

    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    starts = models.TimeField(validators=[on_the_quarter])
    ends = models.TimeField(validators=[on_the_quarter])
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("shop hours")
        ordering = ["weekday", "starts", "id"]
        constraints = [
            models.UniqueConstraint(fields=["weekday", "starts"], name="shop_hours_once"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="shop_hours_end_after_start"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="shop_hours_weekday"),
        ]

    def __str__(self) -> str:
        return _("{weekday} {starts} to {ends}").format(
            weekday=self.get_weekday_display(), starts=said(self.starts, "H:i"), ends=said(self.ends, "H:i")
        )


class YardHoliday(Versioned):
    """A day on which the yard is shut."""

    day = models.DateField(unique=True)
    name = models.CharField(max_length=60)
    history = HistoricalRecords()

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day} {self.name}"


class Season(Versioned):
    """A dated label, [starts_on, ends_on): ends_on is the first day after it. One plan covers all open work.

    closed_at: since when its rows refuse every change (yard.models.season_gate); the history says by whom and why.
    """

    name = models.CharField(max_length=60, unique=True)
    starts_on = models.DateField()
    ends_on = models.DateField()
    closed_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["starts_on", "id"]
        constraints = [models.CheckConstraint(condition=Q(ends_on__gt=F("starts_on")), name="season_ends_after_start")]

    def __str__(self) -> str:
        return self.name

    def holds(self, day: date) -> bool:
        """Say whether the day lies in this season."""
        return self.starts_on <= day < self.ends_on


class FactsRevision(models.Model):
    """One row, id 1: raised whenever a fact changes that a plan reads (yard.services.facts_revision)."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    count = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="facts_revision_one_row")]

    def __str__(self) -> str:
        return _("facts revision {count}").format(count=self.count)
