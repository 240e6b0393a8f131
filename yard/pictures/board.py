"""The season board: a lane per boat over one ground of weeks, Sundays and closed days, the water of
the ramp above them and the load of each week below."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from yard.pictures.board_ground import Ground, lay_out_ground
from yard.pictures.board_head import BoardHead, lay_out_head
from yard.pictures.board_input import BoardInput, FoldedRows, Standing
from yard.pictures.board_lane import LANE_HEIGHT, BoardLane, lay_out_lane
from yard.pictures.lettering import days_span
from yard.pictures.load import LoadRow, WeekLabel, lay_out_load_row, week_labels
from yard.pictures.shapes import DayAxis
from yard.speech import _, gettext_noop, ngettext

DAY_WIDTH = 18.0  # two letters of 9.5 side by side still read; eight weeks and the columns fill 1400

_HEADINGS = {
    Standing.LATE: (gettext_noop("Late"), gettext_noop("the plan brings them after their promised date")),
    Standing.WAITING_ON: (
        gettext_noop("Waiting on"),
        gettext_noop("a fact is not here yet: what follows it is planned, dashed, and says what it needs"),
    ),
    Standing.NO_DAY_IN_HAND: (
        gettext_noop("No day in hand"),
        gettext_noop("promised date kept; one lost day or tide makes them late"),
    ),
    Standing.ON_TIME: (gettext_noop("On time"), gettext_noop("promised date kept with days in hand")),
    Standing.NOT_PLANNED: (
        gettext_noop("Not planned yet"),
        gettext_noop("dates and water only, until a plan is posted"),
    ),
    Standing.PLACE: (
        gettext_noop("Places"),
        gettext_noop("the number is that of the day’s jobs; of a berth, of the boats that lie there that night"),
    ),
    Standing.PERSON: (gettext_noop("People"), gettext_noop("the number is that of the day’s jobs")),
}
_ICONS = {
    Standing.LATE: "i-late",
    Standing.WAITING_ON: "i-wait",
    Standing.NO_DAY_IN_HAND: "i-nohand",
    Standing.ON_TIME: "i-ok",
}


@dataclass(frozen=True, slots=True)
class BoardGroup:
    standing: Standing
    heading: str
    explanation: str
    icon: str
    lanes: tuple[BoardLane, ...]
    count: int
    folded: FoldedRows | None


@dataclass(frozen=True, slots=True)
class BoardPicture:
    """All of the board. `summary` says it in a sentence; the table view has every figure."""

    width: float
    ground: Ground
    head: BoardHead
    groups: tuple[BoardGroup, ...]
    weeks: tuple[WeekLabel, ...]
    load: tuple[LoadRow, ...]
    height_unit: str
    summary: str

    @property
    def of_boats(self) -> bool:
        """Whether its rows are boats, with needs and dates, and not places or people."""
        return not any(group.standing in (Standing.PLACE, Standing.PERSON) for group in self.groups)


def lay_out(values: BoardInput) -> BoardPicture:
    """Place everything on the board; rows keep their order inside each standing."""
    axis = DayAxis(values.first_day, values.day_count, DAY_WIDTH)
    return BoardPicture(
        width=axis.width,
        ground=lay_out_ground(values, axis, top=0.0, bottom=LANE_HEIGHT),
        head=lay_out_head(values, axis),
        groups=_groups(values, axis),
        weeks=week_labels(axis),
        load=tuple(lay_out_load_row(skill, axis) for skill in values.load),
        height_unit=values.height_unit,
        summary=_summary(values),
    )


def _groups(values: BoardInput, axis: DayAxis) -> tuple[BoardGroup, ...]:
    groups = []
    for standing in Standing:
        lanes = tuple(lay_out_lane(row, axis) for row in values.rows if row.standing is standing)
        folded = next((rows for rows in values.folded if rows.standing is standing), None)
        if lanes or folded:
            heading, explanation = (_(words) for words in _HEADINGS[standing])
            count = len(lanes) + (folded.count if folded else 0)
            groups.append(BoardGroup(standing, heading, explanation, _ICONS.get(standing, ""), lanes, count, folded))
    return tuple(groups)


def _summary(values: BoardInput) -> str:
    last = values.first_day + timedelta(days=values.day_count - 1)
    span = days_span(values.first_day, last)
    counted = {standing: _count(values, standing) for standing in Standing}
    if not any(counted.values()):
        return _("Season board, {span}: no rows.").format(span=span)
    counts = [f"{count} {_(_HEADINGS[standing][0]).lower()}" for standing, count in counted.items() if count]
    rows = sum(counted.values())
    return ngettext(
        "Season board, {span}, {n} row: {counts}.", "Season board, {span}, {n} rows: {counts}.", rows
    ).format(span=span, n=rows, counts=", ".join(counts))


def _count(values: BoardInput, standing: Standing) -> int:
    """Rows of a standing, drawn or folded."""
    drawn = sum(row.standing is standing for row in values.rows)
    return drawn + sum(rows.count for rows in values.folded if rows.standing is standing)
