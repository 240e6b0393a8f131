"""Seasons beside one another, as a table and as a picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Season, Trade, YardSettings
from yard.pictures.seasons_beside import SeasonBar, SeasonsPicture, Share, lay_out
from yard.queries.season_figures import SeasonFigures, season_figures
from yard.speech import number, whole

MOST_KINDS = 12
AFLOAT = (Trade.LAUNCH, Trade.MOORING)


@dataclass(frozen=True)
class Line:
    """One figure of each season, in the order of the columns."""

    what: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class ComparePage:
    """seasons: the columns, the earliest first. kinds: hours by kind of job, the largest first."""

    seasons: tuple[Season, ...]
    lines: tuple[Line, ...]
    kinds: tuple[Line, ...]
    picture: SeasonsPicture | None


def compare_page(seasons: Sequence[Season], yard: YardSettings) -> ComparePage:
    """seasons: those to compare, in any order."""
    ordered = sorted(seasons, key=lambda season: (season.starts_on, season.pk))
    figures = season_figures(ordered, yard) if ordered else []
    return ComparePage(tuple(ordered), _lines(figures), _kinds(figures), _picture(figures))


def _lines(figures: Sequence[SeasonFigures]) -> tuple[Line, ...]:
    return (
        Line(_("Boats"), tuple(str(each.boats) for each in figures)),
        Line(_("Orders"), tuple(str(each.orders) for each in figures)),
        Line(_("Orders done"), tuple(str(each.done) for each in figures)),
        Line(_("Done after the promised date"), tuple(_of(each.late, each.promised) for each in figures)),
        Line(_("Days late in all"), tuple(str(each.days_late) for each in figures)),
        Line(_("Hours worked"), tuple(_h(each.hours) for each in figures)),
        *(
            Line(
                _("Hours of the {trade}").format(trade=trade.label),
                tuple(_h(each.by_trade.get(trade.value, 0.0)) for each in figures),
            )
            for trade in Trade
            if any(trade.value in each.by_trade for each in figures)
        ),
        Line(_("Extra moves in the store"), tuple(str(each.extra_moves) for each in figures)),
        Line(_("Days lost to weather"), tuple(str(each.lost_days) for each in figures)),
        Line(_("Extras agreed"), tuple(f"{each.agreed_extras}, {_h(each.extras_h)} h" for each in figures)),
    )


def _kinds(figures: Sequence[SeasonFigures]) -> tuple[Line, ...]:
    names = {name for each in figures for name in each.by_kind}
    largest = sorted(names, key=lambda name: (-max(each.by_kind.get(name, 0.0) for each in figures), name))
    return tuple(
        Line(name, tuple(_h(each.by_kind.get(name, 0.0)) for each in figures)) for name in largest[:MOST_KINDS]
    )


def _picture(figures: Sequence[SeasonFigures]) -> SeasonsPicture | None:
    if not any(each.hours for each in figures):
        return None
    return lay_out(
        tuple(
            SeasonBar(
                name=str(each.season),
                shares=tuple(_shares(each)),
                words=_said(each),
            )
            for each in figures
        )
    )


def _shares(each: SeasonFigures) -> Iterator[Share]:
    """Launch and mooring are drawn alike, here as on the day sheet: one share, which the table parts again."""
    for trade in Trade:
        hours = each.by_trade.get(trade.value, 0.0)
        if trade not in AFLOAT and hours:
            yield Share(trade.value, str(trade.label), hours)
    if afloat := sum(each.by_trade.get(trade.value, 0.0) for trade in AFLOAT):
        yield Share(Trade.LAUNCH.value, _("work on the water"), afloat)


def _said(each: SeasonFigures) -> str:
    boats = ngettext("{n} boat", "{n} boats", each.boats).format(n=each.boats)
    late = _("{n} late").format(n=each.late) if each.late else _("none late")
    lost = ngettext("{n} day lost", "{n} days lost", each.lost_days).format(n=each.lost_days)
    return f"{_h(each.hours)} h, {boats}, {late}, {lost}"


def _of(count: int, all_of: int) -> str:
    return _("{some} of {all}").format(some=count, all=all_of) if all_of else "–"


def _h(hours: float) -> str:
    return whole(hours) if hours >= 10 or not hours else number(hours, 1)
