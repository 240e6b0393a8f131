"""Filters that every template has."""

from __future__ import annotations

from typing import Any

from django import template

from yard.queries.accounts import called

register = template.Library()


@register.filter(name="called")
def called_in_a_template(user: Any) -> str:
    """Whoever has this account by first name; empty for None, and where a template asks for what is not there."""
    return called(user) if hasattr(user, "get_username") else ""
