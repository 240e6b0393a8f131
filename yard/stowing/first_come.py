"""First come: each boat on the day that her owner wants, or the next with room, into the first row that takes her."""

from __future__ import annotations

from collections import Counter

from yard.stowing.values import NoRoom, Store, StowPlan


def first_come(store: Store) -> StowPlan | NoRoom:
    """Rows are filled one after another; nobody asks when she leaves. The days keep each boat's dates if they can.

    Where her dates are full she comes as soon as there is room after them: a store filled so may break her last day.
    """
    days = _days(store)
    rows = [list(row) for row in store.standing]
    left = []
    for boat in sorted(days, key=lambda each: (days[each], each)):
        for number, row in enumerate(store.rows):
            if row.takes(store.boats[boat]) and store.holds(number, [*rows[number], boat]):
                rows[number].append(boat)
                break
        else:
            left.append(boat)
    if left:
        return NoRoom(tuple(left))
    return StowPlan(tuple(tuple(row) for row in rows), days)


def _days(store: Store) -> dict[int, int]:
    taken: Counter[int] = Counter()
    days: dict[int, int] = {}
    for boat in sorted(store.coming, key=lambda each: (store.boats[each].wanted, each)):
        first, last = store.boats[boat].comes
        day = min(max(store.boats[boat].wanted, first), last)
        while taken[day] >= store.most_a_day:
            day += 1
        taken[day] += 1
        days[boat] = day
    return days
