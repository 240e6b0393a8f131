"""A package as a network: jobs in layers from top to bottom, what follows what, and the critical path.

Layers by the longest path; a link over several layers passes through room kept for it in each (Sugiyama, Tagawa
and Toda 1981; from memory); the order inside a layer is settled by a few sweeps of barycentres, so that one
package always gives one picture. The critical path is drawn with thick lines and double edges, not by colour.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from yard.pictures.labels import keep_clear
from yard.pictures.lettering import cut
from yard.pictures.package_network_input import NetworkJob, NetworkLink, PackageNetworkInput
from yard.pictures.package_network_paths import CriticalPath, critical_path, layers, links_to_draw
from yard.pictures.shapes import GROUP_CSS, GROUP_PATTERN, Label, Rect, Stroke, number_text, tenth
from yard.speech import _
from yard.speech import number as said_number

BOX_WIDTH, BOX_HEIGHT = 204.0, 38.0
LANE_WIDTH = 26.0
BETWEEN, LAYER = 18.0, 74.0
MARGIN = 10.0
STRIP = 9.0
SWEEPS = 8

Item = tuple[str, str]
"""A job (key, "") or the room of a link that passes through a layer: (before, "after layer")."""


@dataclass(frozen=True, slots=True)
class NetworkBox:
    """One job: its box, the strip of its trade, a second edge where it is critical, its words."""

    box: Rect
    strip: Rect
    edge: Rect | None
    name: Label
    hours: Label
    title: str


@dataclass(frozen=True, slots=True)
class PackageNetworkPicture:
    """links under boxes under waits. summary: the same in words."""

    width: float
    height: float
    boxes: tuple[NetworkBox, ...]
    links: tuple[Stroke, ...]
    heads: tuple[Stroke, ...]
    waits: tuple[Label, ...]
    path: CriticalPath
    summary: str


def lay_out(values: PackageNetworkInput) -> PackageNetworkPicture:
    """The picture of a package; one without jobs is an empty one."""
    path = critical_path(values)
    shown = links_to_draw(values, path.links)
    rows = _rows(values, shown)
    width = max([values.width, *(_row_width(row) + 2 * MARGIN for row in rows)])
    middles = _middles(rows, width)
    height = 2 * MARGIN + max(0, len(rows) - 1) * LAYER + BOX_HEIGHT
    drawn = [(link, _points(link, rows, middles)) for link in shown]
    boxes = tuple(_box(job, middles[job.key, ""], path) for job in values.jobs)
    return PackageNetworkPicture(
        width=tenth(width),
        height=tenth(height),
        boxes=boxes,
        links=tuple(Stroke(_curve(points), _line_css(link, path)) for link, points in drawn),
        heads=tuple(Stroke(_head(points[-1]), "f-ink") for _, points in drawn),
        waits=keep_clear([_wait(link, points) for link, points in drawn if link.words], of=[box.box for box in boxes]),
        path=path,
        summary=_summary(values, path),
    )


def _rows(values: PackageNetworkInput, links: Sequence[NetworkLink]) -> list[list[Item]]:
    """Layers from top to bottom, each from left to right, with room for the links that pass through."""
    layer = layers(values)
    rows: list[list[Item]] = [[] for _ in range(max(layer.values(), default=-1) + 1)]
    for job in values.jobs:
        rows[layer[job.key]].append((job.key, ""))
    before: dict[Item, list[Item]] = defaultdict(list)
    after: dict[Item, list[Item]] = defaultdict(list)
    for link in links:
        way: list[Item] = [(link.before, "")]
        for number in range(layer[link.before] + 1, layer[link.after]):
            way.append((link.before, f"{link.after} {number}"))
            rows[number].append(way[-1])
        way.append((link.after, ""))
        for one, two in itertools.pairwise(way):
            before[two].append(one)
            after[one].append(two)
    for sweep in range(SWEEPS):
        down = sweep % 2 == 0
        for number in range(1, len(rows)) if down else range(len(rows) - 2, -1, -1):
            beside = rows[number - 1] if down else rows[number + 1]
            rows[number] = _sorted(rows[number], beside, before if down else after)
    return rows


def _sorted(row: list[Item], beside: list[Item], joined: Mapping[Item, list[Item]]) -> list[Item]:
    place = {item: (index + 0.5) / len(beside) for index, item in enumerate(beside)}
    own = {item: (index + 0.5) / len(row) for index, item in enumerate(row)}

    def centre(item: Item) -> float:
        found = [place[other] for other in joined.get(item, ()) if other in place]
        return sum(found) / len(found) if found else own[item]

    return sorted(row, key=lambda item: (centre(item), own[item]))


def _item_width(item: Item) -> float:
    return LANE_WIDTH if item[1] else BOX_WIDTH


def _row_width(row: Sequence[Item]) -> float:
    return sum(map(_item_width, row)) + BETWEEN * (len(row) - 1)


def _middles(rows: Sequence[Sequence[Item]], width: float) -> dict[Item, tuple[float, float]]:
    """The middle of each item; each row stands in the middle of the picture."""
    found: dict[Item, tuple[float, float]] = {}
    for number, row in enumerate(rows):
        x = (width - _row_width(row)) / 2
        y = MARGIN + number * LAYER + BOX_HEIGHT / 2
        for item in row:
            found[item] = (x + _item_width(item) / 2, y)
            x += _item_width(item) + BETWEEN
    return found


def _points(
    link: NetworkLink, rows: Sequence[Sequence[Item]], middles: Mapping[Item, tuple[float, float]]
) -> list[tuple[float, float]]:
    """From the foot of the one box through the room kept for it to the head of the other."""
    x, y = middles[link.before, ""]
    points = [(x, y + BOX_HEIGHT / 2)]
    for number in range(len(rows)):
        if (through := middles.get((link.before, f"{link.after} {number}"))) is not None:
            points += [(through[0], through[1] - BOX_HEIGHT / 2), (through[0], through[1] + BOX_HEIGHT / 2)]
    x, y = middles[link.after, ""]
    return [*points, (x, y - BOX_HEIGHT / 2)]


def _curve(points: Sequence[tuple[float, float]]) -> str:
    d = f"M{number_text(points[0][0])} {number_text(points[0][1])}"
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        bend = (y1 - y0) / 2
        d += (
            f"V{number_text(y1)}"
            if x0 == x1
            else f"C{number_text(x0)} {number_text(y0 + bend)} {number_text(x1)} {number_text(y1 - bend)}"
            f" {number_text(x1)} {number_text(y1)}"
        )
    return d


def _head(tip: tuple[float, float]) -> str:
    x, y = tip
    left, right, base = number_text(x - 4), number_text(x + 4), number_text(y - 8)
    return f"M{left} {base}L{number_text(x)} {number_text(y)}L{right} {base}Z"


def _line_css(link: NetworkLink, path: CriticalPath) -> str:
    return "net critical" if (link.before, link.after) in path.links else "net wait" if link.wait_min else "net"


def _wait(link: NetworkLink, points: Sequence[tuple[float, float]]) -> Label:
    """The wait stands beside the last stretch of its link, on the side away from it."""
    (x0, y0), (x1, y1) = points[-2], points[-1]
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    css = "x10 halo c2" if x0 <= x1 else "x10 halo c2 end"
    return Label(tenth(x + (6 if x0 <= x1 else -6)), tenth(y + 4), link.words, css)


def _box(job: NetworkJob, middle: tuple[float, float], path: CriticalPath) -> NetworkBox:
    left, top = tenth(middle[0] - BOX_WIDTH / 2), tenth(middle[1] - BOX_HEIGHT / 2)
    critical = path.float_min[job.key] == 0
    room = BOX_WIDTH - STRIP - 16
    words = ", ".join(
        [job.name, job.hours, *([_("critical")] if critical else []), *([_("an option")] if job.option else [])]
    )
    return NetworkBox(
        box=Rect(left, top, BOX_WIDTH, BOX_HEIGHT, "net-box option" if job.option else "net-box", "", words),
        strip=Rect(left, top, STRIP, BOX_HEIGHT, GROUP_CSS[job.group], GROUP_PATTERN.get(job.group, "")),
        edge=Rect(tenth(left - 3), tenth(top - 3), BOX_WIDTH + 6, BOX_HEIGHT + 6, "net-edge") if critical else None,
        name=Label(tenth(left + STRIP + 8), tenth(top + 16), cut(job.name, 12.5, room), "x12 md"),
        hours=Label(tenth(left + STRIP + 8), tenth(top + 31), job.hours, "x11 c2"),
        title=words,
    )


def _summary(values: PackageNetworkInput, path: CriticalPath) -> str:
    if not values.jobs:
        return _("No jobs.")
    names = {job.key: job.name for job in values.jobs}
    days, rest = divmod(path.length_min, 24 * 60)
    hours = tenth(rest / 60)
    length = (f"{days} d " if days else "") + f"{said_number(hours, 0 if hours == int(hours) else 1)} h"
    way = ", ".join(names[key] for key in path.jobs)
    return _("{n} jobs. Work and waits of the longest way take {length}: {way}.").format(
        n=len(values.jobs), length=length, way=way
    )
