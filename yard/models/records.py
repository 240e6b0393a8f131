"""What people keep beside the work: notes, photographs and measurements of a boat, an order or a job."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from yard.models.boats import Boat
from yard.models.orders import Job, Order
from yard.models.spoken import Spoken
from yard.speech import short_number


class Record(Spoken):
    """Common to all three: what it is about, who made it and when.

    One of a job names its order and boat too, one of an order its boat. What was kept by mistake is taken back: it
    stays on file, with who took it back and when, and is shown no more.
    """

    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="%(class)ss")
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.CASCADE, related_name="%(class)ss")
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.CASCADE, related_name="%(class)ss")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="%(class)ss_made"
    )
    made_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="%(class)ss_taken_back",
    )

    class Meta:
        abstract = True
        ordering = ["-made_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | Q(order__isnull=False) | Q(job__isnull=False),
                name="%(class)s_is_about_something",
                violation_error_message=_("Name the boat, the order or the job."),
            )
        ]


class Memo(Record):
    """A note in a person's own words. (`notes` of a boat is the standing text on her card.)"""

    text = models.TextField()

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        return self.text[:60]


class Photograph(Record):
    """A photograph, kept in the yard's own folder. sha256: of what was sent, so that the same one is kept once."""

    file = models.FileField(upload_to="%Y/%m/")
    sha256 = models.CharField(max_length=64, db_index=True)
    caption = models.CharField(max_length=200, blank=True)

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        return self.caption or self.file.name or "photograph"


class Measurement(Record):
    """A measure taken on the boat, so that a pattern can be made from file. value in its unit, as taken."""

    class Unit(models.TextChoices):
        METRES = "m", "m"
        SQUARE_METRES = "m2", "m²"
        DEGREES = "deg", _("degrees")
        KILOGRAMS = "kg", "kg"
        COUNT = "count", _("pieces")

    name = models.CharField(max_length=80)
    value = models.FloatField()
    unit = models.CharField(max_length=5, choices=Unit, default=Unit.METRES)
    note = models.CharField(max_length=200, blank=True)

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        return f"{self.name} {short_number(self.value)} {self.get_unit_display()}"
