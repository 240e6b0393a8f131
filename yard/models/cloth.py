"""Cloth and foam: whose they are to buy, what lies in the yard, and what is to be bought for an order.

Lengths in whole millimetres, as yard.cutting has them.
"""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.orders import Order
from yard.models.places import Place
from yard.models.versioned import Versioned

USUAL_LEAD_DAYS = 14
"""Where no supplier is on file: two weeks (common practice: 2 to 15 working days, confirm)."""


class Supplier(Versioned):
    """Who sells, or who sews for the yard. lead days: from ordering until it is here, calendar days, with the range."""

    name = models.CharField(max_length=80, unique=True)
    reached_by = models.CharField(max_length=120, blank=True, help_text=gettext_lazy("telephone, address of mail"))
    lead_days_least = models.PositiveSmallIntegerField(default=2)
    lead_days_usual = models.PositiveSmallIntegerField(default=7)
    lead_days_most = models.PositiveSmallIntegerField(default=21)
    source = models.CharField(max_length=200, help_text=gettext_lazy("who said how long it takes"))
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(lead_days_usual__gte=F("lead_days_least")) & Q(lead_days_most__gte=F("lead_days_usual")),
                name="supplier_lead_in_order",
                violation_error_message=gettext_lazy("The least, the usual and the most days must not fall."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class Material(Versioned):
    """Cloth by the roll, foam by the sheet, a part by the piece. Prices in the yard's money: of a metre, else of one.

    width_mm: of the roll, or of the sheet. length_mm, thickness_mm: of a sheet. repeat_mm: 0 for plain cloth.
    join_mm: seam allowance at each edge where cloths are joined. sold_by_mm: cloth is sold in steps of this.
    """

    class Kind(models.TextChoices):
        CLOTH = "cloth", gettext_lazy("cloth, by the roll")
        FOAM = "foam", gettext_lazy("foam, by the sheet")
        PIECE = "piece", gettext_lazy("a part, by the piece")

    kind = models.CharField(max_length=5, choices=Kind, default=Kind.CLOTH)
    name = models.CharField(max_length=80, unique=True)
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="materials")
    width_mm = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    length_mm = models.PositiveIntegerField(null=True, blank=True)
    thickness_mm = models.PositiveIntegerField(null=True, blank=True)
    selvage_mm = models.PositiveIntegerField(default=0)
    repeat_mm = models.PositiveIntegerField(default=0)
    gap_mm = models.PositiveIntegerField(default=0)
    join_mm = models.PositiveIntegerField(default=13)
    sold_by_mm = models.PositiveIntegerField(default=100, validators=[MinValueValidator(1)])
    spare_pct = models.PositiveSmallIntegerField(default=0)
    price = models.DecimalField(
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0, gettext_lazy("Not below nothing."))],
    )
    source = models.CharField(max_length=200, help_text=gettext_lazy("where these figures come from"))
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["kind", "name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["cloth", "piece"])
                | Q(length_mm__isnull=False, length_mm__gt=0, thickness_mm__isnull=False, thickness_mm__gt=0),
                name="material_foam_has_its_sheet",
                violation_error_message=gettext_lazy("Foam has the length and the thickness of its sheet."),
            ),
            models.CheckConstraint(
                condition=Q(spare_pct__lte=100),
                name="material_spare_is_a_share",
                violation_error_message=gettext_lazy("Spare is from 0 to 100 per cent."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_foam(self) -> bool:
        return self.kind == self.Kind.FOAM

    @property
    def is_counted(self) -> bool:
        """By the sheet or by the piece; else it is measured along the roll."""
        return self.kind != self.Kind.CLOTH

    @property
    def counted_in(self) -> str:
        """ "sheet" or "piece" """
        return "sheet" if self.is_foam else "piece"

    def cost_of(self, quantity: int) -> Decimal | None:
        """Of so many millimetres of the roll, sheets or pieces; None where it has no price."""
        if self.price is None:
            return None
        count = Decimal(quantity) if self.is_counted else Decimal(quantity) / 1000
        return (self.price * count).quantize(Decimal("0.01"))


class Stock(Versioned):
    """One roll with what is left of it, or how many of a foam or part there are (sheets). label: written on it."""

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="stock")
    label = models.CharField(max_length=40, blank=True)
    length_mm = models.PositiveIntegerField(default=0, help_text=gettext_lazy("left on the roll"))
    sheets = models.PositiveSmallIntegerField(default=0)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL, related_name="stock")
    note = models.CharField(max_length=200, blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["material__name", "length_mm", "id"]
        verbose_name_plural = gettext_lazy("stock")

    def __str__(self) -> str:
        which = self.label or _("no. {number}").format(number=self.pk)
        return f"{self.material}, {which}"

    @property
    def left(self) -> int:
        """Millimetres of the roll, or sheets."""
        return self.sheets if self.material.is_counted else self.length_mm

    @left.setter
    def left(self, quantity: int) -> None:
        if self.material.is_counted:
            self.sheets = quantity
        else:
            self.length_mm = quantity


class TakeOff(Versioned):
    """How one material of an order is cut, and how much of it is needed; panels: what it was reckoned from.

    plan: places of the pieces, as yard.services.take_off writes them. needed: millimetres of a roll, or sheets.
    """

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="take_offs")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="take_offs")
    panels = models.CharField(max_length=64, help_text=gettext_lazy("SHA-256 of the panels and the material's figures"))
    plan = models.JSONField()
    needed = models.PositiveIntegerField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="take_offs"
    )
    made_at = models.DateTimeField()
    history = HistoricalRecords(excluded_fields=["plan"])

    class Meta:
        ordering = ["order_id", "material__name", "id"]
        constraints = [models.UniqueConstraint(fields=["order", "material"], name="take_off_once")]

    def __str__(self) -> str:
        return _("{material} for {order}").format(material=self.material, order=self.order.ref)

    @property
    def chosen_way(self) -> dict[str, Any]:
        """The way in which it is cut: length, bound, what it uses of a roll, what is ordered for it."""
        way: dict[str, Any] = self.plan[self.plan["chosen"]]
        return way


