"""The pieces of a canvas order: covers, dodgers, cushions; their panels, their options, and how far each has come."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from yard.models.checks import is_list_of_names
from yard.models.cloth import Material, Supplier
from yard.models.orders import Order
from yard.models.spoken import Spoken
from yard.models.versioned import Versioned


class CanvasOption(Versioned):
    """A choice of how a piece is made, and what it costs in hours and cloth. kinds: of pieces that it is for; [] all.

    job_key: of the order's job whose hours it changes, by extra_min a piece. matches: panels are cut to the pattern.
    cloth_pct: more cloth than its panels say, where what it takes is no panel of its own.
    """

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    kinds = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    job_key = models.SlugField(max_length=40, default="sew")
    extra_min = models.PositiveIntegerField(default=0)
    matches = models.BooleanField(default=False)
    cloth_pct = models.PositiveSmallIntegerField(default=0)
    source = models.CharField(max_length=200)
    sequence = models.PositiveSmallIntegerField(default=0)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["sequence", "name", "id"]

    def __str__(self) -> str:
        return self.name


class CanvasPiece(Versioned):
    """One thing that an order makes. sent_to: who sews it elsewhere; back_by_date: when it is to be back.

    usual_slip_days: how late that one usually is (common practice: ask, and write down what was).
    """

    class Kind(models.TextChoices):
        COVER = "cover", _("boat cover")
        SAIL_COVER = "sail_cover", _("sail cover")
        DODGER = "dodger", _("dodger")
        BIMINI = "bimini", _("bimini")
        CUSHIONS = "cushions", _("cushions")
        OTHER = "other", _("other")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="canvas_pieces")
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.COVER)
    name = models.CharField(max_length=60)
    options = models.ManyToManyField(CanvasOption, blank=True, related_name="pieces")
    sent_to = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="sewing")
    sent_on = models.DateField(null=True, blank=True)
    back_by_date = models.DateField(null=True, blank=True)
    usual_slip_days = models.PositiveSmallIntegerField(default=0)
    back_on = models.DateField(null=True, blank=True)
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords(m2m_fields=[options])

    class Meta:
        ordering = ["order_id", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "name"],
                name="canvas_piece_name_once",
                violation_error_message=_("Another piece of this order has that name."),
            ),
            models.CheckConstraint(
                condition=Q(sent_on=None) | Q(sent_to__isnull=False, back_by_date__isnull=False),
                name="canvas_piece_sent_out_comes_back",
                violation_error_message=_("Sent out: say to whom, and by which day it is to be back."),
            ),
            models.CheckConstraint(
                condition=Q(back_on=None) | Q(sent_on__isnull=False, back_on__gte=F("sent_on")),
                name="canvas_piece_back_after_sent",
                violation_error_message=_("It cannot be back before it was sent out."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CanvasProgress(Spoken):
    """A piece has come so far: who said so, and when. Taken back, it stays on file and counts no more."""

    class Stage(models.TextChoices):
        """In the order in which the trade does them. Cloth is here when what was bought for the piece is."""

        MEASURED = "measured", _("measured or patterned")
        APPROVED = "approved", _("drawing and price approved")
        DEPOSIT = "deposit", _("deposit paid")
        CLOTH = "cloth", _("cloth here")
        CUT = "cut", _("cut")
        SEWN = "sewn", _("sewn")
        TRIAL_FIT = "trial_fit", _("trial fit")
        FITTED = "fitted", _("fitted where she lies")

    piece = models.ForeignKey(CanvasPiece, on_delete=models.CASCADE, related_name="progress")
    stage = models.CharField(max_length=9, choices=Stage)
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="canvas_said"
    )
    said_at = models.DateTimeField()
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="canvas_taken_back"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = _("progress of pieces")
        ordering = ["piece_id", "said_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "stage"], condition=Q(taken_back_at=None), name="canvas_stage_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.piece}: {self.get_stage_display()}"


class CanvasPanel(Versioned):
    """A panel of a piece, as it is finished. ends_mm, sides_mm: hem or seam at each end, at each side.

    measured_as: the name under which its length stands among the boat's measurements, where it was taken from them.
    """

    class Grain(models.TextChoices):
        ALONG = "along", _("length along the roll")
        ACROSS = "across", _("length across the roll")
        ANY = "any", _("may be turned")

    piece = models.ForeignKey(CanvasPiece, on_delete=models.CASCADE, related_name="panels")
    name = models.CharField(max_length=40)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="panels")
    length_mm = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    width_mm = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    ends_mm = models.PositiveIntegerField(default=0)
    sides_mm = models.PositiveIntegerField(default=0)
    grain = models.CharField(max_length=6, choices=Grain, default=Grain.ALONG)
    matched = models.BooleanField(default=False, help_text=_("its pattern meets its neighbours' across the seam"))
    match_at_mm = models.PositiveIntegerField(default=0)
    measured_as = models.CharField(max_length=80, blank=True)
    taken_out_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["piece_id", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "name", "material"],
                condition=Q(taken_out_at=None),
                name="canvas_panel_name_once",
                violation_error_message=_("Another panel of this piece in this material has that name."),
            ),
            models.CheckConstraint(
                condition=Q(matched=False) | ~Q(grain="any"),
                name="canvas_panel_matched_is_not_turned",
                violation_error_message=_("A matched panel cannot be turned: say which way its length lies."),
            ),
        ]

    def __str__(self) -> str:
        return self.name
