"""Owners whom a sheet of boats names and nobody has on file: told, and put on file by name at a word."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Owner, SheetImport
from yard.queries.list_values import names_known
from yard.services.facts_revision import bump_facts
from yard.services.import_sheet.belongings import Hand
from yard.services.import_sheet.compare import NUMBERED
from yard.services.import_sheet.sent import ImportRefused, body, chosen_of, list_of, still_open
from yard.sheets.reading import is_empty, is_group_heading

LONGEST = Owner._meta.get_field("name").max_length or 0


def owners_not_on_file(sent: SheetImport) -> tuple[str, ...]:
    """Names in the sheet's column of owners that no owner on file has, each once, in the sheet's order. Two queries.

    A name that several have is none of them: it is asked about at its row.
    """
    of, matches = list_of(sent), chosen_of(sent).matches
    at = next((one.at for one in matches if one.column == "owner"), None)
    if at is None or of.name != "boats":
        return ()
    known, column = names_known(of)["owners"], of.column("owner")
    found: dict[str, str] = {}
    for line in body(sent):
        said = " ".join(line.cells[at].split()) if at < len(line.cells) else ""
        key = said.casefold()
        told = not is_empty(said, column) and not is_group_heading(line, matches) and not NUMBERED.fullmatch(key)
        if told and len(said) <= LONGEST and key not in known.refs and key not in known.names:
            found.setdefault(key, said)
    return tuple(found.values())


@transaction.atomic
def put_owners_on_file(sent: SheetImport, *, by: User | None, now: datetime) -> tuple[Owner, ...]:
    """All of them by name; the rest of each is entered when it is known. Raises ImportRefused where none is left."""
    still_open(sent)
    names = owners_not_on_file(sent)
    if not names:
        raise ImportRefused(_("All owners that this sheet names are on file already."))
    bump_facts()
    rows = [Owner(name=name) for name in names]
    Hand(by, now, _("named in {file}").format(file=sent.file_name)[:100]).insert(rows)
    return tuple(rows)
