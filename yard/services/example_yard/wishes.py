"""What the owners of the example yard ask for, and by when: drawn from a seed before anything is written."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from yard.services.example_yard.description import Description, Size, Span
from yard.services.example_yard.fleet import DrawnBoat, Fleet
from yard.services.package_files import PackageFile

NO_MAST = ("step", "tune", "bend_on")
BY_THE_OWNER = ("uncover", "wash", "first_coat")
"""What an owner may do instead of the yard."""
OWNER_DOES = "the owner does it"

LONG_BEFORE = timedelta(days=21)
WINTER_WORK_FROM = date(2027, 2, 12)
LAY_UPS_FROM = date(2027, 9, 1)
ORDERED_FROM, ORDERED_UNTIL = date(2026, 11, 9), date(2027, 1, 12)


@dataclass(frozen=True, kw_only=True)
class Wish:
    """One order as it will be written. boat: index of the fleet, None for a walk-in.

    not_by_us: keys of the package's jobs that somebody else does, and that are therefore cancelled, with the reason.
    """

    boat: int | None
    package: str
    options: frozenset[str] = frozenset()
    earliest: date | None = None
    wanted: date | None = None
    latest: date | None = None
    promised: date | None = None
    fixed_at: datetime | None = None
    goes_first: int = 1
    covers_gate: bool = False
    temporary_mooring: bool = False
    unconfirmed: bool = False
    walk_in: str = ""
    not_by_us: tuple[str, ...] = ()
    why_not: str = ""
    made_on: date = ORDERED_FROM

    @property
    def due(self) -> date | None:
        """The day from which it is late, as the planner counts it."""
        return self.promised or self.latest or self.wanted


@dataclass
class WishDrawer:
    """Draws orders for a fleet; the same generator gives the same orders."""

    about: Description
    size: Size
    fleet: Fleet
    packages: Mapping[str, PackageFile]
    rng: random.Random
    new_boats: int = 0

    def all(self) -> list[Wish]:
        """Every order that is asked for at first; what the yard can do is settled afterwards (load.settle)."""
        temporary = self.about.season.size[self.size].temporary_moorings
        wishes: list[Wish] = []
        for boat in self.fleet.boats:
            if boat.kept == "commissioned":
                of_boat = self.commissioned(boat)
                if temporary and self.rng.random() < 0.2 and boat.draft_m is not None:
                    of_boat[0] = replace(of_boat[0], temporary_mooring=True)
                    temporary -= 1
                wishes += of_boat
            elif boat.kept == "loft":
                wishes += self.loft(boat)
            elif boat.kept == "new":
                wishes += self.new_boat(boat)
        wishes += [*self.missing_packages(wishes), *self.autumn(), *self.walk_ins()]
        return [*wishes, *self.asked_once()]

    def one_more(self) -> Wish:
        """Something more for the loft, for a boat with sails."""
        boat = self.rng.choice([boat for boat in self.fleet.boats if boat.has_mast and boat.kept != "new"])
        return self._of_the_loft(boat, self.rng.choice(["canvas_order", "cushions", "sail_repair"]))

    @property
    def window(self) -> Span:
        return self.about.season.size[self.size].window

    def commissioned(self, boat: DrawnBoat) -> list[Wish]:
        """Her commissioning first, then what else her owner wants."""
        rng = self.rng
        wanted = self._wanted_afloat()
        by_owner = rng.random() < self.about.season.size[self.size].owner_prepares
        options = self._spring_options(boat)
        spring = replace(
            self._dated(boat.index, "spring_commissioning", wanted),
            options=options - {"second_coat"} if by_owner else options,
            not_by_us=(() if boat.has_mast else NO_MAST) + (BY_THE_OWNER if by_owner else ()),
            why_not=" and ".join(
                reason for reason, so in (("she has no mast", not boat.has_mast), (OWNER_DOES, by_owner)) if so
            ),
            goes_first=rng.choices([1, 2, 3], [0.80, 0.15, 0.05])[0],
            unconfirmed=rng.random() < 0.06,
        )
        return [spring, *self._extras(boat, wanted)]

    def _extras(self, boat: DrawnBoat, wanted: date) -> list[Wish]:
        chances = self.about.season.size[self.size].extra
        return [
            self._extra(boat, package, wanted)
            for package, chance in chances.items()
            if self.rng.random() < chance
            and (boat.has_mast or package in ("canvas_order", "cushions", "mooring_tackle"))
        ]

    def _extra(self, boat: DrawnBoat, package: str, wanted: date) -> Wish:
        days = timedelta(days=self.rng.randint(0, 14))
        match package:
            case "canvas_order":  # patterned once she is rigged, weeks before it is fitted; or in autumn, from file
                weeks_after = wanted + timedelta(days=35) + days
                if weeks_after <= self.window[1] and self.rng.random() < 0.5:
                    return self._dated(boat.index, package, weeks_after)
                return self._dated(boat.index, package, wanted + days, off=frozenset({"pattern_on_the_boat"}))
            case "mooring_tackle":
                return self._dated(boat.index, package, wanted - timedelta(days=10))
            case "canvas_sent_out":
                return self._dated(boat.index, package, wanted + days, off=frozenset({"pattern_on_the_boat"}))
            case "sail_wash_and_repair" | "rig_survey" | "standing_rigging":  # winter work
                wish = self._dated(boat.index, package, max(WINTER_WORK_FROM, wanted - LONG_BEFORE - 2 * days))
                return replace(wish, earliest=None)
            case "sail_clean":
                return self._dated(boat.index, package, wanted + timedelta(days=35), on=frozenset({"off_the_boat"}))
            case _:
                return self._dated(boat.index, package, wanted)

    def loft(self, boat: DrawnBoat) -> list[Wish]:
        """A boat that lies elsewhere: her sails and canvas come to the loft."""
        found = [
            self._of_the_loft(boat, package)
            for package, chance in self.about.season.size[self.size].loft.items()
            if self.rng.random() < chance
        ]
        return found or [self._of_the_loft(boat, "sail_repair")]

    def _of_the_loft(self, boat: DrawnBoat, package: str) -> Wish:
        off = frozenset({"pattern_on_the_boat"})
        return self._dated(boat.index, package, self._some_day(), off=off)

    def new_boat(self, boat: DrawnBoat) -> list[Wish]:
        """She leaves by road on a day that does not move; what is sewn for her comes first."""
        leaves = [date(2027, 6, 2), date(2027, 5, 25)][self.new_boats % 2]
        self.new_boats += 1
        zone = ZoneInfo(self.about.yard.yard.time_zone)
        fixed = datetime.combine(leaves, time(8), zone).astimezone(UTC)
        before = leaves - timedelta(days=7)
        road = self._dated(boat.index, "new_boat_delivery", leaves)
        return [
            replace(road, fixed_at=fixed, promised=leaves, latest=leaves, goes_first=3, covers_gate=True),
            self._dated(boat.index, "cushions", before),
        ]

    def missing_packages(self, wishes: list[Wish]) -> list[Wish]:
        """One order of every package that chance left out."""
        have = {wish.package for wish in wishes}
        masted = [boat for boat in self.fleet.boats if boat.kept == "commissioned" and boat.has_mast]
        afloat = {wish.boat: wish.wanted for wish in wishes if wish.package == "spring_commissioning"}
        return [
            self._extra(boat, package, afloat[boat.index] or ORDERED_UNTIL)
            for package in self.about.season.size[self.size].extra
            if package not in have
            for boat in [self.rng.choice(masted)]
        ]

    def asked_once(self) -> list[Wish]:
        """One owner has canvas made elsewhere, one has the shrouds and stays renewed."""
        boats = [boat for boat in self.fleet.boats if boat.kept == "commissioned" and boat.has_mast]
        late = self.window[1] - timedelta(days=21)
        return [
            self._extra(self.rng.choice(boats), package, late) for package in ("canvas_sent_out", "standing_rigging")
        ]

    def autumn(self) -> list[Wish]:
        """A few boats come in early."""
        boats = [boat for boat in self.fleet.boats if boat.kept == "commissioned" and boat.draft_m is not None]
        found = []
        for boat in self.rng.sample(boats, self.about.season.size[self.size].autumn):
            wanted = LAY_UPS_FROM + timedelta(days=12) + timedelta(days=self.rng.randint(0, 17))
            wish = self._dated(boat.index, "autumn_lay_up", wanted)
            mast = boat.has_mast
            found.append(
                replace(
                    wish,
                    earliest=wanted - timedelta(days=14),
                    options=wish.options if mast else wish.options - {"wash_sails"},
                    not_by_us=() if mast else ("unbend", "unstep", "store"),
                    why_not="" if mast else "she has no mast",
                )
            )
        return found

    def walk_ins(self) -> list[Wish]:
        """Somebody at the door late in April, with a sail and without a boat on file."""
        names = self.rng.sample(self.about.names.walk_ins, self.about.season.size[self.size].walk_ins)
        found = []
        for number, name in enumerate(names):
            made = date(2027, 4, 26) + timedelta(days=self.rng.randint(0, 9))
            package = "sail_clean" if number % 3 == 2 else "sail_repair"
            wanted = made + timedelta(days=self.rng.randint(12, 25))
            found.append(Wish(boat=None, package=package, wanted=wanted, walk_in=name, made_on=made))
        return found

    def _dated(
        self,
        boat: int,
        package: str,
        wanted: date,
        *,
        on: frozenset[str] = frozenset(),
        off: frozenset[str] = frozenset(),
    ) -> Wish:
        rng, dates = self.rng, self.about.season.dates
        if wanted < LAY_UPS_FROM:
            wanted = min(wanted, self.window[1])
        wanted = _working(wanted)
        promised = None
        if rng.random() < dates.promised:
            early = rng.randint(2, 5) if rng.random() < dates.earlier_promise else 0
            promised = _working(wanted - timedelta(days=early))
        by_default = {option.key for option in self.packages[package].option if option.on_by_default}
        return Wish(
            boat=boat,
            package=package,
            options=frozenset(by_default) - off | on,
            earliest=max(self.window[0], wanted - _share(self.window, rng.uniform(*dates.earliest_share))),
            wanted=wanted,
            latest=wanted + timedelta(weeks=rng.randint(*dates.latest_weeks)),
            promised=promised,
            made_on=ORDERED_FROM + timedelta(days=rng.randint(0, (ORDERED_UNTIL - ORDERED_FROM).days)),
        )

    def _wanted_afloat(self) -> date:
        rng, dates = self.rng, self.about.season.dates
        chance = rng.random()
        if chance < dates.memorial_share:
            return _in(dates.before_memorial_day, rng)
        if (
            chance < dates.memorial_share + dates.independence_share
            and dates.before_independence_day[1] <= self.window[1]
        ):
            return _in(dates.before_independence_day, rng)
        first, last = self.window
        begin = first + (last - first) * dates.first_finish_share
        return _in((begin, last - timedelta(days=1)), rng)

    def _some_day(self) -> date:
        first, last = self.window
        return _in((first + timedelta(days=14), last - timedelta(days=1)), self.rng)

    def _spring_options(self, boat: DrawnBoat) -> frozenset[str]:
        chances = {"check_sails": 0.6, "dress_mast": 0.75, "covers_and_cushions": 0.45, "sea_trial": 0.12}
        if not boat.has_mast:
            chances = {"covers_and_cushions": 0.3}
        found = {option for option, chance in chances.items() if self.rng.random() < chance}
        if self.rng.random() < 0.2:
            found.add("second_coat")
        return frozenset(found | ({"take_up"} if boat.design.planked else set()))


def _share(span: Span, share: float) -> timedelta:
    return timedelta(days=round((span[1] - span[0]).days * share))


def _in(span: Span, rng: random.Random) -> date:
    return span[0] + timedelta(days=rng.randint(0, (span[1] - span[0]).days))


def _working(day: date) -> date:
    """The day itself, or the Friday before a weekend."""
    return day - timedelta(days=max(0, day.weekday() - 4))
