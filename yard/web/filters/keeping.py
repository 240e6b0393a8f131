"""How the lists of owners and of moorings are searched and narrowed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from yard.models import Mooring, Owner
from yard.queries.moorings import moorings_found, needing
from yard.queries.owners import lacking, owners_found
from yard.web.filters.in_use import InUseFilter

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def _find(placeholder: StrOrPromise) -> Any:
    attrs = {"type": "search", "data-find": "", "class": "field", "placeholder": placeholder}
    return django_filters.CharFilter(label=_("Find"), method="find_words", widget=forms.TextInput(attrs=attrs))


def _asked(label: StrOrPromise, **choices: StrOrPromise) -> Any:
    return django_filters.ChoiceFilter(
        label=label, method="narrowed", empty_label=_("nothing asked"), choices=list(choices.items())
    )


class KeptFilter(InUseFilter):
    """A list narrowed by words and by what somebody has to see to; each says how both are looked for."""

    found: Callable[[Any, str], Any]
    narrow: Callable[[Any, str, date], Any]

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def find_words(self, rows: QuerySet[Any], name: str, words: str) -> Any:
        return self.found(rows, words)

    def narrowed(self, rows: QuerySet[Any], name: str, what: str) -> Any:
        return self.narrow(rows, what, self.today)


class OwnerFilter(KeptFilter):
    """By words, by what is missing, by how somebody is reached."""

    found = staticmethod(owners_found)
    narrow = staticmethod(lacking)
    find = _find(_("name, telephone, boat, e-mail"))
    lacks = _asked(
        _("Lacks"),
        phone=_("a telephone number"),
        email=_("an e-mail address"),
        insurance=_("insurance of a boat"),
        boat=_("a boat"),
    )
    prefers = django_filters.ChoiceFilter(
        label=_("Reached best by"), empty_label=_("any"), choices=Owner.Prefers.choices
    )

    class Meta:
        model = Owner
        fields = ("find", "lacks", "prefers", "gone")


class MooringFilter(KeptFilter):
    """By words, and by what needs somebody."""

    found = staticmethod(moorings_found)
    narrow = staticmethod(needing)
    find = _find(_("number, boat, permit, where it lies"))
    needs = _asked(
        _("Needs"),
        permit=_("a permit within a month"),
        inspection=_("an inspection within a month"),
        tackle=_("new tackle"),
        unset=_("its tackle set this year"),
    )
    temporary = django_filters.BooleanFilter(
        label=_("Kind"),
        widget=forms.Select(
            choices=[("", _("every mooring")), ("false", _("with a permit")), ("true", _("temporary"))]
        ),
    )

    class Meta:
        model = Mooring
        fields = ("find", "needs", "temporary", "gone")
