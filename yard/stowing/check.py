"""The check of a store plan, and the count of its extra moves: it shares no code with what plans.

Every sentence names a boat and a row. The count walks through the steps as people and trailer would: who stands behind
another cannot be taken out, and who is on the apron stands there until she is put into a row.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from yard.speech import _, gettext_noop, number
from yard.stowing.values import NoLimit, Step, Store, StowPlan

TINY = 1e-6
TOO_LONG = gettext_noop("{boat} is too long for {row}: {value} m, it takes {limit} m")
TOO_WIDE = gettext_noop("{boat} is too wide for {row}: {value} m, it takes {limit} m")
TOO_HIGH = gettext_noop("{boat} is too high for {row}: {value} m, it takes {limit} m")


class WrongStep(ValueError):
    """A step that cannot be done as the store stands by then."""


def plan_faults(store: Store, plan: StowPlan) -> list[str]:
    """What is wrong with a plan, in sentences; none where it keeps everything."""
    return [
        *_everybody_once(store, plan),
        *_those_that_stand(store, plan),
        *(fault for row in range(len(store.rows)) for fault in _too_big(store, plan, row)),
        *_days(store, plan),
    ]


def _everybody_once(store: Store, plan: StowPlan) -> Iterator[str]:
    if len(plan.layout) != len(store.rows):
        yield _("the plan has {planned} rows, the store {rows}").format(planned=len(plan.layout), rows=len(store.rows))
        return
    seen = Counter(boat for row in plan.layout for boat in row)
    for boat, one in enumerate(store.boats):
        if seen[boat] != 1:
            yield _("{boat} stands in {n} places").format(boat=one.name, n=seen[boat])


def _those_that_stand(store: Store, plan: StowPlan) -> Iterator[str]:
    for row, here in enumerate(store.standing):
        if row < len(plan.layout) and tuple(plan.layout[row][: len(here)]) != tuple(here):
            yield _("{row}: a boat that stands there already would have to be moved").format(row=store.rows[row].name)


def _too_big(store: Store, plan: StowPlan, row: int) -> Iterator[str]:
    if row >= len(plan.layout):
        return
    limits, boats = store.rows[row], [store.boats[boat] for boat in plan.layout[row]]
    if len(boats) > limits.most:
        yield _("{row} holds {most}, not {count}").format(row=limits.name, most=limits.most, count=len(boats))
    placed_here = set(plan.layout[row]) - set(store.standing[row])
    for boat in placed_here:
        one = store.boats[boat]
        for what, value, limit in (
            (TOO_LONG, one.length_m, limits.longest_m),
            (TOO_LONG, one.length_m, limits.length_m),
            (TOO_WIDE, one.width_m, limits.width_m),
            (TOO_HIGH, one.height_m, limits.height_m),
        ):
            if not isinstance(value, NoLimit) and not isinstance(limit, NoLimit) and value > limit + TINY:
                yield _(what).format(boat=one.name, row=limits.name, value=number(value, 2), limit=number(limit, 2))
    if placed_here and store.end_to_end and not isinstance(limits.length_m, NoLimit):
        taken = sum(one.length_m for one in boats) + store.gap_m * max(0, len(boats) - 1)
        if taken > limits.length_m + TINY:
            yield _("{row} is {length} m long, its boats take {taken} m").format(
                row=limits.name, length=number(limits.length_m, 2), taken=number(taken, 2)
            )


def _days(store: Store, plan: StowPlan) -> Iterator[str]:
    here = {boat for row in store.standing for boat in row}
    for boat, one in enumerate(store.boats):
        if boat in here:
            continue
        if boat not in plan.days:
            yield _("{boat} has no day").format(boat=one.name)
        elif not one.comes[0] <= plan.days[boat] <= one.comes[1]:
            yield _("{boat} comes on day {day}, she may come from {first} to {last}").format(
                boat=one.name, day=plan.days[boat], first=one.comes[0], last=one.comes[1]
            )
    for day, count in sorted(Counter(day for boat, day in plan.days.items() if boat not in here).items()):
        if count > store.most_a_day:
            yield _("{n} boats come on day {day}, {most} can").format(n=count, day=day, most=store.most_a_day)
    for row in plan.layout:
        days = [(plan.days[boat], boat) for boat in row if boat not in here and boat in plan.days]
        for (inner, below), (outer, above) in pairwise(days):
            if outer < inner:
                yield _("{boat} is to stand before {inner}, who comes after her").format(
                    boat=store.boats[above].name, inner=store.boats[below].name
                )


def count_extra_moves(store: Store, plan: StowPlan, order: Sequence[int], steps: Sequence[Step]) -> int:
    """Walk through the steps from the filled store to the empty one; how often a boat is taken out and not away.

    Raises WrongStep where a step cannot be done, somebody leaves out of turn, or the store is not empty at the end.
    """
    rows = [list(row) for row in plan.layout]
    apron: list[int] = []
    due = list(order)
    extra = 0
    for nth, step in enumerate(steps):
        row, name = rows[step.row], store.boats[step.boat].name
        if step.do == "in":
            if step.boat not in apron:
                raise WrongStep(f"step {nth}: {name} is not on the apron")
            apron.remove(step.boat)
            row.append(step.boat)
            _must_fit(store, step, row, nth)
            continue
        if not row or row[-1] != step.boat:
            raise WrongStep(f"step {nth}: {name} is not the outermost of {store.rows[step.row].name}")
        row.pop()
        if step.do == "out":
            apron.append(step.boat)
            extra += 1
            _must_have_room(store, apron, steps[nth + 1 : nth + 2], nth)
        elif not due or due.pop(0) != step.boat:
            raise WrongStep(f"step {nth}: {name} leaves out of turn")
    if apron or due or any(rows):
        raise WrongStep("the store is not empty at the end")
    return extra


def _must_fit(store: Store, step: Step, row: Sequence[int], nth: int) -> None:
    limits, boat = store.rows[step.row], store.boats[step.boat]
    long = sum(store.boats[each].length_m for each in row) + store.gap_m * (len(row) - 1)
    for value, limit in (
        (float(len(row)), float(limits.most)),
        (boat.length_m, limits.longest_m),
        (long if store.end_to_end else boat.length_m, limits.length_m),
        (boat.width_m, limits.width_m),
        (boat.height_m, limits.height_m),
    ):
        if not isinstance(value, NoLimit) and not isinstance(limit, NoLimit) and value > limit + TINY:
            raise WrongStep(f"step {nth}: {boat.name} does not fit in {limits.name}")


def _must_have_room(store: Store, apron: Sequence[int], following: Sequence[Step], nth: int) -> None:
    """One boat may hang on the trailer on her way to another row; the others stand on the apron."""
    on_the_way = bool(following) and following[0].do == "in" and following[0].boat == apron[-1]
    if len(apron) - on_the_way > store.aside:
        raise WrongStep(f"step {nth}: the apron holds {store.aside}")
