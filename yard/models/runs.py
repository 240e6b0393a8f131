"""Owners carried out to their boats and back: who wishes it, and the runs of a workboat that are booked for them."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat, Owner
from yard.models.checks import on_the_quarter
from yard.models.crew import Person
from yard.models.places import Place
from yard.models.versioned import Versioned


class OwnersRun(Versioned):
    """One run of a workboat for owners, [leaves_at, back_at), UTC: a fact that plans go round.

    people: of the yard, the operator with them; they take seats as owners do.
    """

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="runs")
    people = models.ManyToManyField(Person, related_name="runs")
    leaves_at = models.DateTimeField(validators=[on_the_quarter])
    back_at = models.DateTimeField(validators=[on_the_quarter])
    note = models.CharField(max_length=200, blank=True)
    booked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="runs_booked"
    )
    booked_at = models.DateTimeField()
    called_off_at = models.DateTimeField(null=True, blank=True)
    called_off_why = models.CharField(max_length=100, blank=True)
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    history = HistoricalRecords(m2m_fields=[people])

    class Meta:
        ordering = ["leaves_at", "id"]
        indexes = [models.Index(fields=["leaves_at"], name="owners_run_day")]
        constraints = [
            models.CheckConstraint(condition=Q(back_at__gt=F("leaves_at")), name="owners_run_back_after_leaving"),
            models.CheckConstraint(
                condition=Q(called_off_at=None) | ~Q(called_off_why=""), name="owners_run_called_off_with_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return _("run of {place} at {leaves_at} UTC").format(
            place=self.place, leaves_at=f"{self.leaves_at:%Y-%m-%d %H:%M}"
        )


class RunWish(Versioned):
    """Somebody wishes to be carried: how many, out to a boat or back, leaving within [from_at, until_at]."""

    class Way(models.TextChoices):
        OUT = "out", gettext_lazy("out to her")
        BACK = "back", gettext_lazy("back ashore")

    class State(models.TextChoices):
        ASKED = "asked", gettext_lazy("asked")
        BOOKED = "booked", gettext_lazy("booked")
        DECLINED = "declined", gettext_lazy("not possible")
        WITHDRAWN = "withdrawn", gettext_lazy("withdrawn")

    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.SET_NULL, related_name="run_wishes")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.SET_NULL, related_name="run_wishes")
    name = models.CharField(max_length=80, help_text=gettext_lazy("who goes, or who asked for them"))
    phone = models.CharField(max_length=40, blank=True)
    people = models.PositiveSmallIntegerField(default=1)
    way = models.CharField(max_length=4, choices=Way, default=Way.OUT)
    from_at = models.DateTimeField(validators=[on_the_quarter])
    until_at = models.DateTimeField(validators=[on_the_quarter])
    note = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=9, choices=State, default=State.ASKED)
    answer = models.CharField(max_length=100, blank=True, help_text=gettext_lazy("why it is not possible"))
    run = models.ForeignKey(OwnersRun, null=True, blank=True, on_delete=models.PROTECT, related_name="wishes")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="run_wishes_asked"
    )
    asked_at = models.DateTimeField()
    form_key = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("run wishes")
        ordering = ["from_at", "id"]
        indexes = [models.Index(fields=["state", "from_at"], name="run_wish_state_day")]
        constraints = [
            models.CheckConstraint(condition=Q(people__gte=1), name="run_wish_of_somebody"),
            models.CheckConstraint(condition=Q(until_at__gte=F("from_at")), name="run_wish_until_after_from"),
            models.CheckConstraint(
                condition=Q(state="booked", run__isnull=False) | (~Q(state="booked") & Q(run=None)),
                name="run_wish_booked_on_a_run",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.people} {self.get_way_display()}"
