"""The page of one store plan: drawn to scale, the same as a table, and its extra moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Plan, StowPlan, StowSpot, YardSettings
from yard.pictures.stow_plan import Stowed, StowInput, StowPicture, StowRow, lay_out
from yard.queries.stow_plan import autumn_work, plans_of, spots_of
from yard.services.stowing.ground import autumn_rules, read_ground, row_names
from yard.services.stowing.hauled import HaulsMoved, hauls_moved
from yard.web.boats.words import date_words, ordinal
from yard.web.history import Change, changes_of
from yard.web.stowing.words import hauls_words, sentences
from yard.web.units import FOOT_M, in_feet, local

SPAR_WIDTH_M = 0.2
"""Drawn so wide: nobody measures it."""
TITLES = {"boats": gettext_lazy("Store plan"), "spars": gettext_lazy("Spar racks through the winter")}


@dataclass(frozen=True)
class SpotLine:
    """One spot in words. hauled: the day that the posted plan has, "" where it has none."""

    spot: StowSpot
    row: str
    where: str
    comes: str
    hauled: str
    leaves: str
    in_the_way: tuple[StowSpot, ...]


@dataclass(frozen=True)
class PlanPage:
    """plan: the one that is shown, None where there is none; waiting: whether it waits for a word.

    hauls: what the posted plan's hauls make of it, None where they are as it has them, and where the plan is old.
    """

    kind: str
    title: str
    plan: StowPlan | None
    waiting: bool
    accepted: StowPlan | None
    old: bool
    hauls: HaulsMoved | None
    sentences: tuple[str, ...]
    picture: StowPicture | None
    lines: tuple[SpotLine, ...]
    moves: tuple[Mapping[str, str], ...]
    changes: tuple[Change, ...]

    @property
    def hauls_say(self) -> str:
        return hauls_words(self.hauls, self.plan.figures["extra"]) if self.hauls and self.plan else ""

    @property
    def spars(self) -> bool:
        return self.kind == StowPlan.Kind.SPARS


def plan_page(
    kind: StowPlan.Kind, yard: YardSettings, posted: Plan | None, *, now: datetime, accepted_asked: bool
) -> PlanPage:
    """The plan that waits for a word, or the accepted one where none does or that one is asked for."""
    found = plans_of(kind)
    plan = found.accepted if accepted_asked or found.proposed is None else found.proposed
    if plan is None:
        return PlanPage(kind, str(TITLES[kind]), None, False, None, False, None, (), None, (), (), ())
    spots, ground = spots_of(plan), read_ground(kind, yard=yard, now=now)
    old = ground.fingerprint != plan.inputs
    lines = tuple(_lines(spots, _hauled(posted) if kind == StowPlan.Kind.BOATS else {}))
    return PlanPage(
        kind=kind,
        title=str(TITLES[kind]),
        plan=plan,
        waiting=plan.state == StowPlan.State.PROPOSED,
        accepted=found.accepted,
        old=old,
        hauls=None if old else hauls_moved(plan, spots, ground, ZoneInfo(yard.time_zone)),
        sentences=tuple(sentences(kind, plan.figures)),
        picture=lay_out(_drawn(kind, lines, yard)),
        lines=lines,
        moves=tuple(plan.figures["moves"]),
        changes=changes_of(plan),
    )


def _hauled(posted: Plan | None) -> dict[int, date]:
    """The day on which the posted plan hauls each boat."""
    found = {}
    for work in autumn_work(posted):
        if "haul" in work.planned and work.order.boat_id is not None:
            found[work.order.boat_id] = local(work.planned["haul"][0]).date()
    return found


def _lines(spots: Sequence[StowSpot], hauled: Mapping[int, date]) -> list[SpotLine]:
    found = []
    for _row, group in groupby(spots, key=lambda spot: (spot.place_id, spot.level)):
        row = list(group)
        for number, spot in enumerate(row, start=1):
            day = hauled.get(spot.boat_id)
            found.append(
                SpotLine(
                    spot=spot,
                    row=_("{place}, level {level}").format(place=spot.place.name, level=spot.level)
                    if spot.item is not None
                    else spot.place.name,
                    where=_("{which} from the inside").format(which=ordinal(spot.position)),
                    comes=_("stands there") if spot.on is None else date_words(spot.on),
                    hauled=date_words(day) if day is not None else "",
                    leaves=_("{turn}, about {day}").format(turn=ordinal(spot.turn), day=date_words(spot.leaves)),
                    in_the_way=tuple(outer for outer in row[number:] if outer.turn > spot.turn),
                )
            )
    return found


def _drawn(kind: str, lines: Sequence[SpotLine], yard: YardSettings) -> StowInput:
    """With rows that stay empty too: they are room."""
    spars, gap = kind == StowPlan.Kind.SPARS, autumn_rules().gap_m
    filled: dict[tuple[int, int], list[SpotLine]] = {}
    for line in lines:
        filled.setdefault((line.spot.place_id, line.spot.level), []).append(line)
    rows = tuple(
        StowRow(
            name=name,
            boats=tuple(_stowed(line, spars) for line in filled.get(key, ())),
            length_m=length_m,
            gap_m=0.0 if spars else gap,
        )
        for key, name, length_m in row_names(StowPlan.Kind(kind))
    )
    feet = in_feet(yard)
    return StowInput(rows, side_by_side=spars, unit_m=FOOT_M if feet else 1.0, unit="ft" if feet else "m")


def _stowed(line: SpotLine, spars: bool) -> Stowed:
    boat = line.spot.boat
    length = boat.mast_height_m if spars and boat.mast_height_m is not None else boat.length_m
    in_her_way = ", ".join(outer.boat.name for outer in line.in_the_way)
    told = (
        _("{boat}: {comes}, leaves {leaves}; in her way: {others}")
        if in_her_way
        else _("{boat}: {comes}, leaves {leaves}")
    )
    return Stowed(
        name=boat.name,
        length_m=length,
        width_m=SPAR_WIDTH_M if spars else boat.beam_m,
        under=ordinal(line.spot.turn),
        told=told.format(boat=boat.name, comes=line.comes, leaves=line.leaves, others=in_her_way),
        stands=line.spot.standing,
        in_the_way=bool(line.in_the_way),
    )
