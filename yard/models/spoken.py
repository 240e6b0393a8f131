"""Rows whose choices are said in the yard's language."""

from typing import Any

from django.db import models
from django.utils.encoding import force_str


class Spoken(models.Model):
    """Behind `get_kind_display` and its like: looks up the words of one choice.

    Django's own way hashes the words of every choice first, and lazy words are looked up by that: 135 microseconds for
    a place's kind instead of 10, on pages that say hundreds.
    """

    class Meta:
        abstract = True

    def _get_FIELD_display(self, field: Any) -> Any:
        value = getattr(self, field.attname)
        for kept, words in field.flatchoices:
            if kept == value:
                return force_str(words, strings_only=True)
        return force_str(value, strings_only=True)
