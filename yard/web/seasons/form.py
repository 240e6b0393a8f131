"""The form of one season, and its desk."""

from __future__ import annotations

from django import forms
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.models import Season
from yard.services.keep_season import SEASON
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section


class SeasonForm(RowForm):
    keeper = SEASON
    sections = (Section(_("Season"), ("name", "starts_on", "ends_on")),)
    hints = {  # a mapping that nobody writes
        "name": _("As Spring 2028."),
        "ends_on": _("The next season may begin on this day."),
    }

    class Meta:
        model = Season
        fields = SEASON.fields
        labels = {"starts_on": _("First day"), "ends_on": _("First day after it")}  # as above
        widgets = {  # as above
            "starts_on": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "ends_on": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        }


SEASON_DESK = Desk(
    form=SeasonForm,
    one="season",
    name="season_kept",
    template="seasons/form.html",
    page=lambda row: reverse("seasons"),
    archives=False,
)
