"""The options sheet of a new boat: her base, her options, and what was chosen for one of them."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.checks import is_list, is_list_of_names, is_table
from yard.models.orders import Order
from yard.models.packages import Package
from yard.models.versioned import Versioned

NOT_BELOW_NOTHING = MinValueValidator(0, gettext_lazy("A price is not below nothing."))


class OptionSheet(Versioned):
    """What can be ordered with a new boat. package: whose jobs make the base; options turn its own options on.

    one_of: names of groups of which exactly one option is chosen. Prices in the yard's money.
    """

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    package = models.ForeignKey(Package, on_delete=models.PROTECT, related_name="option_sheets")
    base_price = models.DecimalField(max_digits=9, decimal_places=2, default=0, validators=[NOT_BELOW_NOTHING])
    base_materials = models.JSONField(default=list, blank=True, validators=[is_list])
    one_of = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    notes = models.TextField(blank=True, help_text=gettext_lazy("printed on the customer's sheet"))
    source = models.CharField(max_length=200, help_text=gettext_lazy("where these figures come from"))
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class SheetOption(Versioned):
    """One choice of a sheet. brings: options of the sheet's package that it turns on.

    hours: [{job, minutes}], more (or fewer) minutes of a job of the package, by its key. materials:
    [{material, quantity}], by name, in millimetres of a roll, else in sheets or pieces. excludes, needs: keys of
    options of the same sheet.
    """

    sheet = models.ForeignKey(OptionSheet, on_delete=models.CASCADE, related_name="options")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    group = models.CharField(max_length=40, blank=True)
    price = models.DecimalField(max_digits=9, decimal_places=2, default=0, validators=[NOT_BELOW_NOTHING])
    brings = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    hours = models.JSONField(default=list, blank=True, validators=[is_list])
    materials = models.JSONField(default=list, blank=True, validators=[is_list])
    excludes = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    needs = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    on_by_default = models.BooleanField(default=False)
    source = models.CharField(max_length=200, help_text=gettext_lazy("where these figures come from"))
    sequence = models.PositiveSmallIntegerField(default=0)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["sheet_id", "sequence", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "key"],
                name="sheet_option_once",
                violation_error_message=gettext_lazy("Another option of this sheet has that key."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class SheetChoice(Versioned):
    """What was chosen for one new boat. lines: the sheet as it was then, [{key, name, group, price, minutes}], the
    base first: a price that was said stays what it was. materials: what was put on the buying list, {name: quantity}.
    """

    sheet = models.ForeignKey(OptionSheet, on_delete=models.PROTECT, related_name="choices")
    order = models.OneToOneField(Order, on_delete=models.CASCADE, related_name="sheet_choice")
    options = models.JSONField(default=list, validators=[is_list_of_names])
    lines = models.JSONField(default=list, validators=[is_list])
    materials = models.JSONField(default=dict, blank=True, validators=[is_table])
    price = models.DecimalField(max_digits=9, decimal_places=2, validators=[NOT_BELOW_NOTHING])
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="sheet_choices"
    )
    made_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["-made_at", "-id"]
        constraints = [models.CheckConstraint(condition=Q(price__gte=0), name="sheet_choice_price")]

    def __str__(self) -> str:
        return _("{sheet} for {order}").format(sheet=self.sheet, order=self.order)
