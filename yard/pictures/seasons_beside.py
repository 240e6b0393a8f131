"""Seasons beside one another: a bar of hours for each, parted by trade, with its other figures in words under it."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.shapes import GROUP_CSS, GROUP_PATTERN, Label, PictureValueError, Rect, Scale, TradeGroup, tenth
from yard.speech import _

WIDTH, LEFT, RIGHT = 680.0, 120.0, 664.0
TOP, BAR, STEP = 30.0, 22.0, 58.0
KEY_STEP, KEY_BOX = 84.0, 12.0


@dataclass(frozen=True, slots=True)
class Share:
    """Hours of one trade. trade: a value of TradeGroup."""

    trade: str
    called: str
    hours: float

    def __post_init__(self) -> None:
        if self.hours < 0:
            raise PictureValueError(f"hours of {self.called} are {self.hours}, below nothing")


@dataclass(frozen=True, slots=True)
class SeasonBar:
    name: str
    shares: tuple[Share, ...]
    words: str

    @property
    def hours(self) -> float:
        return sum(share.hours for share in self.shares)


@dataclass(frozen=True, slots=True)
class SeasonsPicture:
    width: float
    height: float
    parts: tuple[Rect, ...]
    key: tuple[Rect, ...]
    labels: tuple[Label, ...]
    summary: str


def lay_out(bars: tuple[SeasonBar, ...]) -> SeasonsPicture:
    """All bars on one scale, from nothing; the key above them names the trades that occur."""
    most = max((bar.hours for bar in bars), default=0.0)
    scale = Scale(0.0, most or 1.0, LEFT, RIGHT)
    parts: list[Rect] = []
    labels: list[Label] = []
    for number, bar in enumerate(bars):
        top = TOP + STEP * number
        labels.append(Label(LEFT - 8, top + 15, bar.name, "x12 end"))
        labels.append(Label(LEFT, top + BAR + 15, bar.words, "x11 c2"))
        before = 0.0
        for share in bar.shares:
            left, right = scale.at(before), scale.at(before + share.hours)
            before += share.hours
            title = _("{season}: {hours} h of the {trade}").format(
                season=bar.name, hours=f"{share.hours:,.0f}", trade=share.called
            )
            parts.append(_box(share.trade, left, top, tenth(right - left), BAR, title))
    key, names = _key(bars)
    said = "; ".join(f"{bar.name}: {bar.words}" for bar in bars) or _("no season")
    return SeasonsPicture(
        width=WIDTH,
        height=TOP + STEP * len(bars),
        parts=tuple(parts),
        key=key,
        labels=(*names, *labels),
        summary=_("Hours worked by season and trade. {told}.").format(told=said),
    )


def _box(trade: str, left: float, top: float, width: float, height: float, title: str = "") -> Rect:
    group = TradeGroup(trade)
    return Rect(left, top, width, height, GROUP_CSS[group], GROUP_PATTERN.get(group, ""), title)


def _key(bars: tuple[SeasonBar, ...]) -> tuple[tuple[Rect, ...], tuple[Label, ...]]:
    called = {share.trade: share.called for bar in bars for share in bar.shares}
    trades = [group.value for group in TradeGroup if group.value in called]
    boxes = tuple(_box(trade, LEFT + KEY_STEP * n, 2.0, KEY_BOX, KEY_BOX) for n, trade in enumerate(trades))
    names = tuple(Label(box.x + 17, 12.0, called[trade], "x11 c2") for box, trade in zip(boxes, trades, strict=True))
    return boxes, names
