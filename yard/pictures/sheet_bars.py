"""The bars of a day sheet: a job in a person's row, a launch with its three parts, a job at a place."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.day_sheet_input import DayJob, LaunchParts
from yard.pictures.lettering import clock_span, cut, text_width
from yard.pictures.shapes import (
    GROUP_PATTERN,
    STATE_WORDS,
    JobState,
    Label,
    Rect,
    Scale,
    Span,
    Stroke,
    TradeGroup,
    number_text,
    state_css,
    tenth,
)
from yard.speech import _

STRIP = 7.0
TWO_LINES_FROM = 26.0  # height of a bar that has room for the boat's name over the job
TICK_ROOM = 16.0
NAME_SIZES = (13.5, 12.5, 11.5, 10.5)
NARROW = 70.0  # below this a bar has no room for a tick beside its words


@dataclass(frozen=True, slots=True)
class BarLine:
    """A line of words: the number bold, the boat in italics, the rest plain; x, y is where it begins."""

    x: float
    y: float
    number: str = ""
    boat: str = ""
    boat_css: str = "x11"
    rest: str = ""
    css: str = "x10"


@dataclass(frozen=True, slots=True)
class BarPart:
    """A part of a launch: load and trailer back are plain, floating off is solid."""

    rect: Rect
    word: Label | None
    arrow: Stroke | None


@dataclass(frozen=True, slots=True)
class SheetBar:
    """css: group and state; ink: class of the words; strip: the patterned edge; tick: done, on the screen;
    box: to be ticked by hand, on paper."""

    number: int
    rect: Rect
    css: str
    ink: str
    strip: Rect | None
    pattern: str
    lines: tuple[BarLine, ...]
    parts: tuple[BarPart, ...]
    tick: Stroke | None
    box: Rect | None
    title: str
    url: str


def lay_out_person_bar(job: DayJob, across: Scale, axis: Span, top: float, height: float) -> SheetBar | None:
    """The bar of a job in a person's row; None if it lies outside the axis."""
    if not job.span.meets(axis):
        return None
    rect = _rect(job.span, across, top, height)
    if job.launch is not None and job.launch.load is not None and height >= TWO_LINES_FROM:
        return _launch_bar(job, job.launch, across, axis, rect)
    has_strip = job.group in GROUP_PATTERN
    indent = STRIP + 4 if has_strip else 5.0
    has_tick = rect.width >= NARROW
    room = rect.width - indent - (3 if has_tick else 1)
    return SheetBar(
        number=job.number,
        rect=rect,
        css=_css(job),
        ink=_ink(job),
        strip=Rect(rect.x, rect.y, min(STRIP, rect.width), rect.height) if has_strip else None,
        pattern=GROUP_PATTERN.get(job.group, ""),
        lines=_lines(job, rect, indent, room, TICK_ROOM if has_tick else 0.0),
        parts=(),
        tick=_tick(rect) if has_tick and job.state is JobState.DONE else None,
        box=_tick_box(rect) if has_tick else None,
        title=_title(job),
        url=job.url,
    )


def lay_out_place_bar(job: DayJob, across: Scale, axis: Span, top: float, height: float) -> SheetBar | None:
    """The bar of a job at a place: an outline with the group's strip, number, boat and job on one line."""
    if not job.span.meets(axis):
        return None
    rect = _rect(job.span, across, top, height)
    number = str(job.number) if job.number else ""
    line = _one_line(job, rect.x + STRIP + 4, rect.y + height - 2.7, rect.width - STRIP - 6, number)
    return SheetBar(
        number=job.number,
        rect=rect,
        css="basted" if job.state is JobState.PROPOSED else "plain prov" if _is_provisional(job) else "plain",
        ink="t-ink",
        strip=Rect(rect.x, rect.y, min(STRIP, rect.width), rect.height, state_css(job.group, JobState.PLANNED)),
        pattern=GROUP_PATTERN.get(job.group, ""),
        lines=(line,),
        parts=(),
        tick=None,
        box=None,
        title=_title(job),
        url=job.url,
    )


def _is_provisional(job: DayJob) -> bool:
    return job.state is JobState.PROVISIONAL


def _css(job: DayJob) -> str:
    """On a day's sheet a finished job keeps its colour and gets a tick: the day is read as a whole."""
    return state_css(job.group, JobState.PLANNED if job.state is JobState.DONE else job.state)


def _ink(job: DayJob) -> str:
    if job.state in (JobState.PROVISIONAL, JobState.PROPOSED):
        return "t-ink"
    return "t-launch" if job.group is TradeGroup.MOORING else f"t-{job.group.value}"


def _rect(span: Span, across: Scale, top: float, height: float) -> Rect:
    left, right = across.clamped(span.starts_min), across.clamped(span.ends_min)
    return Rect(tenth(left + 0.5), tenth(top), tenth(max(right - left - 1, 1.0)), tenth(height))


def _lines(job: DayJob, rect: Rect, indent: float, room: float, tick_room: float) -> tuple[BarLine, ...]:
    x = tenth(rect.x + indent)
    if rect.height < TWO_LINES_FROM:
        return (_one_line(job, x, rect.y + rect.height / 2 + 4, room - tick_room, str(job.number)),)
    second_y = tenth(rect.y + rect.height - 7.5)
    number = cut(str(job.number), 10.5, room, bold=True)
    if job.launch is not None:
        return (
            BarLine(x, tenth(rect.y + 13.5), number),
            BarLine(x, second_y, rest=cut(job.job, 10.5, room - tick_room)),
        )
    words = _job_and_place(job, room - tick_room)
    if not job.boat:
        return _yard_lines(job, number, (x, tenth(rect.y + 13.5), second_y), room, tick_room)
    size = next((size for size in NAME_SIZES if text_width(job.boat, size, name=True) <= room), NAME_SIZES[-1])
    name = cut(job.boat, size, room, name=True)
    return (
        BarLine(x, tenth(rect.y + 13.5), boat=name, boat_css=_name_css(size)),
        BarLine(x, second_y, number, rest=words),
    )


