"""Checks of places and boats: places, closed, charge, boat, stays."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from yard.planning.check.breach import Breach
from yard.planning.check.case import MINUTES, Case, Entry
from yard.planning.problem import Stay
from yard.speech import _


def places(case: Case) -> Iterator[Breach]:
    """Each job has its units, all of one need in one place, and a unit holds one job at a time."""
    for entry in case.entries.values():
        if not entry.pinned:
            yield from _named_places(case, entry)
    yield from _shared_units(case)


def _named_places(case: Case, entry: Entry) -> Iterator[Breach]:
    named = list(entry.placement.places)
    wanted = sum(need.units for need in entry.way.places)
    if len(named) != wanted:
        message = _("has {n} units of places and needs {needed}").format(n=len(named), needed=wanted)
        yield case.breach("places", entry.index, message, {"units": len(named), "needed": wanted})
        return
    for need in entry.way.places:
        units, named = named[: need.units], named[need.units :]
        found = {place for place, _unit in units}
        if len(found) != 1:
            yield case.breach("places", entry.index, _("takes the units of one need from several places"))
        for place in sorted(found - set(need.any_of)):
            message = _("cannot be done at {place}").format(place=case.problem.places[place].name)
            yield case.breach("places", entry.index, message, {"place": place})


def _shared_units(case: Case) -> Iterator[Breach]:
    held: dict[tuple[int, int], list[tuple[int, int, Entry]]] = defaultdict(list)
    for entry in case.entries.values():
        ends = min(entry.ends_at + entry.way.place_extra_quarters, case.day_end(entry.ends_at - 1))
        for place, unit in entry.placement.places:
            row = case.problem.places[place]
            if not 0 <= unit < row.capacity:
                message = _("{place} has {capacity} units, and no unit {unit}").format(
                    place=row.name, capacity=row.capacity, unit=unit
                )
                numbers: dict[str, int | str] = {"place": place, "unit": unit, "capacity": row.capacity}
                yield case.breach("places", entry.index, message, numbers, pins_alone=entry.pinned)
            held[place, unit].append((entry.starts_at, ends, entry))
    for (place, unit), rows in held.items():
        rows.sort(key=lambda row: (row[0], row[1], row[2].index))
        _starts, busy_until, busy = rows[0]
        for starts, ends, entry in rows[1:]:
            if starts < busy_until:
                message = _("{place} is taken by {job}").format(
                    place=case.problem.places[place].name, job=case.title(busy.index)
                )
                numbers = {"place": place, "unit": unit, "other_job": busy.index, "starts_minute": case.minute(starts)}
                both = entry.pinned and busy.pinned
                yield case.breach("places", entry.index, message, numbers, pins_alone=both)
            if ends > busy_until:
                busy_until, busy = ends, entry


def closed(case: Case) -> Iterator[Breach]:
    """A closed place is not used."""
    shut = {place: case.touched(row.closed) for place, row in enumerate(case.problem.places) if row.closed}
    for entry in case.entries.values():
        if entry.pinned:
            continue
        for place in sorted({place for place, _unit in entry.placement.places}):
            if place in shut and 1 in shut[place][entry.starts_at : entry.ends_at]:
                minute = case.minute(shut[place].index(1, entry.starts_at))
                message = _("{place} is closed").format(place=case.problem.places[place].name)
                yield case.breach("closed", entry.index, message, {"place": place, "closed_minute": minute})


def charge(case: Case) -> Iterator[Breach]:
    """Work on a charge lies inside it, and all work on it together is no longer than it lasts."""
    for place, row in enumerate(case.problem.places):
        if row.charges:
            here = [entry for entry in case.entries.values() if place in {at for at, _unit in entry.placement.places}]
            yield from _off_charge(case, place, here)
            for number in range(len(row.charges)):
                yield from _over_charge(case, place, number, here)


def _off_charge(case: Case, place: int, here: list[Entry]) -> Iterator[Breach]:
    for entry in here:
        starts, ends = case.minute(entry.starts_at), case.minute(entry.ends_at - 1) + MINUTES
        inside = any(row.starts <= starts and ends <= row.ends for row in case.problem.places[place].charges)
        if not entry.pinned and not inside:
            message = _("{place} is not charged for it").format(place=case.problem.places[place].name)
            yield case.breach("charge", entry.index, message, {"place": place, "starts_minute": starts})


def _over_charge(case: Case, place: int, number: int, here: list[Entry]) -> Iterator[Breach]:
    """Told of whoever takes the last of it: of what is pinned, only where nothing else ran on it."""
    lasts = case.problem.places[place].charges[number]
    runs = []
    for entry in here:
        units = sum(at == place for at, _unit in entry.placement.places)
        minutes = (case.minute(quarter) for quarter in range(entry.starts_at, entry.ends_at))
        run = units * sum(lasts.starts <= minute < lasts.ends for minute in minutes)
        if run:
            runs.append((not entry.pinned, entry.starts_at, entry.index, run))
    taken = sum(run for *_rest, run in runs)
    if taken > lasts.quarters:
        free, _starts, index, _run = max(runs)
        name = case.problem.places[place].name
        message = _("{place} runs {taken} min on a charge that lasts {lasts}").format(
            place=name, taken=taken * MINUTES, lasts=lasts.quarters * MINUTES
        )
        numbers: dict[str, int | str] = {"place": place, "charge": number, "taken": taken, "quarters": lasts.quarters}
        yield case.breach("charge", index, message, numbers, pins_alone=not free)


def boat(case: Case) -> Iterator[Breach]:
    """A boat is in one place: jobs that need her do not overlap."""
    rows: dict[int, list[Entry]] = defaultdict(list)
    for entry in case.entries.values():
        if entry.job.needs_boat:
            rows[entry.job.boat].append(entry)
    for entries in rows.values():
        entries.sort(key=lambda entry: (entry.starts_at, entry.ends_at, entry.index))
        busy = entries[0]
        for entry in entries[1:]:
            if entry.starts_at < busy.ends_at:
                message = _("she is at {job} at the same time").format(job=case.problem.jobs[busy.index].name)
                numbers: dict[str, int | str] = {
                    "other_job": busy.index,
                    "starts_minute": case.minute(entry.starts_at),
                }
                yield case.breach("boat", entry.index, message, numbers, pins_alone=entry.pinned and busy.pinned)
            if entry.ends_at > busy.ends_at:
                busy = entry


def stays(case: Case) -> Iterator[Breach]:
    """A berth, mooring or rack holds one boat a night, and each stay that happens says where."""
    nights = {index: span for index, stay in enumerate(case.problem.stays) if (span := _nights(case, stay)) is not None}
    named: dict[int, tuple[int, int]] = {}
    for row in case.plan.stays:
        if not 0 <= row.stay < len(case.problem.stays):
            yield _stay_breach(
                case, None, _("the plan names stay {stay}, which is not in the problem").format(stay=row.stay)
            )
        elif row.stay in named:
            yield _stay_breach(case, row.stay, _("{boat} is placed twice").format(boat=_boat_of(case, row.stay)))
        else:
            named[row.stay] = (row.place, row.unit)
    for index in nights:
        if index not in named:
            yield _stay_breach(case, index, _("{boat} has no place for the night").format(boat=_boat_of(case, index)))
        else:
            yield from _stay_place(case, index, *named[index])
    yield from _shared_nights(case, nights, named)


def _nights(case: Case, stay: Stay) -> tuple[int, int] | None:
    """[first night, night after the last), which may be empty; None where one of its jobs is not planned."""
    first, stop = 0, len(case.starts)
    if stay.from_job is not None:
        if stay.from_job not in case.entries:
            return None
        first = case.day_of(case.entries[stay.from_job].ends_at - 1)
    if stay.until_job is not None:
        if stay.until_job not in case.entries:
            return None
        stop = case.day_of(case.entries[stay.until_job].starts_at)
    return first, stop


def _stay_place(case: Case, index: int, place: int, unit: int) -> Iterator[Breach]:
    if place not in case.problem.stays[index].any_of:
        told = _("{boat} lies at place {place}, where she may not").format(boat=_boat_of(case, index), place=place)
        yield _stay_breach(case, index, told)
    elif not 0 <= unit < case.problem.places[place].capacity:
        told = _("{boat} lies at {place}, unit {unit}, which it has not").format(
            boat=_boat_of(case, index), place=case.problem.places[place].name, unit=unit
        )
        yield _stay_breach(case, index, told)


def _shared_nights(
    case: Case, nights: dict[int, tuple[int, int]], named: dict[int, tuple[int, int]]
) -> Iterator[Breach]:
    held: dict[tuple[int, int], list[tuple[int, int, int]]] = defaultdict(list)
    for index, (first, stop) in nights.items():
        if index in named and first < stop:
            held[named[index]].append((first, stop, index))
    for rows in held.values():
        rows.sort()
        _first, busy_until, busy = rows[0]
        for first, stop, index in rows[1:]:
            if first < busy_until:
                other = case.problem.boats[case.problem.stays[busy].boat].name
                numbers: dict[str, int | str] = {"other_stay": busy, "night": first}
                told = _("{boat} shares her place for the night with {other}").format(
                    boat=_boat_of(case, index), other=other
                )
                yield _stay_breach(case, index, told, numbers)
            if stop > busy_until:
                busy_until, busy = stop, index


def _boat_of(case: Case, index: int) -> str:
    return case.problem.boats[case.problem.stays[index].boat].name


def _stay_breach(case: Case, index: int | None, message: str, numbers: dict[str, int | str] | None = None) -> Breach:
    if index is None:
        return Breach(rule="stays", job=None, boat=None, message=message)
    stay = case.problem.stays[index]
    job = stay.from_job if stay.from_job is not None else stay.until_job
    return Breach(rule="stays", job=job, boat=stay.boat, message=message, numbers={"stay": index, **(numbers or {})})
