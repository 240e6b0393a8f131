"""The parts of a mooring's tackle, each with its own dates."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.boats import Mooring
from yard.models.versioned import Versioned


class TacklePart(Versioned):
    """One part of a mooring's tackle, from the ground up. What is taken up stays on file with the day of it.

    size: as it is said and stamped ("500 lb", "3/4 in", "16 mm"). length_m: of chain, rode and pendants.
    """

    class Kind(models.TextChoices):
        """From the ground to the boat; the yard thinks of them in this order."""

        ANCHOR = "anchor", _("anchor or block")
        GROUND_CHAIN = "ground_chain", _("ground chain")
        TOP_CHAIN = "top_chain", _("top chain")
        RODE = "rode", _("rode")
        SWIVEL = "swivel", _("swivel")
        SHACKLE = "shackle", _("shackle")
        BUOY = "buoy", _("buoy")
        WINTER_STICK = "winter_stick", _("winter stick")
        PENDANT = "pendant", _("pendant")
        CHAFE_GEAR = "chafe_gear", _("chafe gear")
        OTHER = "other", _("other")

    class Condition(models.TextChoices):
        GOOD = "good", _("good")
        WORN = "worn", _("worn, will do this season")
        REPLACE = "replace", _("to be replaced")

    mooring = models.ForeignKey(Mooring, on_delete=models.CASCADE, related_name="parts")
    kind = models.CharField(max_length=12, choices=Kind)
    size = models.CharField(max_length=60, blank=True)
    length_m = models.FloatField(null=True, blank=True)
    laid_on = models.DateField(null=True, blank=True)
    inspected_on = models.DateField(null=True, blank=True)
    condition = models.CharField(max_length=7, choices=Condition, blank=True)
    note = models.CharField(max_length=200, blank=True)
    taken_up_on = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["mooring_id", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(length_m=None) | (Q(length_m__gt=0) & Q(length_m__lte=200)),
                name="tackle_length_in_range",
                violation_error_message=_("No part of a mooring is that long: check the unit."),
            ),
            models.CheckConstraint(
                condition=Q(laid_on=None) | Q(inspected_on=None) | Q(inspected_on__gte=F("laid_on")),
                name="tackle_laid_before_inspected",
                violation_error_message=_("It was inspected before it was laid: one of the two dates is wrong."),
            ),
            models.CheckConstraint(
                condition=Q(laid_on=None) | Q(taken_up_on=None) | Q(taken_up_on__gte=F("laid_on")),
                name="tackle_laid_before_taken_up",
                violation_error_message=_("It was taken up before it was laid: one of the two dates is wrong."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.size}".strip()