class Purchase(Versioned):
    """One line of the buying list: a material for an order, from stock or to be bought.

    quantity: millimetres of a roll, or sheets. stock: the roll or sheets that it is kept from: from the yard's stock at
    once, or what arrived. expected_date: as the supplier said (told_by), or ordered_on and their usual days.
    """

    class State(models.TextChoices):
        TO_ORDER = "to_order", gettext_lazy("to be ordered")
        ORDERED = "ordered", gettext_lazy("ordered")
        HERE = "here", gettext_lazy("here")
        CUT = "cut", gettext_lazy("cut")
        CANCELLED = "cancelled", gettext_lazy("not wanted any more")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="purchases")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="purchases")
    quantity = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    state = models.CharField(max_length=9, choices=State, default=State.TO_ORDER)
    from_stock = models.BooleanField(default=False)
    stock = models.ForeignKey(Stock, null=True, blank=True, on_delete=models.PROTECT, related_name="kept_for")
    ordered_on = models.DateField(null=True, blank=True)
    expected_date = models.DateField(null=True, blank=True)
    told_by = models.CharField(max_length=120, blank=True)
    here_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["state", "expected_date", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "material"], condition=~Q(state="cancelled"), name="purchase_once_an_order"
            ),
            models.CheckConstraint(
                condition=~Q(state="ordered") | Q(ordered_on__isnull=False, expected_date__isnull=False),
                name="purchase_ordered_has_its_days",
                violation_error_message=gettext_lazy(
                    "What is ordered has the day of ordering and the day it is expected."
                ),
            ),
        ]

    def __str__(self) -> str:
        return _("{material} for {order}").format(material=self.material, order=self.order.ref)

    @property
    def lead_days(self) -> tuple[int, int, int]:
        """From ordering until it is here: least, usual, most; calendar days."""
        supplier = self.material.supplier
        if supplier is None:
            return USUAL_LEAD_DAYS, USUAL_LEAD_DAYS, USUAL_LEAD_DAYS
        return supplier.lead_days_least, supplier.lead_days_usual, supplier.lead_days_most
