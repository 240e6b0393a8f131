"""Forms of what canvas needs: pieces, panels, options, materials, stock and suppliers, with their desks."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, ClassVar, cast

from django import forms
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import (
    CanvasOption,
    CanvasPanel,
    CanvasPiece,
    Material,
    Measurement,
    Place,
    Stock,
    Supplier,
)
from yard.services.keep_cloth import MATERIAL, OPTION, PANEL, PIECE, STOCK, SUPPLIER
from yard.web.boats.words import figure
from yard.web.canvas.tape import TapeField, in_tape, price_kept, price_typed
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.keeping.saying import Sayer
from yard.web.packages.hours import MinutesField
from yard.web.request import YardRequest


class TapeForm(RowForm):
    """tapes: fields that are typed as a tape measure says them; nought: those of them in which empty means 0."""

    tapes: ClassVar[tuple[str, ...]] = ()
    nought: ClassVar[frozenset[str]] = frozenset()

    @classmethod
    def sayer(cls, *, feet: bool) -> Sayer:
        tapes: dict[str, Callable[[Any], str]] = {key: partial(cls.in_tape, key, feet=feet) for key in cls.tapes}
        return Sayer(cls.keeper, feet=feet, measures=cls.measures, says={**cls.says, **tapes})

    @classmethod
    def in_tape(cls, key: str, mm: int | None, *, feet: bool) -> str:
        """A length as it is shown; "" where there is none."""
        return "" if key in cls.nought and not mm else in_tape(mm, inches=feet)

    def _typed_fields(self) -> None:
        super()._typed_fields()
        unit = "in" if self.feet else "mm"
        for key in self.tapes:
            field = TapeField(inches=self.feet, required=key in self.needed, label=f"{self._label(key)}, {unit}")
            usual = self._meta.model._meta.get_field(key)
            field.initial = self._typed(key, usual.get_default())
            self.fields[key] = field

    def _typed(self, key: str, value: Any) -> Any:
        return self.in_tape(key, value, feet=self.feet) if key in self.tapes else super()._typed(key, value)

    def values(self) -> dict[str, Any]:
        """What is left as it was shown keeps what is on file: what is shown is rounded."""
        values = super().values()
        for key in self.tapes:
            if key in self.nought and values.get(key) is None:
                values[key] = 0
            if self.row is not None and str(self.data.get(key, "")).strip() == self.initial[key]:
                values[key] = getattr(self.row, key)
        return values


def _offer(form: RowForm, key: str, rows: Any, empty: str | None) -> None:
    """What is not put away, and what the row names already."""
    now = getattr(form.row, form.keeper.column(key)) if form.row is not None else None
    field = cast("forms.ModelChoiceField[Any]", form.fields[key])
    field.queryset, field.empty_label = rows.filter(Q(archived=False) | Q(pk=now)), empty


class SupplierForm(RowForm):
    keeper = SUPPLIER
    sections = (
        Section(gettext_lazy("Who"), ("name", "reached_by")),
        Section(gettext_lazy("How long it takes"), ("lead_days_least", "lead_days_usual", "lead_days_most", "source")),
        Section(gettext_lazy("Notes"), ("notes",)),
    )
    hints = {  # a mapping that nobody writes
        "reached_by": gettext_lazy("Telephone or mail."),
        "lead_days_most": gettext_lazy("The buying list is safe with these."),
        "source": gettext_lazy("As: they said so in March; or: our orders of last year."),
    }

    class Meta:
        model = Supplier
        fields = SUPPLIER.fields
        labels = {  # Django reads it once, and nobody writes it
            "lead_days_least": gettext_lazy("Days at the least"),
            "lead_days_usual": gettext_lazy("Days usually"),
            "lead_days_most": gettext_lazy("Days at the most"),
            "source": gettext_lazy("Who said so"),
        }


class MaterialForm(TapeForm):
    keeper = MATERIAL
    tapes = (
        "width_mm",
        "length_mm",
        "thickness_mm",
        "selvage_mm",
        "repeat_mm",
        "gap_mm",
        "join_mm",
        "sold_by_mm",
    )
    needed = frozenset({"width_mm", "sold_by_mm"})
    nought = frozenset({"selvage_mm", "repeat_mm", "gap_mm", "join_mm"})
    sections = (
        Section(gettext_lazy("What"), ("name", "kind", "supplier", "source")),
        Section(
            gettext_lazy("As it is sold"), ("width_mm", "length_mm", "thickness_mm", "sold_by_mm", "price", "spare_pct")
        ),
        Section(gettext_lazy("For cutting"), ("selvage_mm", "repeat_mm", "gap_mm", "join_mm")),
        Section(gettext_lazy("Notes"), ("notes",)),
    )
    hints = {  # as above
        "source": gettext_lazy("As: the maker's card, read in May."),
        "length_mm": gettext_lazy("Of a sheet; empty for cloth."),
        "thickness_mm": gettext_lazy("Of foam."),
        "sold_by_mm": gettext_lazy("Cloth: orders are rounded up to this."),
        "spare_pct": gettext_lazy("For flaws and mistakes."),
        "selvage_mm": gettext_lazy("Not used."),
        "repeat_mm": gettext_lazy("Along the roll; empty for plain cloth."),
        "gap_mm": gettext_lazy("For knife, hot cutter or saw."),
        "join_mm": gettext_lazy("Added at each edge."),
    }

    class Meta:
        model = Material
        fields = ("kind", "name", "supplier", "spare_pct", "price", "source", "notes")
        labels = {"spare_pct": gettext_lazy("Spare, per cent")}  # as above

    def build(self) -> None:
        _offer(self, "supplier", Supplier.objects.order_by("name", "id"), _("nobody yet"))
        price = self.fields["price"]
        price.label = _("Price of a metre, a sheet or a piece")
        if self.feet:
            price.label = _("Price of a yard, a sheet or a piece")

    def _typed(self, key: str, value: Any) -> Any:
        if key == "price" and value is not None:
            return price_typed(value, cloth=self.row.kind == Material.Kind.CLOTH, inches=self.feet)
        return super()._typed(key, value)

    def values(self) -> dict[str, Any]:
        """A price left as it was shown keeps what is on file."""
        values = super().values()
        price, cloth = values.get("price"), values.get("kind") == Material.Kind.CLOTH
        if price is not None:
            values["price"] = price_kept(price, cloth=cloth, inches=self.feet)
        if self.row is not None and values.get("kind") == self.row.kind and price == self.initial["price"]:
            values["price"] = self.row.price
        return values


class StockForm(TapeForm):
    keeper = STOCK
    tapes = ("length_mm",)
    nought = frozenset({"length_mm"})
    wide = frozenset({"note"})
    sections = (Section(gettext_lazy("What lies here"), ("label", "length_mm", "sheets", "place", "note")),)
    hints = {"length_mm": gettext_lazy("Of cloth, along the roll."), "sheets": gettext_lazy("Of foam.")}  # as above

    class Meta:
        model = Stock
        fields = ("label", "sheets", "place", "note")
        labels = {"label": gettext_lazy("Written on it"), "place": gettext_lazy("Lies at")}  # as above

    def build(self) -> None:
        self.fields["sheets"].required = False
        _offer(self, "place", Place.objects.order_by("name", "id"), _("not said"))

    def clean_sheets(self) -> int:
        return self.cleaned_data["sheets"] or 0


def _hours(minutes: int | None) -> str:
    return f"{figure(minutes / 60)} h" if minutes else ""


class OptionForm(RowForm):
    keeper = OPTION
    says = {"extra_min": _hours}  # as above
    sections = (
        Section(gettext_lazy("The option"), ("name", "source", "extra_min", "job_key", "cloth_pct", "matches")),
    )
    hints = {  # as above
        "source": gettext_lazy("Where its hours come from, or: common practice."),
        "extra_min": gettext_lazy("A piece, in whole quarters: 1.5, or 45 min."),
        "job_key": gettext_lazy("cut, sew or trial_fit, as the package has it."),
        "cloth_pct": gettext_lazy("Where it is no panel of its own."),
    }
    extra_min = MinutesField(label=gettext_lazy("Hours more"), required=False)

    class Meta:
        model = CanvasOption
        fields = ("name", "job_key", "matches", "cloth_pct", "source")
        labels = {  # as above
            "job_key": gettext_lazy("Job whose hours it changes"),
            "matches": gettext_lazy("panels are cut to the pattern"),
            "cloth_pct": gettext_lazy("More cloth, per cent"),
        }

    def add_prefix(self, field_name: str) -> str:
        """In a page, a field called `matches` would stand in the place of the form's own method of that name."""
        return "panels_match" if field_name == "matches" else super().add_prefix(field_name)

    def _typed(self, key: str, value: Any) -> Any:
        return _hours(value) if key == "extra_min" else super()._typed(key, value)

    def clean_extra_min(self) -> int:
        return self.cleaned_data["extra_min"] or 0


