"""What a day left behind: taps on a phone, closings of days, materials used and extras agreed."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.boats import Boat
from yard.models.events import Event
from yard.models.orders import Job, Order
from yard.models.spoken import Spoken
from yard.speech import short_number


class Tap(Spoken):
    """Something tapped on a phone, by the key that the phone gave it: sent twice, it is one.

    tapped_at: when it was tapped, as far as the phone's clock is believed. answer: what was said back. event: what it
    changed, None where it changed nothing. refused: it could not be; answer says why.
    """

    class Kind(models.TextChoices):
        STARTED = "started", gettext_lazy("started")
        FINISHED = "finished", gettext_lazy("finished")
        LONGER = "longer", gettext_lazy("takes longer")
        STOPPED = "stopped", gettext_lazy("stopped")
        NOTE = "note", gettext_lazy("note")
        STORM = "storm", gettext_lazy("storm list ticked")
        UNDO = "undo", gettext_lazy("taken back")

    key = models.UUIDField(unique=True, editable=False)
    kind = models.CharField(max_length=8, choices=Kind)
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.CASCADE, related_name="taps")
    event = models.ForeignKey(Event, null=True, blank=True, on_delete=models.SET_NULL, related_name="taps")
    tapped_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="taps"
    )
    tapped_at = models.DateTimeField()
    received_at = models.DateTimeField()
    answer = models.CharField(max_length=300, blank=True)
    refused = models.BooleanField(default=False)

    class Meta:
        ordering = ["-received_at", "-id"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.answer}"


class DayClosing(models.Model):
    """A day's work closed, presumed done as planned but for its exceptions. One that holds for each day.

    event: the rows that it changed, so that it can be undone.
    """

    day = models.DateField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="closings")
    form_key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    says = models.CharField(max_length=300)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="days_closed"
    )
    closed_at = models.DateTimeField()
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="closings_undone"
    )
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-day", "-closed_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["day"],
                condition=Q(undone_at=None),
                name="day_closed_once",
                violation_error_message=gettext_lazy("This day is closed already."),
            )
        ]

    def __str__(self) -> str:
        return _("{day} closed: {says}").format(day=f"{self.day:%Y-%m-%d}", says=self.says)


class MaterialUsed(models.Model):
    """What a job took of a material, in the unit that the yard counts it in."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="materials")
    name = models.CharField(max_length=80)
    quantity = models.FloatField()
    unit = models.CharField(max_length=20, blank=True)
    used_on = models.DateField()
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="materials_noted"
    )
    noted_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = gettext_lazy("materials used")
        ordering = ["used_on", "id"]
        constraints = [models.CheckConstraint(condition=Q(quantity__gt=0), name="material_above_nothing")]

    def __str__(self) -> str:
        return f"{self.name}, {short_number(self.quantity)} {self.unit}".strip()


class ExtraWork(Spoken):
    """Work beyond the order, and whether its owner said yes. extra_min: time it took."""

    class Agreed(models.TextChoices):
        DOCK = "dock", gettext_lazy("yes, on the dock")
        PHONE = "phone", gettext_lazy("yes, by phone")
        NOT_ASKED = "no", gettext_lazy("not asked")

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="extras")
    what = models.CharField(max_length=120)
    extra_min = models.PositiveIntegerField(default=0)
    agreed = models.CharField(max_length=5, choices=Agreed, default=Agreed.NOT_ASKED)
    done_on = models.DateField()
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="extras_noted"
    )
    noted_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = gettext_lazy("extra work")
        ordering = ["done_on", "id"]

    def __str__(self) -> str:
        return f"{self.what}, {self.get_agreed_display()}"


class Storm(models.Model):
    """A storm that is warned of: what is to be done for each boat afloat before it comes.

    comes_at: when wind or water is expected to end the work. night_tides: whether boats are hauled in the dark.
    hauls_per_tide: how many the yard hauls on one tide.
    """

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="storms")
    name = models.CharField(max_length=80)
    comes_at = models.DateTimeField()
    night_tides = models.BooleanField(default=False)
    hauls_per_tide = models.PositiveSmallIntegerField(default=4)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="storms_made"
    )
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hauls_per_tide__gte=1) & Q(hauls_per_tide__lte=20), name="storm_hauls_in_range"
            )
        ]

    def __str__(self) -> str:
        return self.name


class StormLine(Spoken):
    """One boat of the storm list. tide_at: the high water on which she is to be hauled; None where none is left.

    why_not: the reason why none is left for her, in words. order: the hauling ordered as work, None where it is not.
    """

    storm = models.ForeignKey(Storm, on_delete=models.CASCADE, related_name="lines")
    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="storm_lines")
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.SET_NULL, related_name="storm_lines")
    sequence = models.PositiveSmallIntegerField()
    todo = models.CharField(max_length=6, choices=Boat.InAStorm)
    tide_at = models.DateTimeField(null=True, blank=True)
    lies = models.CharField(max_length=80, blank=True)
    why_not = models.CharField(max_length=200, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="storm_lines_done"
    )

    class Meta:
        ordering = ["storm_id", "sequence", "id"]
        constraints = [models.UniqueConstraint(fields=["storm", "boat"], name="storm_line_once_a_boat")]

    def __str__(self) -> str:
        return f"{self.boat}: {self.get_todo_display()}"
