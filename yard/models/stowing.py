"""Filling the winter store: what rows and racks hold, the yard's rules for autumn, and plans of who stands where."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.boats import Boat
from yard.models.checks import is_day_of_year
from yard.models.places import Place
from yard.models.things import Item
from yard.models.versioned import Versioned


class AutumnRules(Versioned):
    """One row, id 1. How many boats come out on a day, room between them, and the day before which to winterise.

    freeze_station: key of the table of published first freezes; freeze_in_100: so many autumns in which it may have
    frozen before that day; freeze_own_day: the yard's own day instead, as 11-15. freeze_binds: no plan winterises
    later; else each day later costs as a day late does.
    """

    class Below(models.IntegerChoices):
        F36 = 36, "36 °F (2 °C)"
        F32 = 32, "32 °F (0 °C)"
        F28 = 28, "28 °F (−2 °C)"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    # Three a day, two feet between two boats: common practice.
    hauls_a_day = models.PositiveSmallIntegerField(default=3, validators=[MinValueValidator(1), MaxValueValidator(50)])
    gap_m = models.FloatField(default=0.6, validators=[MinValueValidator(0), MaxValueValidator(5)])
    freeze_station = models.SlugField(max_length=40, blank=True)
    freeze_below_f = models.PositiveSmallIntegerField(choices=Below, default=Below.F32)
    freeze_in_100 = models.PositiveSmallIntegerField(
        default=10, validators=[MinValueValidator(10), MaxValueValidator(90)]
    )
    freeze_own_day = models.CharField(max_length=5, blank=True, validators=[is_day_of_year])
    freeze_binds = models.BooleanField(default=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name = verbose_name_plural = gettext_lazy("rules for autumn")
        constraints = [models.CheckConstraint(condition=Q(id=1), name="autumn_rules_one_row")]

    def __str__(self) -> str:
        return _("rules for autumn")


class StackMeasure(Versioned):
    """What a row of the store or a spar rack holds, beside the limits of each boat that its place has.

    length_m: of the whole row, empty: not measured. height_m: headroom. levels, per_level: of a rack, one level above
    another, so many spars on each; a row has one level.
    """

    place = models.OneToOneField(Place, on_delete=models.CASCADE, related_name="stack")
    length_m = models.FloatField(null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(500)])
    height_m = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0.5), MaxValueValidator(60)])
    levels = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(30)])
    per_level = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(200)]
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["place_id"]

    def __str__(self) -> str:
        return _("measures of {place}").format(place=self.place)


class StowPlan(Versioned):
    """A plan of who stands where through the winter, and of how spring empties it.

    inputs: fingerprint of what it was made from. figures: extra moves, first come, the bound, drawn springs, as
    services.stow_plan writes them. replaced: the plan that was accepted before.
    """

    class Kind(models.TextChoices):
        BOATS = "boats", gettext_lazy("boats in rows")
        SPARS = "spars", gettext_lazy("spars on racks")

    class State(models.TextChoices):
        PROPOSED = "proposed", gettext_lazy("proposed")
        ACCEPTED = "accepted", gettext_lazy("accepted")
        DROPPED = "dropped", gettext_lazy("dropped")

    kind = models.CharField(max_length=5, choices=Kind)
    state = models.CharField(max_length=8, choices=State, default=State.PROPOSED)
    inputs = models.CharField(max_length=64)
    figures = models.JSONField(default=dict)
    replaced = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="replacing")
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="stow_plans_made"
    )
    made_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="stow_plans_decided"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["figures"])

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind"],
                condition=Q(state="accepted"),
                name="stow_plan_one_accepted",
                violation_error_message=gettext_lazy("Another plan is accepted already."),
            ),
            models.UniqueConstraint(fields=["kind"], condition=Q(state="proposed"), name="stow_plan_one_proposed"),
        ]

    def __str__(self) -> str:
        return _("store plan of {kind}, {state}").format(kind=self.get_kind_display(), state=self.get_state_display())


class StowSpot(models.Model):
    """Where a boat, or her spar, is to stand. level: of a rack, 1 for a row. position: 1 innermost.

    standing: she stood there when the plan was made. on: the day on which she is to come, empty where she stands.
    turn: in which turn she leaves, 1 first; leaves: the day that was expected then.
    """

    plan = models.ForeignKey(StowPlan, on_delete=models.CASCADE, related_name="spots")
    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="stow_spots")
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.CASCADE, related_name="stow_spots")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="stow_spots")
    level = models.PositiveSmallIntegerField(default=1)
    position = models.PositiveSmallIntegerField()
    standing = models.BooleanField(default=False)
    on = models.DateField(null=True, blank=True)
    turn = models.PositiveSmallIntegerField()
    leaves = models.DateField()

    class Meta:
        ordering = ["plan_id", "place_id", "level", "position"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "place", "level", "position"], name="stow_spot_one_a_place"),
            models.CheckConstraint(condition=Q(standing=True) | Q(on__isnull=False), name="stow_spot_has_its_day"),
        ]

    def __str__(self) -> str:
        return _("{boat} in {place}, {position}").format(boat=self.boat, place=self.place, position=self.position)
