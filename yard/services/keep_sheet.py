"""How options sheets and their options are kept by the yard: what is written of one, and what cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import OptionSheet, SheetOption
from yard.services.keeping import Keeper, Words
from yard.services.new_boat.order_boat import sheet_of
from yard.services.new_boat.sheet_choice import faults_in_sheet
from yard.services.new_boat.sheet_files import jobs_of, options_of
from yard.services.new_boat.sheet_values import OptionValue, SheetFile

VALUES = tuple(name for name in OptionValue.__struct_fields__)


def _sheet(row: OptionSheet, values: Mapping[str, Any]) -> Words:
    if row.pk is None or "package" not in values:
        return {}
    faults = faults_in_sheet(sheet_of(row), jobs=jobs_of(row.package), options=options_of(row.package))
    return {"package": faults} if faults else {}


def _option(row: SheetOption, values: Mapping[str, Any]) -> Words:
    """It is judged among the others of its sheet, as it is to be."""
    try:
        mine = msgspec.convert({key: getattr(row, key) for key in VALUES}, OptionValue)
    except msgspec.ValidationError as error:
        return {"": (f"{error}",)}
    sheet = sheet_of(row.sheet)
    others = [each for each in row.sheet.options.all() if each.pk != row.pk and not each.archived]
    rest = [each for each in sheet.option if each.key in {other.key for other in others}]
    package = row.sheet.package
    tried = SheetFile(sheet=sheet.sheet, option=(*rest, mine))
    faults = faults_in_sheet(tried, jobs=jobs_of(package), options=options_of(package))
    return {"": tuple(each for each in faults if f"“{row.name}”" in each)} if faults else {}


def _option_in_use(row: SheetOption) -> str:
    """An option that another needs stays."""
    needing = [each.name for each in row.sheet.options.filter(archived=False) if row.key in each.needs]
    return _("“{needing}” needs it: change that one first.").format(needing=needing[0]) if needing else ""


SHEET = Keeper(
    model=OptionSheet,
    fields=("name", "package", "base_price", "base_materials", "one_of", "notes", "source"),
    words={
        "base_price": gettext_noop("price of the base"),
        "base_materials": gettext_noop("materials of the base"),
        "one_of": gettext_noop("one of each"),
    },
    made_of_name="key",
    wrong_with=_sheet,
)
OPTION = Keeper(
    model=SheetOption,
    fields=(
        "key",
        "name",
        "group",
        "price",
        "brings",
        "hours",
        "materials",
        "excludes",
        "needs",
        "on_by_default",
        "sequence",
        "source",
    ),
    words={"on_by_default": gettext_noop("chosen at first"), "sequence": gettext_noop("place on the sheet")},
    wrong_with=_option,
    keeps_open=_option_in_use,
)
