"""The exact program of one order under prices: her jobs as a forest, each by all of its starts, for each first day.

Flat sequences of integers and plain loops, so that numba compiles them; without it the interpreter runs the same.
Positions are the engine's (`day << shift | quarter`), money is in parts of a day's cost, prices are never negative.

A job's options stand together, mode after mode and in rising order of start: START, READY (the earliest start of the
job that follows), LATEST (its latest), END_DAY, and PRICE, which changes from round to round.  VALUE is worked out
here: the least price of a job at this option with all that lies before it.  In a forest every job is followed by one
other at most, so each job's least is a minimum over a window of the options of each job before it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

Ints = Any
"""A flat sequence of integers: an int64 array under numba, a list without."""

NEVER = 1 << 60


def _decorator() -> Callable[[F], F]:
    """numba's, where this source is loaded under the name that asks for it (see `sweeping.load`)."""
    if not __name__.endswith("_numba"):
        return lambda function: function
    from numba import njit

    decorator: Callable[[F], F] = njit(cache=True, nogil=True)
    return decorator


jit = _decorator()

# a job: first mode, end of its modes, first child (a job before it), end of its children, has a longest wait, is a root
T_MODE, T_MODES, T_CHILD, T_CHILDREN, T_TIED, T_ROOT = range(6)
T_STRIDE = 6
# an order: first job, end of its jobs, due day, price of a day late, of a day of flow, the day it began (or NEVER), its
# price when left out, first day on which it can begin, number of first days worth trying
R_JOB, R_JOBS, R_DUE, R_LATE, R_FLOW, R_BEGAN, R_OUT, R_FIRST, R_TRIES = range(9)
R_STRIDE = 10
# what is found: price, first day (-1: left out), last day
F_PRICE, F_FIRST, F_LAST = range(3)
F_STRIDE = 3


@jit
def first_from(start: Ints, low: int, high: int, position: int) -> int:
    """The first option of [low, high) that starts at or after a position."""
    while low < high:
        middle = (low + high) >> 1
        if start[middle] < position:
            low = middle + 1
        else:
            high = middle
    return low


@jit
def follow(C: Ints, V: Ints, LEAST: Ints, LINE: Ints, one: int, two: int, k: int, end: int, tied: int) -> None:
    """For each option of [one, two): into LEAST the cheapest of [k, end), the options of a job before it, in time.

    LINE is scratch: the options that may still be the cheapest, in rising order of start and of value.
    """
    START, READY, LATEST = C[0], C[1], C[2]
    if tied == 0:
        best = NEVER
        for i in range(one, two):
            t = START[i]
            while k < end and READY[k] <= t:
                best = min(best, V[k])
                k += 1
            LEAST[i] = min(LEAST[i], best)
        return
    head, tail = 0, 0
    for i in range(one, two):
        t = START[i]
        while k < end and READY[k] <= t:
            v = V[k]
            while tail > head and V[LINE[tail - 1]] >= v:
                tail -= 1
            LINE[tail] = k
            tail += 1
            k += 1
        while head < tail and LATEST[LINE[head]] < t:
            head += 1
        if head < tail:
            LEAST[i] = min(LEAST[i], V[LINE[head]])


@jit
def value(C: Ints, T: Ints, M: Ints, PRICE: Ints, W: Ints, row: int, lo: int, hi: int) -> None:
    """The values of the options of one job that start in [lo, hi); those of the jobs before it are known."""
    START, V, LEAST, LINE = C[0], W[0], W[1], W[2]
    for m in range(T[row + T_MODE], T[row + T_MODES]):
        one = first_from(START, M[m], M[m + 1], lo)
        two = first_from(START, one, M[m + 1], hi)
        for i in range(one, two):
            V[i] = PRICE[i]
        for child in range(T[row + T_CHILD], T[row + T_CHILDREN]):
            for i in range(one, two):
                LEAST[i] = NEVER
            below = child * T_STRIDE
            for n in range(T[below + T_MODE], T[below + T_MODES]):
                k = first_from(START, M[n], M[n + 1], lo)
                follow(
                    C,
                    V,
                    LEAST,
                    LINE,
                    one,
                    two,
                    k,
                    M[n + 1] if hi >= NEVER else first_from(START, k, M[n + 1], hi),
                    T[below + T_TIED],
                )
            for i in range(one, two):
                V[i] = min(NEVER, V[i] + LEAST[i])


