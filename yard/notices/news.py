"""What is new for an owner of one order: facts, not words. Days and hours are on the yard's clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from enum import StrEnum

from yard.notices.wording import listed


class Situation(StrEnum):
    """Which words a letter needs. The first ones are the most urgent."""

    WEATHER_HOLD = "weather_hold"
    NOT_FIRM = "not_firm"
    MOVED = "moved"
    FIRM = "firm"
    DAY = "day"
    WEEK = "week"
    NO_DAY = "no_day"
    DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """Her launch. floats_at: when she floats off. starts_at, ends_at: between which she has her water, None where the
    tide is not known. needed_m: above the station's datum."""

    floats_at: datetime
    starts_at: datetime | None = None
    ends_at: datetime | None = None
    needed_m: float | None = None

    def __post_init__(self) -> None:
        if (self.starts_at is None) != (self.ends_at is None):
            raise ValueError("a stretch of water has a start and an end, or neither")
        if self.starts_at is not None and self.ends_at is not None and self.ends_at <= self.starts_at:
            raise ValueError("a stretch of water ends after it starts")


@dataclass(frozen=True, slots=True, kw_only=True)
class Road:
    """Her trip by road or ferry, which does not move. check_in_by: when the ferry takes nobody any more."""

    leaves_at: datetime
    check_in_by: datetime | None = None

    def __post_init__(self) -> None:
        if self.check_in_by is not None and self.check_in_by <= self.leaves_at:
            raise ValueError("a check-in closes after she leaves for it")


@dataclass(frozen=True, slots=True)
class Wish:
    """Something that the owner must do: "bring the cushions". by: the last day that is early enough, where known."""

    what: str
    by: date | None = None

    def __post_init__(self) -> None:
        if not self.what.strip():
            raise ValueError("say what the owner must do")


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """One order's news.

    day: the day of its last work, or the Monday of the week; None where there is none.  was, was_week: what was told.
    reason: why it moves, a clause, "" where the plan does not say; wanted: whether a letter must have one.
    reserve: the day if that one is lost.  call_at: when the yard says firm or not.  waits: what is not here yet and is
    not the owner's to bring.  could_stop: what could still stop it.  lies: where she
    lies now, once she is delivered.  odds: in words, "" where owners read none.  road: her trip, if one is booked.
    """

    order: int
    boat: str
    work: str
    situation: Situation
    day: date | None = None
    week: bool = False
    firm: bool = False
    starts_at: datetime | None = None
    was: date | None = None
    was_week: bool = False
    reason: str = ""
    water: Water | None = None
    reserve: date | None = None
    call_at: datetime | None = None
    waits: tuple[str, ...] = ()
    from_owner: tuple[Wish, ...] = ()
    could_stop: tuple[str, ...] = ()
    promised: date | None = None
    lies: str = ""
    odds: str = ""
    road: Road | None = None

    def __post_init__(self) -> None:
        no_day = self.situation in (Situation.NO_DAY, Situation.DONE)
        if self.day is None and not no_day:
            raise ValueError(f"{self.situation}: name the day")
        if self.situation is Situation.MOVED and self.was is None:
            raise ValueError("moved: name the day that was told")
        if self.firm and self.waits:
            raise ValueError(f"firm, and waiting on {', '.join(self.waits)}: nothing is firm before its facts are here")
        if self.reserve is not None and self.day is not None and not self.week and self.reserve <= self.day:
            raise ValueError("the reserve day comes after the day")

    @property
    def promise_told(self) -> date | None:
        """The promised day where it can be said whether it still stands: not inside a week that is told."""
        if self.promised is None or self.day is None:
            return None
        inside = self.week and self.day <= self.promised < self.day + timedelta(days=6)
        return None if inside else self.promised

    @property
    def wants_reason(self) -> bool:
        """A change is never told without its reason."""
        changes = (Situation.MOVED, Situation.NOT_FIRM, Situation.WEATHER_HOLD, Situation.NO_DAY)
        return self.situation in changes and not self.reason


def together(news: Sequence[News]) -> list[News]:
    """News that say the same of several orders of one boat, as one; in the order of the first of each."""
    found: dict[tuple[object, ...], News] = {}
    works: dict[tuple[object, ...], list[str]] = {}
    for each in news:
        said: tuple[object, ...] = (
            each.boat,
            each.situation,
            each.day,
            each.week,
            each.firm,
            each.was,
            each.was_week,
            each.reason,
        )
        if each.situation is not Situation.DONE:
            said = (*said, each.reserve, each.promise_told, each.odds, each.call_at)
        first = found.get(said)
        works.setdefault(said, []).append(each.work)
        found[said] = each if first is None else _joined(first, each)
    return [replace(each, work=listed(list(dict.fromkeys(works[said])))) for said, each in found.items()]


def _joined(one: News, other: News) -> News:
    """What either waits for, asks for or could be stopped by; the later of two hours, and the water of either."""
    starts = [each.starts_at for each in (one, other) if each.starts_at is not None]
    return replace(
        one,
        starts_at=max(starts, default=None),
        water=one.water or other.water,
        road=one.road or other.road,
        waits=tuple(dict.fromkeys((*one.waits, *other.waits))),
        from_owner=tuple(dict.fromkeys((*one.from_owner, *other.from_owner))),
        could_stop=tuple(dict.fromkeys((*one.could_stop, *other.could_stop))),
        lies=one.lies or other.lies,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Yard:
    """How the yard signs. feet: heights are read in feet."""

    name: str
    phone: str = ""
    feet: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterFacts:
    """All that one letter speaks of. page: the address of the owner's page, "" where there is none yet.

    before, after: the person's own words.  reason_said: the reason, in the person's words, where the plan has none.
    """

    owner: str
    yard: Yard
    news: tuple[News, ...]
    page: str = ""
    before: str = ""
    after: str = ""
    reason_said: str = ""
    signed: str = ""
    day_told_days_before: int = 14
    extra: dict[str, str] = field(default_factory=dict)
