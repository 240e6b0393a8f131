"""Filters that every template has."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from django import template
from django.template.defaultfilters import date as machine_date

from yard.day_names import FORMS, said
from yard.queries.accounts import called

register = template.Library()


@register.filter(name="called")
def called_in_a_template(user: Any) -> str:
    """Whoever has this account by first name; empty for None, and where a template asks for what is not there."""
    return called(user) if hasattr(user, "get_username") else ""


@register.filter(name="date", expects_localtime=True)
def date_in_a_template(value: Any, form: str) -> str:
    """A form of `FORMS` in the yard's language; any other is a machine's, as Y-m-d in an address.

    What a field or an address takes of an hour is `time:"H:i"`, which is alike everywhere.
    """
    if form in FORMS and isinstance(value, date | time):
        return said(value, form)
    return machine_date(value, form)
