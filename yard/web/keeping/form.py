"""The form of one row that is kept: its fields by sections, what was typed, and what somebody else saved meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar, cast
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from yard.models import YardSettings
from yard.services.field_names import NAMES, plain_words
from yard.services.keeping import Keeper
from yard.sheets.columns import Column
from yard.sheets.writing import in_words, unit_read
from yard.web.keeping.fields import AngleField, FactDayField, MeasureField
from yard.web.keeping.saying import Differing, Sayer, degrees, differing
from yard.web.refusal import Refusable

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a form. folded: it is closed where it says nothing but what is usual; within: what is in it, said
    beside its name then. also: the template of what else stands in it."""

    legend: StrOrPromise
    names: tuple[str, ...] = ()
    folded: bool = False
    also: str = ""
    within: StrOrPromise = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A field on its page: its hint, whether it takes the whole width or is a tick."""

    field: forms.BoundField
    hint: StrOrPromise
    wide: bool
    tick: bool

    @property
    def may_be_empty(self) -> bool:
        """Whether to say so: a hint says it better."""
        return not self.hint


@dataclass(frozen=True, slots=True)
class Part:
    """A section as its page shows it. open: where it is folded, whether it stands open all the same."""

    section: Section
    lines: tuple[Line, ...]
    open: bool


class RowForm(Refusable, forms.ModelForm):  # type: ignore[type-arg]  # Django does not subscript it at run time
    """What is known of a row. version: the row's, when the page was read; form_key: sent twice, it is one row.

    measures, angles, days: fields that are typed so, by key; needed: those of them that may not be empty. says: how
    values are said that need words of their own. hints: by name, in the trade's words; wide: fields of a whole line.
    """

    keeper: ClassVar[Keeper[Any]]
    sections: ClassVar[Sequence[Section]]
    measures: ClassVar[Mapping[str, Column]] = {}
    angles: ClassVar[Mapping[str, Column]] = {}
    days: ClassVar[tuple[str, ...]] = ()
    needed: ClassVar[frozenset[str]] = frozenset()
    says: ClassVar[Mapping[str, Callable[[Any], str]]] = {}
    hints: ClassVar[Mapping[str, StrOrPromise]] = {}
    wide: ClassVar[frozenset[str]] = frozenset({"notes"})

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, data: Any = None, *, yard: YardSettings, today: date, row: Any = None, initial: Any = None
    ) -> None:
        self.today, self.row = today, row
        self.feet = yard.units == YardSettings.Units.FEET
        kept = self.shown(self.keeper.read(row)) | {"version": row.version} if row is not None else {}
        super().__init__(data, instance=row, initial=kept | dict(initial or {}))
        self.fields["form_key"].initial = uuid4()
        self._named_fields()
        self._typed_fields()
        self.build()
        for key, field in self.fields.items():
            self._dress(key, field)

    @classmethod
    def sayer(cls, *, feet: bool) -> Sayer:
        return Sayer(cls.keeper, feet=feet, measures=cls.measures, says=cls.says)

    @property
    def say(self) -> Sayer:
        return self.sayer(feet=self.feet)

    def build(self) -> None:
        """Fields that only the rows on file tell."""

    def _named_fields(self) -> None:
        """Django makes a label of a field's own name, past the catalogues."""
        for key in set(self._meta.fields or ()) - set(self._meta.labels or ()):
            own = self._meta.model._meta.get_field(key)
            if key in NAMES and own.verbose_name == NAMES[key]:
                self.fields[key].label = capfirst(plain_words(key))

    def _typed_fields(self) -> None:
        for key, column in self.measures.items():
            field = MeasureField(column, feet=self.feet, required=key in self.needed)
            field.label = f"{self._label(key)}, {unit_read(column, feet=self.feet)}"
            self.fields[key] = field
        for key, column in self.angles.items():
            self.fields[key] = AngleField(column, required=key in self.needed, label=self._label(key))
        for key in self.days:
            self.fields[key] = FactDayField(self._label(key), today=self.today)
            self.fields[key].required = key in self.needed

    def _label(self, key: str) -> str:
        return capfirst(self.keeper.words_for(key))

    def _dress(self, key: str, field: Any) -> None:
        if not isinstance(field.widget, forms.CheckboxInput | forms.HiddenInput | forms.CheckboxSelectMultiple):
            field.widget.attrs.setdefault("class", "field")
        if isinstance(field.widget, forms.Textarea) and key not in ("hours", "notes"):
            field.widget.attrs["rows"] = 3
        if isinstance(field.widget, forms.CheckboxInput):
            field.help_text = ""  # the label of a tick says it
        if key in self.hints:
            field.widget.attrs["aria-describedby"] = f"id_{key}-hint"
        if isinstance(field, forms.TypedChoiceField):
            pairs: Any = field.choices
            field.choices = [(value, label if value else _("not said")) for value, label in pairs]

    def shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What is kept of a row, as the fields show it."""
        return {key: self._typed(key, value) for key, value in values.items()}

    def _typed(self, key: str, value: Any) -> Any:
        """A measure or an angle as it would be typed; "" where it is not known."""
        if key in self.measures:
            return "" if value is None else in_words(self.measures[key], value, feet=self.feet)
        if key in self.angles:
            return "" if value is None else degrees(value)
        return value

    def _post_clean(self) -> None:
        """The service checks and writes; the form leaves the row alone."""

    def key(self) -> UUID | None:
        """The form's own, whichever way it was sent."""
        found: UUID | None = self.cleaned_data["form_key"]
        return found

    def values(self) -> dict[str, Any]:
        """What was typed. A measure left as it was shown keeps what is on file: what is shown is rounded."""
        values = {key: self.cleaned_data[key] for key in self.keeper.keys if key in self.cleaned_data}
        for key in (*self.measures, *self.angles):
            if self.row is not None and key in values and str(self.data.get(key, "")).strip() == self.initial[key]:
                values[key] = getattr(self.row, key)
        return values

    def show_over(self, stored: Any) -> None:
        """Keep what was typed; the next Save has seen the row as it stands on file now."""
        data = cast(QueryDict, self.data).copy()
        data["version"] = str(stored.version)
        self.data = data

    def differing(self, values: Mapping[str, Any], stored: Any) -> tuple[Differing, ...]:
        """Where what was typed is other than what somebody else saved meanwhile."""
        return differing(values, stored, self.say)

    def parts(self) -> list[Part]:
        """The sections of the page with their fields; a field that this person may not see is not there."""
        return [self._part(section) for section in self.sections]

    def _part(self, section: Section) -> Part:
        names = [name for name in section.names if name in self.fields]
        opened = any(self[name].errors or not self._as_usual(name) for name in names)
        return Part(section, tuple(self._line(name) for name in names), not section.folded or opened)

    def _as_usual(self, name: str) -> bool:
        """Whether a field says what it says on an empty form."""
        usual, value = self.usual(name), self[name].value()
        return not value or value == "0" or str(value) == str(usual)

    def usual(self, name: str) -> Any:
        """What a field says where nobody said anything."""
        return self.fields[name].initial

    def _line(self, name: str) -> Line:
        tick = isinstance(self.fields[name].widget, forms.CheckboxInput)
        return Line(self[name], self.hints.get(name, ""), name in self.wide, tick)
