"""A field is linked to its hint and, where it is wrong, to what is wrong with it: for whoever hears the page."""

from __future__ import annotations

from typing import Any

from django.forms import BoundField, Widget
from django.forms.renderers import DjangoTemplates


class DescribedField(BoundField):
    """Django leaves out what is wrong where a field names its hint by itself; here both are linked, the hint first."""

    def build_widget_attrs(self, attrs: dict[str, Any], widget: Widget | None = None) -> dict[str, Any]:
        built = super().build_widget_attrs(attrs, widget)
        hint = (widget or self.field.widget).attrs.get("aria-describedby")
        if hint and self.errors:
            built["aria-describedby"] = f"{hint} {self.auto_id}_error"
        return built


class Renderer(DjangoTemplates):
    bound_field_class = DescribedField