@jit
def by_last_day(C: Ints, T: Ints, M: Ints, PRICE: Ints, W: Ints, R: Ints, row: int, days: Ints) -> None:
    """Into W[3], for each last day of [first, until): the least price of the whole order that ends by then.

    days: first, until and the shift of a position.
    """
    first, until, shift = days
    END_DAY, START, V, ALL, ONE = C[3], C[0], W[0], W[3], W[4]
    lo, hi = first << shift, until << shift
    for day in range(first, until):
        ALL[day] = 0
    for job in range(R[row + R_JOB], R[row + R_JOBS]):
        at = job * T_STRIDE
        value(C, T, M, PRICE, W, at, lo, hi)
        if T[at + T_ROOT] == 0:
            continue
        for day in range(first, until):
            ONE[day] = NEVER
        for m in range(T[at + T_MODE], T[at + T_MODES]):
            for i in range(first_from(START, M[m], M[m + 1], lo), first_from(START, M[m], M[m + 1], hi)):
                if END_DAY[i] < until and V[i] < ONE[END_DAY[i]]:
                    ONE[END_DAY[i]] = V[i]
        least = NEVER
        for day in range(first, until):
            least = min(least, ONE[day])
            ALL[day] = min(NEVER, ALL[day] + least)


@jit
def own_price(R: Ints, row: int, first: int, last: int) -> int:
    """What an order costs by itself from its first to its last day."""
    late: int = R[row + R_LATE] * max(0, last - R[row + R_DUE])
    flow: int = R[row + R_FLOW] * (last - min(first, R[row + R_BEGAN]))
    return late + flow


@jit
def last_worth(R: Ints, row: int, first: int, until: int, price: int) -> int:
    """The day after the last on which an order that begins on `first` can end below this price."""
    low, high = first, until
    while low < high:
        middle: int = (low + high) >> 1
        if own_price(R, row, first, middle) < price:
            low = middle + 1
        else:
            high = middle
    return low


