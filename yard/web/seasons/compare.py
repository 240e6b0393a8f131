"""Seasons beside one another, as a table and as a picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from yard.models import Season, Trade, YardSettings
from yard.pictures.lettering import count_of
from yard.pictures.seasons_beside import SeasonBar, SeasonsPicture, Share, lay_out
from yard.queries.season_figures import SeasonFigures, season_figures

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
        Line("Boats", tuple(str(each.boats) for each in figures)),
        Line("Orders", tuple(str(each.orders) for each in figures)),
        Line("Orders done", tuple(str(each.done) for each in figures)),
        Line("Done after the promised date", tuple(_of(each.late, each.promised) for each in figures)),
        Line("Days late in all", tuple(str(each.days_late) for each in figures)),
        Line("Hours worked", tuple(_h(each.hours) for each in figures)),
        *(
            Line(f"Hours of the {trade.label}", tuple(_h(each.by_trade.get(trade.value, 0.0)) for each in figures))
            for trade in Trade
            if any(trade.value in each.by_trade for each in figures)
        ),
        Line("Extra moves in the store", tuple(str(each.extra_moves) for each in figures)),
        Line("Days lost to weather", tuple(str(each.lost_days) for each in figures)),
        Line("Extras agreed", tuple(f"{each.agreed_extras}, {_h(each.extras_h)} h" for each in figures)),
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
        yield Share(Trade.LAUNCH.value, "work on the water", afloat)


def _said(each: SeasonFigures) -> str:
    late = f"{each.late} late" if each.late else "none late"
    return f"{_h(each.hours)} h, {count_of(each.boats, 'boat')}, {late}, {count_of(each.lost_days, 'day')} lost"


def _of(count: int, all_of: int) -> str:
    return f"{count} of {all_of}" if all_of else "–"


def _h(hours: float) -> str:
    return f"{hours:,.0f}" if hours >= 10 or not hours else f"{hours:.1f}"
