"""A changed package taken by an open order line by line, left, and taken back.

Which lines of the newest edition she took, or left, stands with the order until she takes or leaves the edition as a
whole. A line is taken back by offering her what the edition before said: what was begun or changed for her alone since
stays, and says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Fact, Job, JobKind, Order, PackageEdition
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.offer_package import offers_of, still_newest
from yard.services.order_package import OrderRefused, today_in_yard
from yard.services.package_beside_order import Hers
from yard.services.package_differences import Difference
from yard.services.package_editions import file_of
from yard.services.package_files import Fact as FactValue
from yard.services.package_files import Job as JobValue
from yard.services.pen import Pen
from yard.services.write_differences import apply_differences

Act = Literal["take", "leave", "back"]
DONE = {"take": gettext_noop("taken"), "leave": gettext_noop("left"), "back": gettext_noop("taken back")}


@dataclass(frozen=True)
class _Decided:
    """Names of lines that she took, and that she left."""

    taken: tuple[str, ...]
    left: tuple[str, ...]

    def without(self, name: str) -> _Decided:
        return _Decided(tuple(x for x in self.taken if x != name), tuple(x for x in self.left if x != name))

    def as_json(self, number: int) -> dict[str, Any]:
        if not self.taken and not self.left:
            return {}
        return {"edition": number, "taken": list(self.taken), "left": list(self.left)}


@transaction.atomic
def decide_line(order: Order, name: str, act: Act, *, number: int, sender: Sender) -> Order:
    """One line of the newest edition: taken, left, or decided anew. Raises StaleRow, and OrderRefused with the reason.

    name: Difference.name. The same press twice changes nothing the second time.
    """
    bump_facts()
    edition = still_newest(order, number)
    said = order.package_lines if order.package_lines.get("edition") == number else {}
    decided = _Decided(tuple(said.get("taken", ())), tuple(said.get("left", ())))
    if name in {"take": decided.taken, "leave": decided.left}.get(act, ()):
        return order
    match act:
        case "take":
            _give(order, name, edition, sender)
            after = decided.without(name)
            after = _Decided((*after.taken, name), after.left)
        case "leave":
            _offered(order, name)
            after = _Decided(decided.taken, (*decided.left, name))
        case "back":
            if name in decided.taken:
                _give_back(order, name, edition, sender)
            elif name not in decided.left:
                raise OrderRefused(_("That line was not decided: look at what is offered now."))
            after = decided.without(name)
    order.package_lines = after.as_json(number)
    return save_order(
        order, _("a line of edition {number} of the package {done}").format(number=number, done=_(DONE[act])), sender
    )


def _offered(order: Order, name: str) -> Hers:
    """Her copy beside both editions, where this line would change her. Raises OrderRefused."""
    assert order.package is not None
    offer = next((each for each in offers_of(order.package) if each.order.pk == order.pk), None)
    line = next((each for each in offer.offered if each.difference.name == name), None) if offer else None
    if offer is None or line is None:
        raise OrderRefused(_("That is not offered any more: look at what is offered now."))
    if line.stays:
        raise OrderRefused(_("It is begun, or was changed for her alone: it stays as it is."))
    return offer.hers


def _give(order: Order, name: str, edition: PackageEdition, sender: Sender) -> None:
    hers = _offered(order, name)
    found = [each.difference for each in hers.offered if each.difference.name == name]
    pen = Pen(
        sender.by,
        sender.now,
        today_in_yard(sender.now),
        _("a line of edition {number} taken").format(number=edition.number),
    )
    apply_differences(hers, found, pen, sender, facts=_facts_of(hers, found[0]))


def _facts_of(hers: Hers, found: Difference) -> frozenset[str]:
    """The facts that come with this line: itself, or those that wait before a job that comes."""
    match found.now:
        case FactValue(key=key):
            return frozenset({key})
        case JobValue(key=key) if found.part == "job":
            return frozenset(fact.key for fact in hers.now.fact if key in fact.jobs)
    return frozenset()


def _give_back(order: Order, name: str, edition: PackageEdition, sender: Sender) -> None:
    """The line the other way round: what the edition says is what was, and the one before is what she gets."""
    assert order.package is not None
    offer = next((each for each in offers_of(order.package) if each.order.pk == order.pk), None)
    if offer is None:
        raise OrderRefused(_("There is no earlier edition to go back to."))
    kinds = {kind.key: kind for kind in JobKind.objects.all()}
    back = Hers(offer.order, file_of(edition), file_of(offer.base), kinds)
    lines = [each for each in back.offered if each.difference.name == name]
    if not lines:
        raise OrderRefused(_("It stands as it did before already."))
    if lines[0].stays:
        raise OrderRefused(_("It is begun, or was changed for her alone since: it stays as it is."))
    pen = Pen(
        sender.by,
        sender.now,
        today_in_yard(sender.now),
        _("a line of edition {number} taken back").format(number=edition.number),
    )
    found = lines[0].difference
    apply_differences(back, [found], pen, sender, facts=frozenset())
    if isinstance(found.now, FactValue):
        _wait_again(back, found.now)


def _wait_again(back: Hers, value: FactValue) -> None:
    """Her jobs wait on the fact again; its row is on file, with what is known of it."""
    mine = Q(order=back.order) | Q(order=None, boat=back.order.boat, boat__isnull=False)
    fact = Fact.objects.filter(mine, kind=value.kind, name=value.name).order_by("id").first()
    if fact is not None:
        keys = back.waiting(value)
        fact.jobs.add(*[job for key, job in back.jobs.items() if key in keys and job.state == Job.State.OPEN])
