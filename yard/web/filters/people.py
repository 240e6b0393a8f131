"""What the list of people may be searched for and narrowed to: a handful of rows, read already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Skill
from yard.web.crew.crew_list import CrewRow


class PeopleForm(forms.Form):
    find = forms.CharField(label=gettext_lazy("Find"), required=False, widget=forms.TextInput(attrs={"type": "search"}))
    skill = forms.ChoiceField(label=gettext_lazy("Skill"), required=False)
    kind = forms.ChoiceField(
        label=gettext_lazy("Who"),
        required=False,
        choices=[
            ("", gettext_lazy("everybody")),
            ("own", gettext_lazy("the yard's own")),
            ("contractor", gettext_lazy("contractors")),
        ],
    )

    def __init__(self, data: Mapping[str, str]) -> None:
        super().__init__(data)
        skills = Skill.objects.filter(archived=False).values_list("pk", "name")
        choice: Any = self.fields["skill"]
        choice.choices = [("", _("every skill")), *((str(pk), name) for pk, name in skills)]


class PeopleFilter:
    """The rows of everybody that the address asks for. One query, for the skills there are."""

    def __init__(self, asked: Mapping[str, str], rows: Sequence[CrewRow]) -> None:
        self.data, self.form = asked, PeopleForm(asked)
        given = self.form.cleaned_data if self.form.is_valid() else {}
        words, skill, kind = given.get("find", "").casefold().split(), given.get("skill"), given.get("kind")
        self.rows = [
            row
            for row in rows
            if all(word in f"{row.person.name} {row.name} {row.skills}".casefold() for word in words)
            and (not skill or any(str(each.skill_id) == skill for each in row.person.skills.all()))
            and (not kind or row.person.contractor == (kind == "contractor"))
        ]
