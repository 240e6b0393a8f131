"""The one kind of list in the yard: what templates/tables/table.html draws."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from functools import cached_property
from inspect import Parameter, Signature, signature
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

import django_tables2 as tables
from django.http import HttpRequest
from django.utils.html import format_html
from django.utils.translation import gettext as _

from yard.web.boats.words import dial

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

PER_PAGE, MOST_ON_A_PAGE = 50, 5000
"""Rows; the second where all are asked for on one page, as for printing: as many as a sheet may bring in."""


class Head(NamedTuple):
    """A column as its cells need it. attrs: of a cell, as HTML; names_row: its cell is the row's heading."""

    name: str
    label: str
    attrs: str
    names_row: bool


class YardTable(tables.Table):
    """A list with a caption and a heading in each row.

    caption: what the rows are, said above them (hidden to the eye where the page's own heading says it already).
    row_heading: the name of the column whose cells name their row. optional: columns that may be left out; the
    address names those to show: `columns=only&columns=wind`.
    """

    caption: ClassVar[StrOrPromise] = ""
    caption_hidden: ClassVar[bool] = False
    row_heading: ClassVar[str] = ""
    optional: ClassVar[tuple[str, ...]] = ()
    hidden: frozenset[str] = frozenset()
    all_asked: bool = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for column in self.columns.iterall():
            column.render = _asked_by_name(column.render)

    @property
    def dom_id(self) -> str:
        """The id of the list on its page; lists beside one another differ by their prefix."""
        return f"{self.prefix or ''}list"

    @property
    def all_field(self) -> str:
        """What the address says where all rows are to be on one page."""
        return f"{self.prefix or ''}all"

    @cached_property
    def heads(self) -> list[Head]:
        """The columns shown, each with what all its cells have alike."""
        return [
            Head(column.name, str(column.header), column.attrs["td"].as_html(), column.name == self.row_heading)
            for column in self.columns
        ]

    def lines(self) -> Iterator[tuple[str, list[tuple[Head, Any]]]]:
        """The rows of this page: attributes, and each cell beside its column.

        django-tables2 asks a column for its attributes at each cell, as if a cell could have its own: a third of what
        a list took to draw. Here none has.
        """
        for row in self.paginated_rows:
            yield row.attrs.as_html(), [(head, row.get_cell(head.name)) for head in self.heads]

    def show_only(self, chosen: Collection[str]) -> None:
        """Leave out the optional columns that were not chosen, on the page and in a sheet."""
        self.hidden = frozenset(self.optional) - frozenset(chosen)
        for name in self.hidden & set(self.columns.names()):
            self.columns.hide(name)


_ANY_NAMES = Signature([Parameter("cell", Parameter.VAR_KEYWORD)])


def _asked_by_name(render: Callable[..., Any]) -> Callable[..., Any]:
    """What draws a column's cells, its names of what it wants of a cell looked at once for the list.

    django-tables2 inspects it at each cell, to see which names it takes: a tenth of what a list took to draw.
    """
    wanted = [each.name for each in signature(render).parameters.values() if each.kind is not Parameter.VAR_KEYWORD]
    if len(wanted) < len(signature(render).parameters):
        return render

    def drawn(**cell: Any) -> Any:
        return render(**{name: cell[name] for name in wanted})

    drawn.__signature__ = _ANY_NAMES  # type: ignore[attr-defined]  # `inspect` reads it there
    return drawn


def of_request(request: HttpRequest, table: Any, *, per_page: int = PER_PAGE) -> Any:
    """The table in the order and on the page that the address asks for; where it asks for none there is, the first."""
    if chosen := request.GET.getlist("columns"):
        table.show_only(chosen)
    tables.RequestConfig(request, paginate=False).configure(table)
    table.paginate(per_page=MOST_ON_A_PAGE if request.GET.get(table.all_field) else per_page)
    table.page = table.paginator.get_page(request.GET.get(table.prefixed_page_field))
    table.all_asked = bool(request.GET.get(table.all_field)) and table.paginator.count > per_page
    return table


def boat_words(name: str, address: str = "") -> str:
    """A boat's name as ships' names are printed, with a link to her page where there is one."""
    if address:
        return format_html('<a class="boat" href="{}">{}</a>', address, name)
    return format_html('<span class="boat">{}</span>', name)


def phone_links(number: str) -> str:
    """A telephone number that calls and texts with one tap; as it was typed where it has no digits."""
    to_dial = dial(number)
    if not to_dial:
        return number
    call, text = format_html('<a href="tel:{}">{}</a>', to_dial, number), _("Text")
    return format_html('{} <a class="btn sm" href="sms:{}">{}</a>', call, to_dial, text)
