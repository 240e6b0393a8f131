"""Checks of time: windows, release, waits, span."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from yard.planning.check.breach import Breach
from yard.planning.check.case import MINUTES, Case, Entry
from yard.planning.problem import Link
from yard.speech import _


def windows(case: Case) -> Iterator[Breach]:
    """A stretch of a job lies inside her water, the light, a dry day: inside one interval of the set."""
    opens = [[starts for starts, _ends in windows.intervals] for windows in case.problem.window_sets]
    for entry in case.entries.values():
        if entry.pinned or entry.job.pausing != "fitted":
            continue
        for inside in entry.way.inside:
            windows = case.problem.window_sets[inside.window_set]
            length = inside.length_quarters
            if length is None:
                length = entry.way.duration_quarters - inside.offset_quarters
            starts = case.minute(entry.starts_at) + MINUTES * inside.offset_quarters
            ends = starts + MINUTES * length
            at = bisect_right(opens[inside.window_set], starts) - 1
            if at < 0 or windows.intervals[at][1] < ends:
                message = _("does not lie inside one stretch of {rule}").format(rule=_(windows.rule))
                numbers: dict[str, int | str] = {"window": windows.rule, "starts_minute": starts, "ends_minute": ends}
                yield case.breach("windows", entry.index, message, numbers)


def release(case: Case) -> Iterator[Breach]:
    """Nothing starts before its date, after its date or in the past."""
    for entry in case.entries.values():
        if entry.pinned:
            continue
        minute = case.minute(entry.starts_at)
        first, last = entry.job.not_before, entry.job.not_after
        if first is not None and minute < first:
            numbers: dict[str, int | str] = {"starts_minute": minute, "not_before_minute": first}
            yield case.breach("release", entry.index, _("starts before it may"), numbers)
        if last is not None and minute > last:
            numbers = {"starts_minute": minute, "not_after_minute": last}
            yield case.breach("release", entry.index, _("starts later than it may"), numbers)
        if entry.starts_at < case.problem.now:
            yield Breach(
                rule="release",
                job=entry.index,
                boat=entry.job.boat,
                message=_("{title}: starts in the past").format(title=case.title(entry.index)),
                numbers={"starts_minute": minute},
            )


def waits(case: Case) -> Iterator[Breach]:
    """A job starts no sooner and no later after the job before it than it may."""
    for link in case.problem.links:
        after = case.entries.get(link.after)
        if after is None:
            continue
        before = case.entries.get(link.before)
        if before is None:
            boat = case.problem.jobs[link.before].boat
            if boat != after.job.boat or boat not in case.left_out:
                yield Breach(
                    rule="waits",
                    job=link.after,
                    boat=after.job.boat,
                    message=_("{title}: waits for {before}, which is not planned").format(
                        title=case.title(link.after), before=case.title(link.before)
                    ),
                    numbers={"other_job": link.before},
                    pins_alone=after.pinned,
                )
            continue
        yield from _wait(case, link, before, after)


def _wait(case: Case, link: Link, before: Entry, after: Entry) -> Iterator[Breach]:
    starts, bare_end = case.minute(after.starts_at), case.bare_end(before)
    both = before.pinned and after.pinned
    title = case.title(link.before)
    if link.min_wait is not None:
        over = bare_end
        if before.job.allowance_quarters and bare_end > case.problem.forecast_until:
            over = _after_allowance(case, before.ends_at, before.job.allowance_quarters)
        if starts < over + link.min_wait:
            numbers: dict[str, int | str] = {
                "other_job": link.before,
                "starts_minute": starts,
                "earliest_minute": over + link.min_wait,
            }
            yield case.breach(
                "waits", link.after, _("starts too soon after {before}").format(before=title), numbers, pins_alone=both
            )
    if link.max_wait is not None and starts > bare_end + link.max_wait:
        numbers = {"other_job": link.before, "starts_minute": starts, "latest_minute": bare_end + link.max_wait}
        yield case.breach(
            "waits", link.after, _("starts too late after {before}").format(before=title), numbers, pins_alone=both
        )


def _after_allowance(case: Case, position: int, quarters: int) -> int:
    """The clock minute at which this many quarters of the yard's hours are over; after the last day, counted on
    past every start there is."""
    calendar = case.problem.calendar
    closes = case.per_day if calendar.closes_quarter is None else calendar.closes_quarter
    minute = 0
    while quarters > 0:
        day, quarter = divmod(position, case.per_day)
        if day >= len(case.starts):
            return case.starts[-1] + (case.per_day + quarters + case.size) * MINUTES
        first = max(quarter, calendar.opens_quarter)
        taken = max(0, min(quarters, closes - first))
        quarters -= taken
        minute = case.starts[day] + (first + taken) * MINUTES
        position = (day + 1) * case.per_day
    return minute


def span(case: Case) -> Iterator[Breach]:
    """A job lasts as long as it takes, and pauses only where it may."""
    for placement in case.plan.placements:
        if case.names_known(placement) and not case.on_axis(placement):
            message = _("runs from {starts_at} to {ends_at}, which the calendar has not").format(
                starts_at=placement.starts_at, ends_at=placement.ends_at
            )
            yield case.breach("span", placement.job, message)
    for entry in case.entries.values():
        if entry.pinned:
            continue
        fault = _span_fault(case, entry)
        if fault is not None:
            numbers: dict[str, int | str] = {"starts_at": entry.starts_at, "ends_at": entry.ends_at}
            yield case.breach("span", entry.index, fault, numbers)


def _span_fault(case: Case, entry: Entry) -> str | None:
    starts, ends, quarters = entry.starts_at, entry.ends_at, entry.way.duration_quarters
    if entry.job.pausing == "fitted":
        if ends - starts != quarters:
            return _("takes {quarters} quarters, not {planned}").format(quarters=quarters, planned=ends - starts)
        return _("runs over the end of a day") if ends > case.day_end(starts) else None
    if entry.job.pausing == "elapsed":
        right = case.begins_from(case.bare_end(entry))
        return None if ends == right else _("is over at {right}, not at {ends}").format(right=right, ends=ends)
    counted = case.counted(entry.placement.people)
    if not counted[starts]:
        return _("starts when its people do not work")
    if not counted[ends - 1]:
        return _("ends when its people do not work")
    worked = counted.count(1, starts, ends)
    return (
        None
        if worked == quarters
        else _("takes {quarters} quarters of work, not {worked}").format(quarters=quarters, worked=worked)
    )