@jit
def of_any_first_day(
    C: Ints, T: Ints, M: Ints, PRICE: Ints, W: Ints, R: Ints, row: int, tries: Ints, days: int, shift: int, best: int
) -> int:
    """Into W[5], for each last day that could pay: the least price of the order, whenever it begins.

    Gives the day after the last of them, or 0 where none could.
    """
    listed, earliest, until = (row // R_STRIDE) * days, R[row + R_FIRST], 0
    for x in range(R[row + R_TRIES]):
        if tries[1][listed + x] >= best:
            break
        until = max(until, last_worth(R, row, tries[0][listed + x], days, best))
    if until <= earliest:
        return 0
    by_last_day(C, T, M, PRICE, W, R, row, (earliest, until, shift))
    for day in range(earliest, until):
        W[5][day] = W[3][day]
    return until


@jit
def could_pay(W: Ints, R: Ints, row: int, first: int, until: int, best: int) -> bool:
    for day in range(first, until):  # noqa: SIM110 - numba has no generators here
        if W[5][day] < NEVER and own_price(R, row, first, day) + W[5][day] < best:
            return True
    return False


@jit
def from_first_day(
    C: Ints,
    T: Ints,
    M: Ints,
    PRICE: Ints,
    W: Ints,
    R: Ints,
    row: int,
    first: int,
    FOUND: Ints,
    at: int,
    days: int,
    shift: int,
) -> None:
    """Keep in FOUND[at ...] what the order costs when it begins on `first` or later, if that is cheaper."""
    until = last_worth(R, row, first, days, FOUND[at + F_PRICE])
    if until <= first:
        return
    by_last_day(C, T, M, PRICE, W, R, row, (first, until, shift))
    for day in range(first, until):
        if W[3][day] < NEVER and own_price(R, row, first, day) + W[3][day] < FOUND[at + F_PRICE]:
            FOUND[at + F_PRICE] = own_price(R, row, first, day) + W[3][day]
            FOUND[at + F_FIRST], FOUND[at + F_LAST] = first, day


@jit
def cheapest(
    C: Ints,
    T: Ints,
    M: Ints,
    PRICE: Ints,
    W: Ints,
    R: Ints,
    row: int,
    tries: Ints,
    FOUND: Ints,
    at: int,
    days: int,
    shift: int,
) -> None:
    """The cheapest way through the season for one order, into FOUND[at ...].

    tries: for each order and day, the first days in rising order of what they cost without prices, and those costs.
    Starts from the first day of the last round.  A first day is passed over where the order costs as much without
    prices, or where it does with the prices of one that may begin on any day.
    """
    guess = FOUND[at + F_FIRST]
    FOUND[at + F_PRICE], FOUND[at + F_FIRST], FOUND[at + F_LAST] = R[row + R_OUT], -1, -1
    if guess >= 0:
        from_first_day(C, T, M, PRICE, W, R, row, guess, FOUND, at, days, shift)
    end = of_any_first_day(C, T, M, PRICE, W, R, row, tries, days, shift, FOUND[at + F_PRICE])
    listed = (row // R_STRIDE) * days
    for turn in range(R[row + R_TRIES]):
        best = FOUND[at + F_PRICE]
        if end == 0 or tries[1][listed + turn] >= best:
            break
        first = tries[0][listed + turn]
        if first != guess and could_pay(W, R, row, first, min(end, last_worth(R, row, first, days, best)), best):
            from_first_day(C, T, M, PRICE, W, R, row, first, FOUND, at, days, shift)


@jit
def trace(
    C: Ints, T: Ints, M: Ints, PRICE: Ints, W: Ints, R: Ints, row: int, first: int, last: int, shift: int, CHOSEN: Ints
) -> None:
    """Into CHOSEN[job]: the option of each job in the cheapest way from `first` to `last` (-1: none)."""
    START, READY, LATEST, END_DAY, V = C[0], C[1], C[2], C[3], W[0]
    for job in range(R[row + R_JOB], R[row + R_JOBS]):
        CHOSEN[job] = -1
    if first < 0:
        return
    lo, hi = first << shift, (last + 1) << shift
    by_last_day(C, T, M, PRICE, W, R, row, (first, last + 1, shift))
    for job in range(R[row + R_JOBS] - 1, R[row + R_JOB] - 1, -1):
        at = job * T_STRIDE
        if T[at + T_ROOT] != 0:
            pick = -1
            for m in range(T[at + T_MODE], T[at + T_MODES]):
                for i in range(first_from(START, M[m], M[m + 1], lo), first_from(START, M[m], M[m + 1], hi)):
                    if END_DAY[i] <= last and (pick < 0 or V[i] < V[pick]):
                        pick = i
            CHOSEN[job] = pick
        t = START[CHOSEN[job]]
        for child in range(T[at + T_CHILD], T[at + T_CHILDREN]):
            below = child * T_STRIDE
            pick = -1
            for m in range(T[below + T_MODE], T[below + T_MODES]):
                for i in range(first_from(START, M[m], M[m + 1], lo), first_from(START, M[m], M[m + 1], hi)):
                    if READY[i] > t:
                        break
                    if LATEST[i] >= t and (pick < 0 or V[i] < V[pick]):
                        pick = i
            CHOSEN[child] = pick


@jit
def sweep(
    C: Ints,
    T: Ints,
    M: Ints,
    PRICE: Ints,
    W: Ints,
    R: Ints,
    tries: Ints,
    FOUND: Ints,
    CHOSEN: Ints,
    days: int,
    shift: int,
) -> None:
    """Every order once: what it costs at these prices, and the options that it takes."""
    for order in range(len(R) // R_STRIDE):
        row, at = order * R_STRIDE, order * F_STRIDE
        cheapest(C, T, M, PRICE, W, R, row, tries, FOUND, at, days, shift)
        trace(C, T, M, PRICE, W, R, row, FOUND[at + F_FIRST], FOUND[at + F_LAST], shift, CHOSEN)


@jit
def ends_alone(C: Ints, T: Ints, M: Ints, PRICE: Ints, W: Ints, R: Ints, LAST: Ints, days: int, shift: int) -> None:
    """Into LAST, by order and first day: the earliest last day of an order that nobody else is in the way of."""
    for order in range(len(R) // R_STRIDE):
        row = order * R_STRIDE
        for first in range(days):
            LAST[order * days + first] = -1
        low = R[row + R_FIRST]
        for first in range(low, days):
            until = min(days, first + 8)
            found = -1
            while found < 0:
                by_last_day(C, T, M, PRICE, W, R, row, (first, until, shift))
                for day in range(first, until):
                    if W[3][day] < NEVER:
                        found = day
                        break
                if until == days:
                    break
                until = min(days, first + 2 * (until - first))
            if found < 0:
                break
            LAST[order * days + first] = found
