"""What the list of things may be searched for and narrowed to."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import F, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Item, ItemWhereabouts, Place
from yard.queries.things import latest_row, things_found
from yard.web.filters.in_use import InUseFilter

NOT_WASHED, NOWHERE = "washed", "nowhere"


class ThingFilter(InUseFilter):
    """year: things washed or serviced before it are still to do."""

    find = django_filters.CharFilter(
        label=gettext_lazy("Find"),
        method="find_words",
        widget=forms.TextInput(
            attrs={"type": "search", "placeholder": gettext_lazy("name, bag tag, sail number, boat")}
        ),
    )
    kind = django_filters.ChoiceFilter(
        label=gettext_lazy("Kind"), empty_label=gettext_lazy("every kind"), choices=Item.Kind.choices
    )
    where = django_filters.ChoiceFilter(
        label=gettext_lazy("Where"), method="lying", empty_label=gettext_lazy("anywhere"), choices=[]
    )
    care = django_filters.ChoiceFilter(
        label=gettext_lazy("Care"),
        method="cared_for",
        empty_label=gettext_lazy("all"),
        choices=[
            ("damp", gettext_lazy("damp")),
            (NOT_WASHED, gettext_lazy("not washed this year")),
            ("serviced", gettext_lazy("not serviced this year")),
        ],
    )

    class Meta:
        model = Item
        fields = ("find", "kind", "where", "care", "gone")

    def __init__(self, *args, year: int, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.year = year
        places = Place.objects.filter(archived=False).exclude(kind="store_row").values_list("pk", "name")
        spots = [(kind, words) for kind, words in ItemWhereabouts.Kind.choices if kind != "place"]
        choices = [*((str(pk), name) for pk, name in places), *spots, (NOWHERE, _("nobody has said"))]
        self.form.fields["where"].choices = choices

    def find_words(self, rows: QuerySet[Item], name: str, words: str) -> QuerySet[Item]:
        return things_found(rows, words)

    def lying(self, rows: QuerySet[Item], name: str, where: str) -> QuerySet[Item]:
        rows = rows.annotate(seen=latest_row())
        if where == NOWHERE:
            return rows.filter(seen=None)
        of = {"place": where} if where.isdecimal() else {"kind": where}
        return rows.filter(seen__in=ItemWhereabouts.objects.filter(**of).values("pk"))

    def cared_for(self, rows: QuerySet[Item], name: str, care: str) -> QuerySet[Item]:
        if care == "damp":
            return rows.annotate(seen=latest_row()).filter(
                seen__in=ItemWhereabouts.objects.filter(condition="damp").values("pk")
            )
        field = "washed_on" if care == NOT_WASHED else "serviced_on"
        return (
            rows.filter(kind=Item.Kind.SAIL)
            .exclude(**{f"{field}__year": self.year})
            .order_by(F(field).asc(nulls_first=True), "boat__name", "id")
        )