def _name_css(size: float) -> str:
    return {13.5: "x13", 12.5: "x12", 11.5: "x11"}.get(size, "x10")


def _yard_lines(
    job: DayJob, number: str, place: tuple[float, float, float], room: float, tick_room: float
) -> tuple[BarLine, ...]:
    """A job without a boat: its own words over two lines, in smaller letters where that keeps them whole."""
    x, first_y, second_y = place
    lines: list[tuple[BarLine, ...]] = []
    for size, css in ((10.5, "x10"), (9.5, "x9")):
        second_room = room - tick_room - text_width(f"{number} ", size, bold=True)
        first, second = _words_over_two_lines(job.job, size, room, second_room)
        lines.append((BarLine(x, first_y, rest=first, css=css), BarLine(x, second_y, number, rest=second, css=css)))
        if "…" not in first + second:
            return lines[-1]
    return lines[-1]


def _words_over_two_lines(words: str, size: float, first_room: float, second_room: float) -> tuple[str, str]:
    """As many whole words as fit the first line, the rest on the second."""
    parts = words.split(" ")
    for count in range(len(parts), 0, -1):
        head = " ".join(parts[:count])
        if text_width(head, size) <= first_room:
            return head, cut(" ".join(parts[count:]), size, second_room)
    return cut(words, size, first_room), ""


def _job_and_place(job: DayJob, room: float) -> str:
    """The job, with its place if both fit beside the number."""
    left = room - text_width(f"{job.number} ", 10.5, bold=True)
    both = f"{job.job} · {job.place}" if job.place else job.job
    return both if text_width(both, 10.5) <= left else cut(job.job, 10.5, left)


def _one_line(job: DayJob, x: float, y: float, room: float, number: str) -> BarLine:
    """Number, boat and job as far as they fit, the number first."""
    shown = cut(number, 10.5, room, bold=True)
    left = room - text_width(f"{shown} ", 10.5, bold=True)
    boat = cut(job.boat, 11.5, left, name=True) if left > 20 else ""
    left -= text_width(f"{boat} ", 11.5, name=True) if boat else 0
    is_whole = boat == job.boat
    return BarLine(tenth(x), tenth(y), shown, boat, "x11", cut(job.job, 10.5, left) if is_whole and left > 20 else "")


def _tick(rect: Rect) -> Stroke:
    x, y = number_text(rect.right - 13), number_text(rect.bottom - 8)
    return Stroke(f"M{x} {y}l3 3.5l5 -7.5", "tick")


def _tick_box(rect: Rect) -> Rect:
    return Rect(tenth(rect.right - 13), tenth(rect.bottom - 12), 9, 9, "box")


def _launch_bar(job: DayJob, launch: LaunchParts, across: Scale, axis: Span, rect: Rect) -> SheetBar:
    """One number over three parts: load, float off, trailer back."""
    half = tenth(rect.height / 2)
    spans = (
        (_("load"), launch.load, "g-yard"),
        (_("float"), launch.float_off, "g-launch"),
        ("", launch.trailer_back, "g-yard"),
    )
    parts = tuple(
        _part(name, span, css, across, Rect(rect.x, tenth(rect.y + half), rect.width, tenth(rect.height - half)))
        for name, span, css in spans
        if span is not None and span.meets(axis)
    )
    has_tick = rect.width >= NARROW
    line = _one_line(
        job, rect.x + 4, rect.y + half - 4, rect.width - 6 - (TICK_ROOM if has_tick else 0), str(job.number)
    )
    return SheetBar(
        number=job.number,
        rect=rect,
        css="basted" if job.state is JobState.PROPOSED else "plain prov" if _is_provisional(job) else "plain",
        ink="t-ink",
        strip=None,
        pattern="",
        lines=(BarLine(line.x, line.y, line.number, line.boat, line.boat_css),),
        parts=parts,
        tick=_tick(Rect(rect.x, rect.y, rect.width, half)) if has_tick and job.state is JobState.DONE else None,
        box=_tick_box(Rect(rect.x, rect.y, rect.width, half)) if has_tick else None,
        title=_title(job),
        url=job.url,
    )


def _part(name: str, span: Span, css: str, across: Scale, room: Rect) -> BarPart:
    left, right = across.clamped(span.starts_min), across.clamped(span.ends_min)
    rect = Rect(tenth(left + 0.5), room.y, tenth(max(right - left - 1, 1.0)), room.height, css)
    ink = "t-launch" if css == "g-launch" else "t-yard"
    middle, y = tenth(rect.x + rect.width / 2), tenth(rect.y + rect.height / 2 + 4)
    if not name:  # the trailer coming back is an arrow
        arrow = f"M{number_text(middle + 4)} {number_text(y - 4)}h-8m3 -3l-3 3l3 3"
        return BarPart(rect, None, Stroke(arrow, f"l-in {ink}") if rect.width >= 11 else None)
    fits = text_width(name, 10.5) <= rect.width - 2
    return BarPart(rect, Label(middle, y, name, f"x10 mid {ink}") if fits else None, None)


def _title(job: DayJob) -> str:
    boat = f"{job.boat}, " if job.boat else ""
    place = f", {job.place}" if job.place else ""
    state = "" if job.state is JobState.PLANNED else f", {_(STATE_WORDS[job.state])}"
    number = f"{job.number} " if job.number else ""
    return f"{number}{boat}{job.job}{place}, {clock_span(job.span.starts_min, job.span.ends_min)}{state}"
