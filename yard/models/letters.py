"""What owners were told, and the calendar addresses handed out."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from yard.models.boats import Boat, Owner
from yard.models.checks import is_list_of_names
from yard.models.crew import Person
from yard.models.orders import Order
from yard.models.plans import Plan


class Telling(models.Model):
    """One telling of an owner: what date, how sure, by whom, how and in what words. Rows are added, not changed.

    told_date: the day, or the Monday of a provisional week. reserve_date: the reserve day. A telling that was
    noted by mistake is taken back: it stays on file, with who took it back and when, and counts no more.
    """

    class State(models.TextChoices):
        NOTHING = "nothing", "no date"
        PROVISIONAL_WEEK = "week", "provisional week"
        PROVISIONAL_DAY = "day", "provisional day"
        FIRM = "firm", "firm"
        WEATHER_HOLD = "weather_hold", "weather hold"
        DONE = "done", "done"

    class How(models.TextChoices):
        CALL = "call", "by phone"
        TEXT = "text", "by text message"
        EMAIL = "email", "by e-mail"
        LETTER = "letter", "by letter"
        IN_PERSON = "person", "in person"
        PAGE = "page", "on the owner's page"

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="tellings")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="tellings")
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.PROTECT, related_name="tellings")
    state = models.CharField(max_length=12, choices=State)
    told_date = models.DateField(null=True, blank=True)
    reserve_date = models.DateField(null=True, blank=True)
    how = models.CharField(max_length=6, choices=How)
    said = models.TextField(blank=True)
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings"
    )
    told_at = models.DateTimeField()
    plan = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings")
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings_taken_back"
    )

    class Meta:
        ordering = ["-told_at", "-id"]
        indexes = [models.Index(fields=["boat", "told_at"], name="telling_boat")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["week", "day", "firm"]) | Q(told_date__isnull=False),
                name="telling_names_its_date",
                violation_error_message="Say which week or day the owner was told.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()} told {self.told_at:%Y-%m-%d}"


class CalendarAddress(models.Model):
    """A calendar's address. Its token is worked out from id, version and the site's key: none is stored.

    Raising version replaces the address. parts: what the calendar shows.
    """

    class Kind(models.TextChoices):
        PERSON = "person", "one person's jobs"
        OWNER = "owner", "one owner's boats"
        CREW = "crew", "everybody's jobs"
        LAUNCHES = "launches", "the launch list"

    kind = models.CharField(max_length=8, choices=Kind)
    person = models.ForeignKey(Person, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    version = models.PositiveIntegerField(default=1)
    name = models.CharField(max_length=80)
    parts = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="addresses_made"
    )
    made_at = models.DateTimeField()
    paused_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    last_fetched_at = models.DateTimeField(null=True, blank=True)
    last_client = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "calendar addresses"
        ordering = ["name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="person", person__isnull=False, owner__isnull=True)
                | Q(kind="owner", owner__isnull=False, person__isnull=True)
                | Q(kind__in=["crew", "launches"], person__isnull=True, owner__isnull=True),
                name="calendar_address_of_its_kind",
            ),
            models.CheckConstraint(condition=Q(version__gte=1), name="calendar_address_version"),
        ]

    def __str__(self) -> str:
        return self.name
