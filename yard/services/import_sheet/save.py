"""Saving a sheet: all of its rows in one transaction, with their history, or none."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from yard.models import Boat, Mooring, Order, Season, SheetImport, demand_open_seasons
from yard.queries.list_values import BOUND
from yard.services.facts_revision import bump_facts
from yard.services.import_sheet.belongings import SPECIAL, Hand, Made
from yard.services.import_sheet.compare import Preview, PreviewRow, plain_fields, plain_keys, preview_of
from yard.services.import_sheet.orders import write_orders
from yard.services.import_sheet.sent import ImportRefused, still_open
from yard.services.order_package import OrderRefused

BATCH = 200


def save_import(sent: SheetImport, fingerprint: str, *, private: bool, by: User | None, now: datetime) -> SheetImport:
    """Save every row that is new or changed, and keep what was changed, so that it can be taken back.

    fingerprint: of the preview that the person looked at. Raises ImportRefused, with nothing saved, where a row is
    wrong, where the yard changed since, where there is nothing to save, or where the sheet was ended meanwhile.
    """
    try:
        with transaction.atomic():
            bump_facts()  # one writer at a time from here, so what is compared is what is changed
            still_open(sent)
            preview = preview_of(sent, private=private)
            _look_again(preview, fingerprint)
            hand = Hand(by, now, _("from the sheet {file}").format(file=sent.file_name)[:100])
            sent.changes = [*_write_new(preview, hand), *_write_changed(preview, hand)]
            _end(sent, preview, by, now)
    except (IntegrityError, ValidationError, OrderRefused) as error:
        words = "; ".join(error.messages) if isinstance(error, ValidationError) else str(error)
        raise ImportRefused(_("Nothing was saved: {words}").format(words=words)) from error
    return sent


def _look_again(preview: Preview, fingerprint: str) -> None:
    counts = preview.counts
    if counts.wrong:
        words = ngettext(
            "Nothing was saved: {n} row is wrong. Correct the sheet and send it again.",
            "Nothing was saved: {n} rows are wrong. Correct the sheet and send it again.",
            counts.wrong,
        )
        raise ImportRefused(words.format(n=counts.wrong))
    if preview.fingerprint != fingerprint:
        raise ImportRefused(_("Nothing was saved: the yard changed since this page was read. Look again, then save."))
    if not counts.new + counts.changed:
        raise ImportRefused(_("There is nothing to save: all of it is on file already."))


def _end(sent: SheetImport, preview: Preview, by: User | None, now: datetime) -> None:
    counts = preview.counts
    sent.state, sent.sheets = SheetImport.State.SAVED, []
    sent.new_count, sent.changed_count = counts.new, counts.changed
    sent.ended_by, sent.ended_at = by, now
    sent.save()


def _write_new(preview: Preview, hand: Hand) -> list[dict[str, Any]]:
    told = [row for row in preview.rows if row.state == "new"]
    if not told:
        return []
    written: list[tuple[Any, list[Made]]]
    if preview.of.name == "orders":
        written = write_orders(told, hand)
    else:
        model = BOUND[preview.of.name].model
        links = Links(preview, told)
        rows = [model(**plain_fields(preview.of, row.merged), **links.of(row)) for row in told]
        bulk_create_with_history(
            rows,
            model,
            batch_size=BATCH,
            default_user=hand.by,
            default_date=hand.now,
            default_change_reason=hand.reason,
        )
        written = [(row, []) for row in rows]
    special = _write_special(preview, list(zip(told, (row for row, _ in written), strict=True)), hand)
    return [
        _entry(told_row, row, {}, [*made, *special.get(row.pk, [])], new=True)
        for told_row, (row, made) in zip(told, written, strict=True)
    ]


def _write_changed(preview: Preview, hand: Hand) -> list[dict[str, Any]]:
    told = [row for row in preview.rows if row.state == "changed"]
    if not told:
        return []
    bound, plain = BOUND[preview.of.name], plain_keys(preview.of)
    rows = {row.pk: row for row in bound.rows().filter(pk__in=[one.pk for one in told])}
    links = Links(preview, told)
    fields: set[str] = set()
    for one in told:
        row = rows[one.pk]
        changed = {column.key for column, _, _ in one.changes}
        fresh = plain_fields(preview.of, one.merged) | links.of(one)
        for key in changed:
            name = LINKED.get((preview.of.name, key), (key,))[0]
            if key in plain or name != key:
                setattr(row, name, fresh[name])
                fields.add(name.removesuffix("_id"))
        row.version += 1
    demand_open_seasons(rows.values())
    bulk_update_with_history(
        list(rows.values()),
        bound.model,
        sorted(fields | {"version"}),
        batch_size=BATCH,
        default_user=hand.by,
        default_date=hand.now,
        default_change_reason=hand.reason,
    )
    made = _write_special(preview, [(one, rows[one.pk]) for one in told], hand)
    return [
        _entry(one, rows[one.pk], {column.key: old for column, old, _ in one.changes}, made.get(rows[one.pk].pk, []))
        for one in told
    ]


def _write_special(preview: Preview, pairs: Iterable[tuple[PreviewRow, Any]], hand: Hand) -> dict[int, list[Made]]:
    """What stands beside the rows: owners, skills, hours, who works a place, where a thing is."""
    made: dict[int, list[Made]] = {}
    pairs = list(pairs)
    for keys, write in SPECIAL.get(preview.of.name, {}).items():
        touched = [(one, row) for one, row in pairs if any(column.key in keys for column, _, _ in one.changes)]
        for (_one, row), rows in zip(touched, write([(row, one.merged) for one, row in touched], hand), strict=True):
            made.setdefault(row.pk, []).extend(rows)
    return made


def _entry(told: PreviewRow, row: Any, old: dict[str, Any], made: list[Made], *, new: bool = False) -> dict[str, Any]:
    return {
        "pk": row.pk,
        "ref": str(getattr(row, "ref", "") or told.ref),
        "name": told.name,
        "new": new,
        "version": row.version,
        "old": old,
        "values": {column.key: value for column, _, value in told.changes},
        "made": made,
    }


LINKED: dict[tuple[str, str], tuple[str, Callable[[list[str]], dict[str, int]]]] = {
    ("moorings", "permit_boat"): ("permit_boat_id", lambda refs: _by_ref(Boat, refs)),
    ("orders", "season"): ("season_id", lambda names: _by(Season, "name", names)),
    ("orders", "to_mooring"): ("to_mooring_id", lambda refs: _by_ref(Mooring, refs)),
    ("inventory", "boat"): ("boat_id", lambda refs: _by_ref(Boat, refs)),
    ("inventory", "order"): ("order_id", lambda refs: _by_ref(Order, refs)),
}
"""The columns that name another row: the field, and the rows by what the sheet calls them."""


def _by_ref(model: Any, refs: list[str]) -> dict[str, int]:
    return _by(model, "ref", refs)


def _by(model: Any, key: str, said: list[str]) -> dict[str, int]:
    return dict(model._default_manager.filter(**{f"{key}__in": said}).values_list(key, "pk"))


class Links:
    """The rows that a list's own rows point to, looked up at once. One query a column."""

    def __init__(self, preview: Preview, told: Iterable[PreviewRow]) -> None:
        rows = list(told)
        self.found = {
            (key, name): find([str(row.merged[key]) for row in rows if row.merged.get(key)])
            for (of, key), (name, find) in LINKED.items()
            if of == preview.of.name
        }

    def of(self, row: PreviewRow) -> dict[str, int | None]:
        """The ids by field; a name that is gone meanwhile fails, and nothing is saved."""
        return {
            name: found[str(row.merged[key])] if row.merged.get(key) else None
            for (key, name), found in self.found.items()
        }
