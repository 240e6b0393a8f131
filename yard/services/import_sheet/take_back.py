"""Taking a saved sheet back as a whole: what it changed is as it was, what it made is gone, or nothing is done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import ManyToManyField, Model
from django.utils.translation import gettext as _
from simple_history.utils import bulk_update_with_history

from yard.models import Fact, Job, JobLink, JobWay, SheetImport, Stay, demand_open_seasons
from yard.queries.list_values import BOUND, list_rows
from yard.services.facts_revision import bump_facts
from yard.services.import_sheet.belongings import MADE, SPECIAL, Hand
from yard.services.import_sheet.compare import plain_keys
from yard.services.import_sheet.save import LINKED
from yard.services.import_sheet.sent import ImportRefused, list_of
from yard.sheets.columns import ListOf, Value
from yard.sheets.writing import same

NAMED = 6
"""Reasons that a refusal names; more are counted."""


@transaction.atomic
def take_back(sent: SheetImport, *, by: User | None, now: datetime) -> SheetImport:
    """Undo a saved sheet. Raises ImportRefused, with nothing done, where later changes stand on what it did."""
    bump_facts()
    kept = SheetImport.objects.select_for_update().get(pk=sent.pk)
    if kept.state != SheetImport.State.SAVED:
        raise ImportRefused(
            _("This sheet is {state}: there is nothing to take back.").format(state=kept.get_state_display())
        )
    of = list_of(kept)
    on_file = {row.pk: (row, values) for row, values in list_rows(of)}
    if reasons := list(_later(of, kept, on_file)):
        more = len(reasons) - NAMED
        words = (
            _("Not taken back, because of later changes: {reasons}; and {more} more.")
            if more > 0
            else _("Not taken back, because of later changes: {reasons}.")
        )
        raise ImportRefused(words.format(reasons="; ".join(reasons[:NAMED]), more=more))
    hand = Hand(by, now, _("the sheet {file} taken back").format(file=kept.file_name)[:100])
    _delete_made(kept)
    _put_old_back(of, kept, {pk: row for pk, (row, _) in on_file.items()}, hand)
    _delete_new(of, kept, hand)
    kept.state, kept.ended_by, kept.ended_at = SheetImport.State.TAKEN_BACK, by, now
    kept.save(update_fields=["state", "ended_by", "ended_at"])
    return kept


def _later(of: ListOf, kept: SheetImport, on_file: Mapping[int, tuple[Any, dict[str, Value]]]) -> Iterator[str]:
    """Why it cannot be taken back: each row that was changed, removed or built upon since."""
    for entry in kept.changes:
        row, values = on_file.get(entry["pk"], (None, None))
        if row is None or values is None:
            yield _("{name} is no longer on file").format(name=entry["name"])
        elif entry["new"] and row.version != entry["version"]:
            yield _("{name} was changed on its own page").format(name=entry["name"])
        else:
            for key, value in entry["values"].items():
                column = of.column(key)
                left = tuple(value) if isinstance(value, list) else value
                # What only a new row takes is kept in words of its own: the row's version tells whether it changed.
                if key != "ref" and not column.only_new and not same(column, values[key], left):
                    yield _("{name}: {heading} was changed again").format(name=entry["name"], heading=column.heading)
    made = {(name, pk) for entry in kept.changes for name, pk in entry["made"]}
    new = {entry["pk"]: entry["name"] for entry in kept.changes if entry["new"]}
    yield from _hanging(BOUND[of.name].model, new, made)
    if of.name == "orders":
        jobs = {job.pk: f"{new[job.order_id]}, {job.name}" for job in Job.objects.filter(order__in=new)}
        for job in Job.objects.filter(pk__in=jobs).exclude(version=1, state=Job.State.OPEN):
            yield _("{job} was changed or begun").format(job=jobs[job.pk])
        yield from _hanging(Job, jobs, made)


COME_ALONG: frozenset[type[Model]] = frozenset({Job, JobWay, JobLink, Stay, Fact})
"""What an order brings with it, and what goes with it."""


def _hanging(model: type[Model], new: Mapping[int, str], made: set[tuple[str, int]]) -> Iterator[str]:
    """What was hung on the new rows since they were saved. One query for each kind of thing that can be."""
    for relation in model._meta.related_objects:
        other = relation.related_model
        comes_along = model._meta.model_name in ("order", "job") and other in COME_ALONG
        if comes_along or isinstance(other, str) or other.__name__.startswith("Historical"):
            continue
        name = relation.field.name
        rows = other._default_manager.filter(**{f"{name}__in": list(new)}).values_list("pk", name)
        if other.__name__ in ("PersonSkill", "WeeklyHours", "TacklePart"):
            continue  # told by the columns of the person, or the mooring, above
        for pk, holder in rows:
            if (other.__name__, pk) not in made and not _through_made(other, relation.field):
                yield _("{name} has {things} since").format(name=new[holder], things=other._meta.verbose_name_plural)


def _through_made(other: type[Model], about: Any) -> bool:
    """Whether the relation says again what another one says: many to many, through rows of its own."""
    return isinstance(about, ManyToManyField) and about.remote_field.through in MADE.values()


def _delete_made(kept: SheetImport) -> None:
    for name, pk in (pair for entry in kept.changes for pair in entry["made"]):
        if name in MADE:
            for row in MADE[name].objects.filter(pk=pk):
                row.delete()


def _put_old_back(of: ListOf, kept: SheetImport, rows: Mapping[int, Any], hand: Hand) -> None:
    """The fields of changed rows, then what stands beside them."""
    entries = [entry for entry in kept.changes if not entry["new"]]
    plain, fields = plain_keys(of), {"version"}
    changed = []
    for entry in entries:
        row = rows[entry["pk"]]
        for key, value in entry["old"].items():
            if (of.name, key) in LINKED:
                name, find = LINKED[of.name, key]
                setattr(row, name, find([str(value)])[str(value)] if value else None)
                fields.add(name.removesuffix("_id"))
            elif key in plain:
                about = row._meta.get_field(key)
                setattr(row, key, about.to_python(value))
                fields.add(key)
        row.version += 1
        changed.append(row)
    if changed:
        demand_open_seasons(changed)
        bulk_update_with_history(
            changed,
            BOUND[of.name].model,
            sorted(fields),
            batch_size=200,
            default_user=hand.by,
            default_date=hand.now,
            default_change_reason=hand.reason,
        )
    _put_back_beside(of, entries, rows, hand)


def _put_back_beside(of: ListOf, entries: Iterable[dict[str, Any]], rows: Mapping[int, Any], hand: Hand) -> None:
    for keys, write in SPECIAL.get(of.name, {}).items():
        if keys in (("owner",), ("where", "condition")):
            continue  # rows of their own, which are gone already
        pairs = [
            (rows[entry["pk"]], {key: _as_kept(entry["old"][key]) for key in keys})
            for entry in entries
            if all(key in entry["old"] for key in keys)
        ]
        write(pairs, hand)


def _as_kept(value: Any) -> Value:
    """From JSON, which knows lists alone."""
    kept: Value = tuple(value) if isinstance(value, list) else value
    return kept


def _delete_new(of: ListOf, kept: SheetImport, hand: Hand) -> None:
    model: Any = BOUND[of.name].model
    new = [entry["pk"] for entry in kept.changes if entry["new"]]
    facts = [pk for entry in kept.changes for name, pk in entry["made"] if name == "Fact"]
    if not new:
        return
    model._default_manager.filter(pk__in=new).delete()
    Fact.objects.filter(pk__in=facts, jobs=None).delete()
    model.history.filter(id__in=new, history_type="-").update(
        history_user=hand.by, history_date=hand.now, history_change_reason=hand.reason
    )
