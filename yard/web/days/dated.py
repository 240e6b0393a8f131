"""Days and times as the pages' filter `date` writes them, for sentences that are made in Python."""

from __future__ import annotations

from datetime import date, time
from typing import cast

from django.utils import dateformat
from django.utils.translation import pgettext


def said(at: date | time, form: str) -> str:
    """ "Fri 7" of the form "D j": one of the forms of Django's `date`, which goes through the catalogues as there."""
    return dateformat.format(cast("date", at), pgettext("date format", form))
