"""The form of one boat: measures as they are typed, in feet and inches or metres."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat
from yard.queries.duplicates import boats_twice
from yard.services.keep_boat import BOAT
from yard.sheets.columns import Column, Kind
from yard.sheets.writing import in_words
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.request import YardRequest

MEASURES = {
    key: Column(key=key, heading=BOAT.words_for(key), kind=Kind.MASS if key.endswith("_kg") else Kind.LENGTH)
    for key in ("length_m", "beam_m", "draft_m", "displacement_kg", "mast_height_m")
}
DEEPEST_TO_LENGTH = 0.5
"""A draft over half her length was mistyped (common practice)."""


class BoatForm(RowForm):
    """What is known of a boat."""

    keeper = BOAT
    measures = MEASURES
    needed = frozenset({"length_m", "beam_m"})
    sections = (
        Section(gettext_lazy("The boat"), ("name", "kind", "design", "sail_number")),
        Section(gettext_lazy("Measures"), tuple(MEASURES)),
        Section(gettext_lazy("Care"), ("in_a_storm", "planked", "notes")),
    )
    hints = {  # a mapping that nobody writes
        "design": gettext_lazy("Builder and model, if they are known."),
        "draft_m": gettext_lazy("Empty: what needs water is not planned yet."),
        "mast_height_m": gettext_lazy("Mast stepped."),
    }

    class Meta:
        model = Boat
        fields = ("name", "kind", "design", "sail_number", "planked", "in_a_storm", "notes")
        labels = {
            "planked": gettext_lazy("planked: takes up after launching")
        }  # Django reads it once, and nobody writes it

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        draft, length = cleaned.get("draft_m"), cleaned.get("length_m")
        if draft and length and draft > length * DEEPEST_TO_LENGTH:
            column = MEASURES["draft_m"]
            typed, meant = (in_words(column, each, feet=self.feet) for each in (draft, draft / 10))
            self.add_error("draft_m", _("A draft of {typed}: did you mean {meant}?").format(typed=typed, meant=meant))
        return cleaned


def _about(request: YardRequest, boat: Any) -> dict[str, Any]:
    if boat is None:
        return {}
    return {"twins": boats_twice(boat) if not boat.archived else (), "wholes": list(boat.whole_changes.all())}


BOAT_DESK = Desk(
    form=BoatForm,
    one="boat",
    name="boat",
    template="keeping/boat.html",
    page=lambda row: reverse("boat", args=[row.pk]),
    about=_about,
)
