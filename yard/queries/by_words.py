"""Looking for rows by the words that somebody typed."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import TypeVar

from django.db.models import Model, Q, QuerySet

M = TypeVar("M", bound=Model)


def carrying(rows: QuerySet[M], words: str, lookups: Iterable[str]) -> QuerySet[M]:
    """Rows that carry every word somewhere. lookups: where, and how alike, as "name__icontains"."""
    looked = tuple(lookups)
    for word in words.split():
        rows = rows.filter(reduce(or_, (Q(**{lookup: word}) for lookup in looked)))
    return rows
