"""Two boats, or two owners, that are one: everything that hangs on the one goes over to the other.

The one that goes is put away and says into which it was merged; nothing of it is lost, its history stays as it was.
Calendars need no more than their address: bringing them up to date tells each job's new boat or owner.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Boat, CalendarAddress, Fact, FactKind, Job, JobLink, Order, Owner, Proposal, WholeChange
from yard.queries.list_values import ref_of
from yard.services.facts_revision import bump_facts
from yard.services.keep_boat import BOAT
from yard.services.keep_owner import OWNER
from yard.services.keeping import Keeper, Refused, Writer, nothing_saved, wrong_with
from yard.services.link_orders import link_orders
from yard.services.pen import Pen
from yard.services.whole_change.ledger import Ledger
from yard.services.whole_change.relations import rows_that_hang

Kind = WholeChange.Kind
KEPTS, GONES, BOTH = "kept", "gone", "both"
"""Whose value of a field stays; both: the two texts, one under the other."""
JOINED = frozenset({"notes", "other_phones", "address"})
"""Texts of which both may stay."""


@dataclass(frozen=True, slots=True)
class Merged:
    """Done, or done already by the same form."""

    change: WholeChange


@dataclass(frozen=True, slots=True)
class ChangedMeanwhile:
    """Nothing was saved: one of the two was changed since the page was read."""

    name: str


@dataclass(frozen=True, slots=True)
class Wish:
    """What the page asks. takes: by field whose value stays, KEPTS where it says nothing; versions: as the page read
    them, of the one that is kept and of the one that goes. form_key: the same form sent twice is one merge."""

    takes: Mapping[str, str]
    versions: tuple[int, int]
    form_key: UUID | None = None


def merge(kept: Boat | Owner, gone: Boat | Owner, wish: Wish, *, writer: Writer) -> Merged | Refused | ChangedMeanwhile:
    """Both of one model. One transaction: all of it, or nothing."""
    with transaction.atomic():
        bump_facts()
        if wish.form_key and (same := WholeChange.objects.filter(form_key=wish.form_key).first()):
            return nothing_saved(Merged(same))
        for row, seen in zip((kept, gone), wish.versions, strict=True):
            row.refresh_from_db()
            if row.version != seen:
                return nothing_saved(ChangedMeanwhile(str(row)))
        if words := _cannot_be(kept, gone):
            return nothing_saved(Refused({"": (words,)}))
        values = {key: _value(kept, gone, key, wish.takes.get(key, KEPTS)) for key in keeper_of(kept).fields}
        if refused := _wrong(kept, values):
            return nothing_saved(refused)
        ledger = Ledger(
            Pen(
                writer.by,
                writer.now,
                writer.today,
                _("merged with {gone} ({ref})").format(gone=gone, ref=ref_of(gone)),
            )
        )
        _write(kept, gone, values, ledger)
        return Merged(_on_file(kept, gone, ledger, wish))


def keeper_of(row: Boat | Owner) -> Keeper[Any]:
    return BOAT if isinstance(row, Boat) else OWNER


def _cannot_be(kept: Boat | Owner, gone: Boat | Owner) -> str:
    if type(kept) is not type(gone) or kept.pk == gone.pk:
        return _("That is the same one: choose another to merge.")
    if merged := next((row for row in (kept, gone) if row.merged_into_id is not None), None):
        return _("{name} ({ref}) was merged already.").format(name=merged, ref=ref_of(merged))
    if kept.archived and not gone.archived:
        return _("{kept} ({ref}) is archived: keep the other one, or bring this one back first.").format(
            kept=kept, ref=ref_of(kept)
        )
    return ""


def _value(kept: Any, gone: Any, key: str, whose: str) -> Any:
    ours, theirs = getattr(kept, key), getattr(gone, key)
    match whose:
        case "gone":
            return theirs
        case "both" if key in JOINED and ours.strip() and theirs.strip() and ours != theirs:
            return f"{ours.rstrip()}\n{theirs.strip()}"
        case "both":
            return ours or theirs
        case _:
            return ours


def _wrong(kept: Any, values: Mapping[str, Any]) -> Refused | None:
    """Whether the values that stay can be those of one row; the row itself is not touched."""
    tried = type(kept).objects.get(pk=kept.pk)
    for key, value in values.items():
        setattr(tried, key, value)
    return wrong_with(keeper_of(kept), tried, values)


def _write(kept: Any, gone: Any, values: Mapping[str, Any], ledger: Ledger) -> None:
    ledger.change(gone, archived=True, merged_into=kept)
    ledger.change(kept, **values)
    for becomes, key, rows in rows_that_hang(gone):
        for row in rows:
            if becomes.by is not None:
                becomes.by(row, key, kept, ledger)
            else:
                ledger.change(row, **{key: kept})
    of_kept = {"boat": kept} if isinstance(kept, Boat) else {"owner": kept}
    CalendarAddress.objects.filter(**of_kept).update(written_for="", tag="")  # what was read there is made anew
    if isinstance(kept, Boat):
        _settle_boat(kept, gone, ledger)


def _settle_boat(kept: Boat, gone: Boat, ledger: Ledger) -> None:
    """Her orders are one network now, her draft is known to all of them, wishes for her are wishes for the one."""
    came = {row["pk"] for row in ledger.rows if row["model"] == "Order"}
    for order in Order.objects.filter(pk__in=came, state=Order.State.OPEN).order_by("id"):
        jobs = list(order.jobs.filter(state__in=[Job.State.OPEN, Job.State.STARTED]).select_related("kind", "order"))
        there = set(JobLink.objects.filter(before__order__boat=kept).values_list("before", "after"))
        links = [link for link in link_orders(order, jobs) if (link.before_id, link.after_id) not in there]
        ledger.make([link for link in links if (link.before.order_id in came) != (link.after.order_id in came)])
    if kept.draft_m is not None:
        for fact in Fact.objects.filter(boat=kept, kind=FactKind.DRAFT).exclude(state=Fact.State.HERE):
            here = {"state": Fact.State.HERE, "here_since": ledger.pen.today, "expected_date": None, "guess": False}
            ledger.change(fact, **here)
    for proposal in Proposal.objects.filter(state__in=[Proposal.State.ASKED, Proposal.State.READY]):
        keep = proposal.wishes.get("keep_boats", [])
        if gone.pk in keep:
            both = sorted({kept.pk if pk == gone.pk else pk for pk in keep})
            ledger.change(proposal, wishes=proposal.wishes | {"keep_boats": both})


def _on_file(kept: Boat | Owner, gone: Boat | Owner, ledger: Ledger, wish: Wish) -> WholeChange:
    boats = isinstance(kept, Boat)
    return WholeChange.objects.create(
        kind=Kind.BOATS_MERGED if boats else Kind.OWNERS_MERGED,
        says=_("{gone} ({gone_ref}) merged into {kept} ({kept_ref})").format(
            gone=gone, gone_ref=ref_of(gone), kept=kept, kept_ref=ref_of(kept)
        )[:300],
        boat=kept if isinstance(kept, Boat) else None,
        owner=kept if isinstance(kept, Owner) else None,
        gone=gone.pk,
        rows=ledger.rows,
        made_by=ledger.pen.by,
        made_at=ledger.pen.now,
        form_key=wish.form_key,
    )
