"""A change of a package offered to the open orders that were copied from an earlier edition of it.

What an order would get is the difference of the two editions, as far as it concerns her jobs (package_beside_order).
Nothing comes by itself: a person takes or leaves each edition here, or line by line (offer_lines).
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Prefetch
from django.utils.translation import gettext as _

from yard.models import Job, JobKind, JobLink, Order, Package, PackageEdition, Stay
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderRefused, today_in_yard
from yard.services.package_beside_order import Hers, Offered
from yard.services.package_differences import Difference
from yard.services.package_editions import file_of, latest_edition
from yard.services.pen import Pen
from yard.services.write_differences import apply_differences


@dataclass(frozen=True)
class Offer:
    """What an open order could take. base: the edition that its jobs follow now. hers: her copy beside the two.

    taken, left: lines of the newest edition that were decided one by one; they are not in offered.
    """

    order: Order
    base: PackageEdition
    offered: tuple[Offered, ...]
    hers: Hers
    taken: tuple[Difference, ...] = ()
    left: tuple[Difference, ...] = ()

    @property
    def changes_her(self) -> bool:
        return any(not each.stays for each in self.offered)


def offers_of(package: Package) -> tuple[Offer, ...]:
    """Open orders that an edition since theirs would change, or that keep something of their own; oldest first."""
    newest = latest_edition(package)
    if newest is None:
        return ()
    editions = {edition.pk: edition for edition in package.editions.all()}
    first = min(editions.values(), key=lambda edition: edition.number)
    now, kinds = file_of(newest), {kind.key: kind for kind in JobKind.objects.all()}
    found = []
    for order in _orders(package):
        base = editions.get(order.package_edition_id or 0, first)
        if base.pk == newest.pk:
            continue
        offer = _offer(Hers(order, file_of(base), now, kinds), base, newest.number)
        if offer.offered or offer.taken or offer.left:
            found.append(offer)
    return tuple(found)


def _offer(hers: Hers, base: PackageEdition, number: int) -> Offer:
    """Without the lines that were decided one by one; lines of an edition that is not the newest are asked anew."""
    said = hers.order.package_lines if hers.order.package_lines.get("edition") == number else {}
    taken, left = (frozenset(said.get(key, ())) for key in ("taken", "left"))
    open_lines = tuple(each for each in hers.offered if each.difference.name not in taken | left)
    known = {each.name: each for each in hers.differences}
    return Offer(
        hers.order,
        base,
        open_lines,
        hers,
        taken=tuple(known[name] for name in sorted(taken & known.keys())),
        left=tuple(known[name] for name in sorted(left & known.keys())),
    )


def _orders(package: Package) -> list[Order]:
    links = JobLink.objects.select_related("before", "after")
    jobs = Job.objects.select_related("kind", "split_of").prefetch_related("ways", Prefetch("links_before", links))
    stays = Stay.objects.select_related("from_job", "until_job")
    rows = Order.objects.filter(package=package, state=Order.State.OPEN).select_related("boat", "package", "season")
    return list(rows.prefetch_related(Prefetch("jobs", jobs), Prefetch("stays", stays)).order_by("made_at", "id"))


@transaction.atomic
def leave(order: Order, *, number: int, sender: Sender) -> Order:
    """Keep her jobs as they are; this edition is offered no more. Raises StaleRow and OrderRefused."""
    bump_facts()
    edition = still_newest(order, number)
    order.package_edition, order.package_lines = edition, {}
    return save_order(order, _("edition {number} of the package left").format(number=number), sender)


@transaction.atomic
def take(order: Order, *, number: int, sender: Sender) -> Order:
    """Give her what the edition changes, but for what is begun or her own. Raises StaleRow and OrderRefused."""
    bump_facts()
    edition = still_newest(order, number)
    assert order.package is not None
    offer = next((each for each in offers_of(order.package) if each.order.pk == order.pk), None)
    if offer is not None:
        kinds = {kind.key: kind for kind in JobKind.objects.all()}
        hers = Hers(offer.order, file_of(offer.base), file_of(edition), kinds)
        pen = Pen(
            sender.by,
            sender.now,
            today_in_yard(sender.now),
            _("edition {number} of the package taken").format(number=number),
        )
        left = {each.name for each in offer.left}
        wanted = [each for each in hers.offered if not each.stays and each.difference.name not in left]
        apply_differences(hers, [each.difference for each in wanted], pen, sender)
    known = {option.key for option in order.package.options.all()}
    order.options = sorted(set(order.options) & known)
    order.package_edition, order.package_lines = edition, {}
    return save_order(order, _("edition {number} of the package taken").format(number=number), sender)


def still_newest(order: Order, number: int) -> PackageEdition:
    if order.state != Order.State.OPEN or order.package is None:
        raise OrderRefused(_("Order {ref} is not open any more: nothing was changed.").format(ref=order.ref))
    newest = latest_edition(order.package)
    if newest is None or newest.number != number:
        raise OrderRefused(
            _("{package} was changed again meanwhile: look at what it offers now.").format(package=order.package.name)
        )
    return newest
