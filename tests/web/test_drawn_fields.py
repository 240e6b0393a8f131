"""Widgets that are drawn without a template look to the letter as Django's own templates draw them."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from unittest.mock import patch

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils import translation
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy, override

from yard.web.described_fields import DRAWN, Renderer

VALUES = (
    None,
    "",
    "Teal",
    "a \"b\" <c> & 'd'",
    mark_safe("&amp;"),
    gettext_lazy("Season"),
    0,
    1234567,
    1.5,
    False,
    ("a",),
)
ATTRS: tuple[dict[str, Any], ...] = (
    {},
    {"class": "field", "rows": 2, "required": True, "disabled": False, "aria-label": gettext_lazy("Boats & <more>")},
    {"step": 0.1, "data-x": None, "id": mark_safe("&lt;"), "max": Decimal("12.50")},
)
CHOICES = [("", "---------"), ("a&b", "A & <b>"), (3, 1234.5), (4, gettext_lazy("Season")), ("teal", mark_safe("<i>"))]
INPUTS = (
    *(forms.TextInput, forms.NumberInput, forms.EmailInput, forms.URLInput, forms.PasswordInput, forms.HiddenInput),
    *(forms.DateInput, forms.DateTimeInput, forms.TimeInput, forms.FileInput, forms.CheckboxInput, forms.Textarea),
)

DJANGOS = DjangoTemplates()


def both(widget: forms.Widget, value: object, name: str = "draft") -> tuple[str, str]:
    """As it is drawn here, and by Django's templates."""
    return widget.render(name, value, renderer=Renderer()), widget.render(name, value, renderer=DJANGOS)


@pytest.mark.parametrize("attrs", ATTRS)
def test_entries_are_drawn_as_by_their_templates(attrs: dict[str, Any]) -> None:
    more = {
        forms.DateInput: [date(2027, 5, 6)],
        forms.DateTimeInput: [datetime(2027, 5, 6, 8)],
        forms.TimeInput: [time(8)],
    }
    for kind in INPUTS:
        for value in (*VALUES, *more.get(kind, [])):
            ours, django = both(kind(attrs=attrs), value, 'a"<b>')
            assert ours == django


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("value", [None, "", "a&b", 3, "3", "teal", "not there"])
def test_choices_are_drawn_as_by_their_templates(language: str, value: object) -> None:
    grouped = [("Boats", [("1", "Teal"), ("2", "Wren")]), ("3", "Tern")]
    with override(language):
        for choices in (CHOICES, [], grouped):
            for attrs in ATTRS:
                ours, django = both(forms.Select(attrs=attrs, choices=choices), value)
                assert ours == django
    assert translation.get_language() == "en"


def test_other_widgets_are_left_to_their_templates() -> None:
    for widget in (
        forms.RadioSelect(choices=CHOICES),
        forms.SelectDateWidget(),
        forms.CheckboxSelectMultiple(choices=CHOICES),
    ):
        assert widget.template_name not in DRAWN
        ours, django = both(widget, None)
        assert ours == django
    several = forms.SelectMultiple(choices=CHOICES)
    assert len(set(both(several, ["teal", "3"]))) == 1


def test_no_template_is_asked_for_a_widget_that_is_drawn_here() -> None:
    with patch.object(DjangoTemplates, "get_template", side_effect=AssertionError("a template was asked")):
        for kind in INPUTS:
            assert kind().render("draft", "1", renderer=Renderer())
        assert "Tern" in forms.Select(choices=[("1", "Tern")]).render("draft", "1", renderer=Renderer())
