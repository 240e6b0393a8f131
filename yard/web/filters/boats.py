"""What the list of boats may be searched for and narrowed to."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, Whereabouts
from yard.queries.boat_list import LIST_STATES, NO_ORDER, Standing, boats_found, state_words


class BoatFilter(django_filters.FilterSet):
    """standing: how each boat stands, by id. with_owners: owners are searched too."""

    find = django_filters.CharFilter(
        label=gettext_lazy("Find"), method="find_words", widget=forms.TextInput(attrs={"type": "search"})
    )
    state = django_filters.ChoiceFilter(
        label=gettext_lazy("State"),
        method="in_state",
        empty_label=gettext_lazy("every state"),
        choices=lambda: [(each, state_words(each)) for each in LIST_STATES],
    )
    lies = django_filters.ChoiceFilter(
        label=gettext_lazy("She lies"),
        method="lying",
        empty_label=gettext_lazy("anywhere"),
        choices=Whereabouts.Kind.choices,
    )
    kind = django_filters.ChoiceFilter(
        label=gettext_lazy("Kind"), empty_label=gettext_lazy("every kind"), choices=Boat.Kind.choices
    )
    draft = django_filters.ChoiceFilter(
        label=gettext_lazy("Draft"),
        method="with_draft",
        empty_label=gettext_lazy("known or not"),
        choices=[("unknown", gettext_lazy("not known"))],
    )

    class Meta:
        model = Boat
        fields = ("find", "state", "lies", "kind", "draft")

    def __init__(self, *args, standing: dict[int, Standing], with_owners: bool, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.standing, self.with_owners = standing, with_owners
        whom = _("name, owner, telephone, mooring, sail number") if with_owners else _("name, mooring, sail number")
        self.form.fields["find"].widget.attrs["placeholder"] = whom

    def find_words(self, rows: QuerySet[Boat], name: str, words: str) -> QuerySet[Boat]:
        return boats_found(rows, words, with_owners=self.with_owners)

    def in_state(self, rows: QuerySet[Boat], name: str, state: str) -> QuerySet[Boat]:
        if state == NO_ORDER:
            return rows.exclude(pk__in=list(self.standing))
        return rows.filter(pk__in=[boat for boat, each in self.standing.items() if each.state == state])

    def lying(self, rows: QuerySet[Boat], name: str, kind: str) -> QuerySet[Boat]:
        latest = Whereabouts.objects.filter(boat=OuterRef("pk")).order_by("-since", "-id").values("kind")[:1]
        return rows.annotate(lies_now=Subquery(latest)).filter(lies_now=kind)

    def with_draft(self, rows: QuerySet[Boat], name: str, known: str) -> QuerySet[Boat]:
        return rows.filter(draft_m=None)
