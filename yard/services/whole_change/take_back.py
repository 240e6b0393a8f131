"""A change of many rows taken back as a whole, while nobody has changed since what it wrote."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils.translation import gettext as _

from yard.models import CalendarAddress, Fact, JobLink, Order, Owner, WholeChange
from yard.services.facts_revision import bump_facts
from yard.services.field_names import plain_words
from yard.services.keep_boat import BOAT
from yard.services.keep_mooring import MOORING
from yard.services.keep_owner import OWNER, OWNERSHIP
from yard.services.keep_thing import THING
from yard.services.keeping import Keeper, Writer
from yard.services.pen import Pen
from yard.services.say_fact import FACT
from yard.services.whole_change.ledger import NAMES, model_named, put, values_of
from yard.services.whole_change.relations import rows_that_hang


class NotTakenBack(Exception):
    """Nothing was changed. reasons: what was changed since, each with its remedy."""

    def __init__(self, *reasons: str) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


def take_back(change: WholeChange, *, writer: Writer) -> None:
    """Put every row back as it was. What was added since stays with the one that was kept. Raises NotTakenBack."""
    with transaction.atomic():
        bump_facts()
        now = {"taken_back_at": writer.now, "taken_back_by": writer.by}
        if WholeChange.objects.filter(pk=change.pk, taken_back_at=None).update(**now) != 1:
            raise NotTakenBack(_("This was taken back already: look at the page again."))
        change.refresh_from_db()
        if reasons := tuple(dict.fromkeys([*_changed_since(change), *_built_upon(change)])):
            raise NotTakenBack(*reasons)
        pen = Pen(writer.by, writer.now, writer.today, _("taken back: {says}").format(says=change.says))
        try:
            for kept in reversed(change.rows):
                _put_back(kept, pen)
        except (ValidationError, IntegrityError) as clash:
            raise NotTakenBack(_("What was entered since does not go with what was before: set it by hand.")) from clash
        moved = [row["pk"] for row in change.rows if row["model"] == "CalendarAddress"]
        CalendarAddress.objects.filter(pk__in=moved).update(written_for="", tag="")


def why_not(change: WholeChange) -> tuple[str, ...]:
    """What stands in the way of taking it back; none if nothing does."""
    return tuple(dict.fromkeys([*_changed_since(change), *_built_upon(change)]))


def _changed_since(change: WholeChange) -> Iterator[str]:
    """Each row whose fields are no longer as they were left. One query a row, and only on the change's own page."""
    for kept in change.rows:
        row = _row(kept)
        if row is None or kept["after"] is None:
            continue
        if kept["before"] is None:
            version = getattr(row, "version", None)
            if version != kept["after"]["version"]:
                yield _("{thing} ({kind}) was changed since.").format(thing=row, kind=row._meta.verbose_name)
            continue
        now = values_of(row, kept["after"])
        left = _left_at_last(change, kept)
        for name in (name for name, value in left.items() if now[name] != value):
            yield _("{thing} ({kind}): {field} was changed since; put that back first.").format(
                thing=row, kind=row._meta.verbose_name, field=_words(row, name)
            )


def _left_at_last(change: WholeChange, kept: dict[str, Any]) -> dict[str, Any]:
    """A row that was written twice stands as it was left by the last writing."""
    left = dict(kept["after"])
    for later in change.rows[change.rows.index(kept) + 1 :]:
        if (later["model"], later["pk"]) == (kept["model"], kept["pk"]) and later["after"] is not None:
            left |= {name: value for name, value in later["after"].items() if name in left}
    return left


def _built_upon(change: WholeChange) -> Iterator[str]:
    """What was hung since on an owner that would go again; work tied since to work that would go back to another."""
    wrote = {(row["model"], row["pk"]) for row in change.rows}
    made = [row["pk"] for row in change.rows if row["model"] == "Owner" and row["before"] is None]
    for owner in Owner.objects.filter(pk__in=made):
        for becomes, _name, rows in rows_that_hang(owner):
            if any((type(row).__name__, row.pk) not in wrote for row in rows):
                yield _("{owner} has {things} since.").format(owner=owner, things=becomes.words)
    if change.kind != WholeChange.Kind.BOATS_MERGED:
        return
    back = {row["pk"] for row in change.rows if row["model"] == "Order"}
    links = {row["pk"] for row in change.rows if row["model"] == "JobLink"}
    stay = Order.objects.filter(boat=change.boat).exclude(pk__in=back)
    ends = models.Q(before__order__in=back, after__order__in=stay) | models.Q(
        after__order__in=back, before__order__in=stay
    )
    for link in JobLink.objects.filter(ends).exclude(pk__in=links).select_related("before__order", "after__order"):
        yield _("Order {ref} is tied to order {other} since.").format(
            ref=link.before.order.ref, other=link.after.order.ref
        )
    facts = [row["pk"] for row in change.rows if row["model"] == "Fact"]
    for fact in Fact.objects.filter(pk__in=facts, jobs__order__in=stay).distinct():
        yield _("An order of hers waits on “{fact}” since.").format(fact=fact)


def _words(row: models.Model, name: str) -> str:
    keepers: tuple[Keeper[Any], ...] = (BOAT, OWNER, OWNERSHIP, MOORING, THING, FACT)
    return next((each.words_for(name) for each in keepers if isinstance(row, each.model)), plain_words(name))


def _row(kept: dict[str, Any]) -> Any:
    return model_named(kept["model"])._default_manager.filter(pk=kept["pk"]).first()


def _put_back(kept: dict[str, Any], pen: Pen) -> None:
    row = _row(kept)
    if kept["after"] is None:
        row = model_named(kept["model"])(pk=kept["pk"])
        put(row, kept["before"])
        pen.sign(row)
        row.save(force_insert=True)
        return
    if row is None:
        return  # it is gone from the file, and nothing of it can be put back
    pen.sign(row)
    if kept["before"] is None:
        row.delete()
        return
    put(row, kept["before"])
    row.only_named_anew = set(kept["before"]) - {"version"} <= NAMES
    row.save()
