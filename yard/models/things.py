"""The things of a boat, or of a walk-in, where each of them is, and what work is done to it. Areas in square metres."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat
from yard.models.checks import sail_length_in_range
from yard.models.spoken import Spoken
from yard.models.versioned import Versioned


class Item(Versioned):
    """A thing of a boat, or of a walk-in: mast, sail, cushions, keys, cradle.

    luff_m: of a sail, as measured. line_m: how much of a drying line it takes; empty: as its luff, else reckoned.
    """

    class Kind(models.TextChoices):
        MAST = "mast", _("mast")
        SAIL = "sail", _("sail")
        CUSHIONS = "cushions", _("cushions")
        COVER = "cover", _("cover")
        FRAME = "frame", _("frame")
        KEYS = "keys", _("keys")
        CRADLE = "cradle", _("cradle")
        ENGINE = "engine", _("engine")
        OTHER = "other", _("other")

    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="items")
    order = models.ForeignKey(
        "yard.Order",
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="items",
        help_text=_("the walk-in's order, where there is no boat on file"),
    )
    ref = models.SlugField(max_length=30, blank=True, help_text=_("the yard's own, by which lists are matched"))
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=80)
    bag_tag = models.CharField(max_length=20, blank=True)
    sail_number = models.CharField(max_length=20, blank=True, help_text=_("as it stands on the sail"))
    washed_on = models.DateField(null=True, blank=True, help_text=_("last washed"))
    serviced_on = models.DateField(null=True, blank=True, help_text=_("last looked over or repaired"))
    area_m2 = models.FloatField(null=True, blank=True)
    luff_m = models.FloatField(null=True, blank=True, validators=sail_length_in_range)
    line_m = models.FloatField(null=True, blank=True, validators=sail_length_in_range)
    measured_on = models.DateField(null=True, blank=True, help_text=_("last measured"))
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat_id", "kind", "name", "id"]
        indexes = [models.Index(fields=["bag_tag"], name="item_bag_tag")]
        constraints = [
            models.CheckConstraint(
                condition=Q(boat__isnull=False) | Q(order__isnull=False),
                name="item_belongs_somewhere",
                violation_error_message=_("Name the boat, or the walk-in's order."),
            ),
            models.CheckConstraint(condition=Q(area_m2=None) | Q(area_m2__gt=0), name="item_area_above_nothing"),
            models.CheckConstraint(
                condition=(Q(luff_m=None) | Q(luff_m__gt=0)) & (Q(line_m=None) | Q(line_m__gt=0)),
                name="item_lengths_above_nothing",
            ),
            models.UniqueConstraint(fields=["ref"], condition=~Q(ref=""), name="item_ref_once"),
        ]

    def __str__(self) -> str:
        return self.name


class ItemWhereabouts(Spoken):
    """Where a thing is from a moment on; its latest row is true now. A mast aboard is stepped."""

    class Kind(models.TextChoices):
        PLACE = "place", _("in the yard")
        ABOARD = "aboard", _("aboard")
        OWNER = "owner", _("with the owner")
        SENT_OUT = "sent_out", _("sent out")

    class Condition(models.TextChoices):
        DRY = "dry", _("dry")
        DAMP = "damp", _("damp")

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="whereabouts")
    kind = models.CharField(max_length=8, choices=Kind)
    place = models.ForeignKey("yard.Place", null=True, blank=True, on_delete=models.PROTECT, related_name="items_seen")
    condition = models.CharField(max_length=4, choices=Condition, blank=True)
    since = models.DateTimeField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="items_placed"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = _("whereabouts of things")
        ordering = ["item_id", "-since", "-id"]
        indexes = [models.Index(fields=["place", "since"], name="item_whereabouts_place")]
        constraints = [
            models.UniqueConstraint(fields=["item", "since"], name="item_one_place_at_a_time"),
            models.CheckConstraint(
                condition=Q(kind="place", place__isnull=False) | (~Q(kind="place") & Q(place__isnull=True)),
                name="item_whereabouts_names_place",
                violation_error_message=_("Say in which place it lies; aboard, with the owner and sent out name none."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item}: {self.place or self.get_kind_display()}"


class JobThing(models.Model):
    """A thing that a job is done to: the sails that it washes, dries or mends.

    A job on sails that names none is done to all of the boat's (queries/sails.py).
    """

    job = models.ForeignKey("yard.Job", on_delete=models.CASCADE, related_name="things")
    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="jobs")

    class Meta:
        ordering = ["job_id", "id"]
        constraints = [models.UniqueConstraint(fields=["job", "item"], name="job_thing_once")]

    def __str__(self) -> str:
        return f"{self.job}: {self.item}"
