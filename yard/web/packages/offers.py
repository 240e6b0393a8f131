"""Which open orders could take a change of their package, and what each would get, in words."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from yard.models import Order, Package, PackageEdition, Skill
from yard.services.offer_package import Offer, offers_of
from yard.services.package_differences import Difference
from yard.services.package_editions import file_of, latest_edition
from yard.web.packages.changed_words import in_words

STAYS = {"begun": _("begun already: stays as it is"), "hers": _("changed for her alone: stays as it is")}


@dataclass(frozen=True)
class OfferLine:
    """words: the change; stays: why she does not get it, "" where she would. name: of the line, for its buttons."""

    words: str
    stays: str
    name: str


@dataclass(frozen=True)
class OfferRow:
    order: Order
    base: PackageEdition
    lines: tuple[OfferLine, ...]
    taken: tuple[OfferLine, ...]
    left: tuple[OfferLine, ...]
    changes_her: bool


@dataclass(frozen=True)
class OffersPage:
    package: Package
    edition: PackageEdition | None
    rows: tuple[OfferRow, ...]


def offers_page(package: Package) -> OffersPage:
    """About a dozen queries, however many orders."""
    newest = latest_edition(package)
    if newest is None:
        return OffersPage(package, None, ())
    skills = dict(Skill.objects.values_list("key", "name"))
    names = {job.key: job.name for job in file_of(newest).job}
    return OffersPage(package, newest, tuple(_row(offer, names, skills) for offer in offers_of(package)))


def _row(offer: Offer, names: dict[str, str], skills: dict[str, str]) -> OfferRow:
    known = {job.key: job.name for job in file_of(offer.base).job} | names

    def line(found: Difference, stays: str = "") -> OfferLine:
        return OfferLine(in_words(found, known, skills), stays, found.name)

    lines = tuple(line(each.difference, str(STAYS.get(each.stays, ""))) for each in offer.offered)
    taken, left = (tuple(map(line, found)) for found in (offer.taken, offer.left))
    return OfferRow(offer.order, offer.base, lines, taken, left, offer.changes_her)