class PieceForm(RowForm):
    keeper = PIECE
    days = ("sent_on", "back_by_date", "back_on")
    sections = (
        Section(gettext_lazy("The piece"), ("name", "kind")),
        Section(gettext_lazy("Sewn elsewhere"), ("sent_to", "sent_on", "back_by_date", "usual_slip_days", "back_on")),
        Section(gettext_lazy("Notes"), ("notes",)),
    )
    hints = {  # as above
        "name": gettext_lazy("As: winter cover, or: saloon, port."),
        "back_by_date": gettext_lazy("As agreed with them."),
        "usual_slip_days": gettext_lazy("Ask, and write down what was."),
    }

    class Meta:
        model = CanvasPiece
        fields = ("kind", "name", "sent_to", "usual_slip_days", "notes")
        labels = {
            "sent_to": gettext_lazy("Sewn elsewhere, by"),
            "usual_slip_days": gettext_lazy("Usually late by, days"),
        }  # as above

    def build(self) -> None:
        _offer(self, "sent_to", Supplier.objects.order_by("name", "id"), _("in our loft"))
        self.fields["usual_slip_days"].required = False

    def clean_usual_slip_days(self) -> int:
        return self.cleaned_data["usual_slip_days"] or 0


class PanelForm(TapeForm):
    """measured_as: a measure of the boat whose length this panel takes, in place of typing it."""

    keeper = PANEL
    tapes = ("length_mm", "width_mm", "ends_mm", "sides_mm", "match_at_mm")
    needed = frozenset({"width_mm"})
    nought = frozenset({"ends_mm", "sides_mm", "match_at_mm"})
    sections = (
        Section(gettext_lazy("The panel"), ("name", "material", "count")),
        Section(gettext_lazy("Finished"), ("length_mm", "measured_as", "width_mm")),
        Section(gettext_lazy("Added"), ("ends_mm", "sides_mm")),
        Section(gettext_lazy("On the cloth"), ("grain", "match_at_mm", "matched")),
    )
    hints = {  # as above
        "name": gettext_lazy("As: top, side, boxing."),
        "length_mm": gettext_lazy("Or choose one of her measurements."),
        "measured_as": gettext_lazy("Used where no length is typed."),
        "ends_mm": gettext_lazy("At each of its two ends; empty for none."),
        "sides_mm": gettext_lazy("At each of its two sides; empty for none."),
        "match_at_mm": gettext_lazy("From its first edge; only for matched panels."),
    }

    class Meta:
        model = CanvasPanel
        fields = ("name", "material", "count", "grain", "matched")
        labels = {
            "matched": gettext_lazy("its pattern meets its neighbours’ across the seam"),
            "count": gettext_lazy("How many"),
        }  # as above

    def __init__(self, *args: Any, piece: CanvasPiece | None = None, row: Any = None, **kwargs: Any) -> None:
        """piece: of a new panel."""
        self.measured = _measures(row.piece if row is not None else piece)
        super().__init__(*args, row=row, **kwargs)

    def build(self) -> None:
        _offer(self, "material", Material.objects.order_by("kind", "name", "id"), None)
        choices = [("", _("typed"))] + [
            (key, f"{key}: {in_tape(mm, inches=self.feet)}") for key, mm in self.measured.items()
        ]
        said = self.row.measured_as if self.row is not None else ""
        if said and said not in self.measured:
            choices.append((said, _("{name}, no longer on file").format(name=said)))
        self.fields["measured_as"] = forms.ChoiceField(
            label=_("Length from her measurements"), choices=choices, required=False
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        named = cleaned.get("measured_as", "")
        if not cleaned.get("length_mm") and "length_mm" not in self.errors:
            if named in self.measured:
                cleaned["length_mm"] = self.measured[named]
            else:
                self.add_error("length_mm", _("Type the length, or choose one of her measurements."))
        return cleaned


def _measures(piece: CanvasPiece | None) -> dict[str, int]:
    """The newest measure of each name taken on the boat, or for the order, in millimetres. One query."""
    if piece is None:
        return {}
    about = {"boat": piece.order.boat_id} if piece.order.boat_id else {"order": piece.order_id}
    rows = Measurement.objects.filter(unit=Measurement.Unit.METRES, taken_back_at=None, **about)
    return {row.name: round(row.value * 1000) for row in rows.order_by("made_at", "id")}


def _whose(key: str) -> Callable[[YardRequest, Any], dict[str, Any]]:
    """The row that this one belongs to, for its page; a new row's is what its address names."""
    return lambda request, row: {key: getattr(row, key)} if row is not None else {}


def _materials(row: Any) -> str:
    return reverse("materials")


SUPPLIER_DESK = Desk(
    form=SupplierForm,
    one="supplier",
    name="supplier",
    template="canvas/supplier.html",
    page=_materials,
)
MATERIAL_DESK = Desk(
    form=MaterialForm,
    one="material",
    name="material",
    template="canvas/material.html",
    page=_materials,
)
STOCK_DESK = Desk(
    form=StockForm,
    one="roll or sheets",
    name="stock",
    template="canvas/stock.html",
    page=_materials,
    about=_whose("material"),
)
OPTION_DESK = Desk(
    form=OptionForm,
    one="option",
    name="canvas_option",
    template="canvas/option.html",
    page=lambda row: reverse("canvas_options"),
)
PIECE_DESK = Desk(
    form=PieceForm,
    one="piece",
    name="canvas_piece",
    template="canvas/piece.html",
    page=lambda row: reverse("canvas_order", args=[row.order_id]),
    about=_whose("order"),
)
PANEL_DESK = Desk(
    form=PanelForm,
    one="panel",
    name="canvas_panel",
    template="canvas/panel.html",
    page=lambda row: reverse("canvas_order", args=[row.piece.order_id]),
    about=_whose("piece"),
    archives=False,
)
