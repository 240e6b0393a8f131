"""New orders from a sheet: with a package its jobs come along, as when it is ordered on its page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from yard.models import Boat, Fact, Mooring, Order, Package, Season
from yard.queries.seasons import season_for
from yard.services.import_sheet.belongings import Hand, Made
from yard.services.import_sheet.compare import PreviewRow
from yard.services.order_package import (
    OrderDates,
    OrderRefused,
    Terms,
    WalkIn,
    default_options,
    next_ref,
    order_package,
    today_in_yard,
)


def write_orders(told: Sequence[PreviewRow], hand: Hand) -> list[tuple[Order, list[Made]]]:
    """Each order, and the boat's facts that it brought. Raises OrderRefused or ValidationError, naming the line."""
    boats = {boat.ref: boat for boat in Boat.objects.filter(ref__in=_said(told, "boat"))}
    packages = {one.key: one for one in Package.objects.filter(key__in=_said(told, "package"))}
    moorings = {one.ref: one for one in Mooring.objects.filter(ref__in=_said(told, "to_mooring"))}
    seasons = {one.name: one for one in Season.objects.filter(name__in=_said(told, "season"))}
    written = []
    for row in told:
        say = row.merged
        found = {
            "boat": boats.get(str(say["boat"])),
            "package": packages.get(str(say["package"])),
            "mooring": moorings.get(str(say["to_mooring"])),
            "season": seasons.get(str(say["season"])),
        }
        last_fact = Fact.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
        try:
            order = _write(row, found, hand)
        except OrderRefused as refused:
            raise OrderRefused(_("line {line}: {refused}").format(line=row.line, refused=refused)) from refused
        facts = Fact.objects.filter(pk__gt=last_fact, order=None).values_list("pk", flat=True)
        written.append((order, [["Fact", pk] for pk in facts]))
    return written


def _said(told: Sequence[PreviewRow], key: str) -> set[str]:
    return {str(row.merged[key]) for row in told if row.merged.get(key)}


def _write(row: PreviewRow, found: dict[str, Any], hand: Hand) -> Order:
    say, today = row.merged, today_in_yard(hand.now)
    season = found["season"] or season_for(today)
    walk_in = WalkIn(
        name=str(say["walk_in_name"]),
        phone=str(say["walk_in_phone"]),
        bag_tag=str(say["bag_tag"]),
        price_said=str(say["price_said"]),
    )
    if found["package"] is None:
        order = _plain(row, found, season, hand)
    else:
        order = order_package(
            found["boat"],
            found["package"],
            options=_options(row, found),
            dates=OrderDates(
                earliest=_day(say["earliest_date"]),
                wanted=_day(say["wanted_date"]),
                latest=_day(say["latest_date"]),
                promised=_day(say["promised_date"]),
            ),
            by=hand.by,
            now=hand.now,
            terms=Terms(
                season=season,
                goes_first=int(str(say["goes_first"] or 1)),
                covers_gate_delivery=bool(say["covers_gate_delivery"]),
                to_mooring=found["mooring"],
                walk_in=walk_in if walk_in.name else None,
                notes=str(say["notes"]),
            ),
        )
    order.unconfirmed = bool(say["unconfirmed"])
    order.name = str(say["name"])
    order.bag_tag, order.price_said = walk_in.bag_tag, walk_in.price_said
    if say["ref"]:
        order.ref = str(say["ref"])
    order.full_clean()
    hand.sign(order).save()
    return order


def _plain(row: PreviewRow, found: dict[str, Any], season: Season | None, hand: Hand) -> Order:
    """An order without a package: jobs are added on its page."""
    say = row.merged
    order = Order(
        ref=str(say["ref"] or next_ref(today_in_yard(hand.now))),
        boat=found["boat"],
        season=season,
        to_mooring=found["mooring"],
        goes_first=int(str(say["goes_first"] or 1)),
        covers_gate_delivery=bool(say["covers_gate_delivery"]),
        walk_in_name=str(say["walk_in_name"]),
        walk_in_phone=str(say["walk_in_phone"]),
        name=str(say["name"]),
        notes=str(say["notes"]),
        made_by=hand.by,
        made_at=hand.now,
        **{f"{key}_date": _day(say[f"{key}_date"]) for key in ("earliest", "wanted", "latest", "promised")},
    )
    order.full_clean()
    hand.sign(order).save()
    return order


def _options(row: PreviewRow, found: dict[str, Any]) -> frozenset[str]:
    """The package's options that the sheet names, by key or name; where it names none, the usual ones."""
    said = row.merged["options"]
    if not isinstance(said, tuple) or not said:
        return default_options(found["package"], found["boat"])
    by_name = {
        words.casefold(): option.key for option in found["package"].options.all() for words in (option.key, option.name)
    }
    unknown = [one for one in said if one.casefold() not in by_name]
    if unknown:
        known = ", ".join(sorted(set(by_name.values())))
        raise OrderRefused(
            _("“{option}” is no option of {package}: write {known}").format(
                option=unknown[0], package=found["package"], known=known
            )
        )
    return frozenset(by_name[one.casefold()] for one in said)


def _day(value: Any) -> date | None:
    return date.fromisoformat(value) if value else None
