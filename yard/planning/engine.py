"""The engine: places jobs on bit words, and improves a plan by taking boats out and putting them back.

One source for two backends (see `backend`): it is written in the narrow part of Python that means the same to numba
and to the interpreter: two flat sequences of integers, `while` and `for range`, no float, no slice, no exception,
no numpy.  A call costs the compiled engine more than a branch, and a tuple or an object much more; so a few functions
are longer than this project's 40 lines, and rows are read by number: the numbers have names below.

`G` never changes during a run: a header of offsets, then tables (`layout` builds it).  `S` is the state of one thread:
free words (one word a day and row, bit q = quarter q is free), what each job holds, costs, saved copies, scratch.

Positions here are `day << SHIFT | quarter`; an end is the last quarter's position + 1.  Intervals are half-open.
The method is ruin and recreate (Schrimpf et al., J. Comput. Phys. 159, 2000; blinks and boats near in time after
Christiaens and Vanden Berghe, Transp. Sci. 54, 2020) under simulated annealing; boats are cut at a moment, not always
taken out whole.  Hall's condition on sets of needs keeps named people exact.

One file, though it is long: numba looks at the file of a compiled function, and not at those of the functions that it
calls, to see whether its stored machine code is out of date ("Notes on caching" in numba's manual).  Spread over
several files, a changed rule would go on being planned with as it was.  Its parts, each under a heading, call upward:

    G, S                        the tables and the state, by number
    words                       runs of free quarters in a word; where a way of doing a job may start on one day
    find                        the first or last such start from a day on
    stays by night              berths, counted night by night
    taking and giving back      a job placed: people named, places and quarters taken; taken out again
    when may it start           what links, dates and limits leave of the axis, and the best start in it
    putting back a queue        several jobs in the order of their links
    cost                        of orders, boats and the whole
    ruin and recreate           whom to take out, and whether to keep what came of it
    what the driver calls       construct, start_search, improve
"""

from __future__ import annotations

from yard.planning import backend

_tools = backend.tools(__name__)
entry, jit, words = _tools.entry, _tools.jit, _tools.words
low, high, count = _tools.low, _tools.high, _tools.count

Ints = list[int]  # numpy.ndarray of int64 under numba

# --- G: header ---
SHIFT, QUARTERS, DAYS, FULL, ROWS, JOBS, UNITS, ORDERS, PEOPLE, STAYS = range(10)
JOB, ORDER, UNIT, PERSON, STAY, LIVE, LIVES, LOGS, WEEK, WEEK_DAYS = range(10, 20)
# offsets into S
FREE, NIGHTS, HELD, SAVED, BEST, TRIED, BERTH, BERTH_SAVED, BERTH_BEST, BERTH_TRIED = range(20, 30)
COST, PENDING, MOVABLE, FLOOR, CEILING, CAP, QUEUE, POSITION, RUNS, COUNTERS = range(30, 40)
CHOSEN, REMOVED, REMOVED_COUNT, SLID, HELD_STRIDE, LEFT_COST, SORT_KEY, ORDER_IN, LEVELS = range(40, 49)
# where a plan is to be disturbed as little as may be (`homes`); HOMES 0: it need not be
HOMES, UNIT_MOVED, JOB_MOVED = range(49, 52)
# from this row on, units are not given back before the day is over: what a charge gives is spent
CHARGED = 52
HEADER = 64

# a job's row in G
J_MODES, J_MODE_COUNT, J_ORDER, J_UNIT, J_BEFORE, J_BEFORE_COUNT, J_AFTER, J_AFTER_COUNT = 0, 1, 2, 3, 4, 5, 6, 7
J_TAIL, J_FROM, J_FROM_COUNT, J_UNTIL, J_UNTIL_COUNT, J_PINNED, J_ELAPSED = 8, 9, 10, 11, 12, 13, 14
JOB_STRIDE = 16
# a mode: a way of doing a job by people of one class of hours
K_SPAN, K_LENGTH, K_DOMAIN, K_LO, K_HI, K_WAY, K_END, K_LAST, K_LAST_HOLD, K_EXTRA, K_PEOPLE, K_PEOPLE_COUNT = range(12)
K_GROUPS, K_GROUP_COUNT, K_NEEDS, K_NEED_COUNT, K_PLACES, K_PLACE_COUNT, K_SHORTEST = range(12, 19)
MODE_STRIDE = 20
GROUP_STRIDE = 5  # how many, mask, needs in it, number of members, their list
PLACE_STRIDE = 3  # whether the place stays taken for the extra quarters, alternatives, their list
ALTERNATIVE_STRIDE = 4  # first row, units, units needed, row of its open hours or -1
LINK_STRIDE = 8
L_BEFORE, L_AFTER, L_EARLIEST, L_EARLIEST_INVERSE, L_LATEST, L_LATEST_INVERSE, L_WAY, L_ELAPSED = 0, 1, 2, 3, 4, 5, 6, 7
U_JOBS, U_JOB_COUNT, U_ORDERS, U_ORDER_COUNT, U_FRONT, U_FRONT_COUNT = 0, 1, 2, 3, 4, 5
UNIT_STRIDE = 6
O_DUE, O_LATE, O_FLOW, O_BEGAN, O_RELEASE, O_JOBS, O_JOB_COUNT = 0, 1, 2, 3, 4, 5, 6
ORDER_STRIDE = 8
P_ROW, P_SLIDE_ROW, P_PAUSE_ROW, P_TRACKED, P_TAKEN, P_WORKED, P_NORMAL, P_PRESENT, P_WIDE = 0, 1, 2, 3, 4, 5, 6, 7, 8
P_SPAN, P_PER_WEEK, P_SLID, P_SKILLS = 9, 10, 11, 12
PERSON_STRIDE = 14
N_FROM, N_UNTIL, N_COUNT, N_PLACES = 0, 1, 2, 3
STAY_STRIDE = 4
# a job's home: where the plan before has it (-1: nowhere), and the days [from, to] on which it is not disturbed
A_START, A_FROM, A_TO = 0, 1, 2
HOME_STRIDE = 3

# --- S: registers ---
RANDOM, SEARCH, TRUE, LEAST, TEMPERATURE, LIMIT, PLAIN, BLINK = range(8)
LO, HI, MODE, LEFT, FLOWING, ROUNDS, KEPT, FAILED_JOB = range(8, 16)
UNIT_SEARCH, UNIT_TRUE, UNIT_FIRST, UNIT_LAST, SPENT, LEAST_SEARCH, HOMING = range(16, 23)
REGISTERS = 32
# what a job holds: start (-1: not placed), end, mode, how many rows, then the rows: a person p as -1 - p, a place's row
# r as 2 r, or 2 r + 1 where it stays taken for the extra quarters
H_START, H_END, H_MODE, H_COUNT, H_ROWS = 0, 1, 2, 3, 4
COST_STRIDE = 8
MAX_LIFTS = 25
FAR = 1 << 40


# --- words ---
@jit
def draw(S: Ints, n: int) -> int:
    """A random number in [0, n): xorshift32 (Marsaglia, J. Stat. Softw. 8(14), 2003), no wrap at 64 bits."""
    x = S[RANDOM]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    S[RANDOM] = x
    return (x * n) >> 32


@jit
def run_of(word: int, length: int) -> int:
    """Bits from which `length` set bits follow one another."""
    have = 1
    while have < length and word != 0:
        shift = min(have, length - have)
        word &= word >> shift
        have += shift
    return word


@jit
def run_held(word: int, length: int, full: int) -> int:
    """The same, where everything after the end of the day counts as set."""
    have = 1
    while have < length and word != 0:
        shift = min(have, length - have)
        word &= (word >> shift) | (full & ~(full >> shift))
        have += shift
    return word


@jit
def span_starts(G: Ints, S: Ints, row: int, day: int, ends: int, last: int) -> int:
    """Starts on `day` of a job that goes on over nights, as far as this row is free until it ends.

    ends: table of the end for each start.  last: table of the last start for each first taken position.
    """
    rows, full, shift, days = G[ROWS], G[FULL], G[SHIFT], G[DAYS]
    at = G[FREE] + row
    word = S[at + day * rows]
    if word == 0:
        return 0
    base = day << shift
    taken = full & ~word
    tail = full
    if taken != 0:
        tail = full & ~((2 << high(taken)) - 1)
    starts = 0
    if tail != 0:
        stop = min(days - 1, (G[ends + base + G[QUARTERS] - 1] - 1) >> shift)
        x = day + 1
        while x <= stop and S[at + x * rows] == full:
            x += 1
        edge = x << shift
        if x <= stop:
            edge += low(full & ~S[at + x * rows])
        latest = G[last + edge] - base
        if latest >= low(tail):
            starts = tail & ((2 << min(latest, G[QUARTERS] - 1)) - 1)
    rest = word & ~tail
    while rest != 0:
        first = low(rest)
        edge = low(full & ~rest & ~((1 << first) - 1))
        latest = min(G[last + base + edge] - base, edge - 1)
        if latest >= first:
            starts |= ((2 << latest) - 1) & ~((1 << first) - 1)
        rest &= ~((1 << edge) - 1)
    return starts


@jit
def starts_of(G: Ints, S: Ints, mode: int, row: int, day: int, held: int) -> int:
    """Starts on `day` from which this row is free for the job; `held`: and for the place's extra quarters."""
    if G[mode + K_SPAN] != 0:
        return span_starts(G, S, row, day, G[mode + K_END], G[mode + K_LAST_HOLD] if held != 0 else G[mode + K_LAST])
    word = S[G[FREE] + day * G[ROWS] + row]
    if row >= G[CHARGED]:
        return run_held(word, G[QUARTERS], G[FULL])
    if held != 0 and G[mode + K_EXTRA] != 0:
        return run_held(word, min(G[QUARTERS], G[mode + K_LENGTH] + G[mode + K_EXTRA]), G[FULL])
    return run_of(word, G[mode + K_LENGTH])


@jit
def at_least(S: Ints, counters: int, k: int, word: int) -> None:
    """Add a word to bit-sliced counters of 1 to k."""
    for i in range(k - 1, 0, -1):
        S[counters + i] |= S[counters + i - 1] & word
    S[counters] |= word


@jit
def place_starts(G: Ints, S: Ints, mode: int, day: int, alternative: int, held: int, wanted: int) -> int:
    """Starts for which this place has enough units free and is open."""
    first, needed = G[alternative], G[alternative + 2]
    found = 0
    if needed == 1:
        for unit in range(G[alternative + 1]):
            found |= starts_of(G, S, mode, first + unit, day, held)
            if wanted & ~found == 0:
                break
    else:
        counters = G[COUNTERS]
        for i in range(needed):
            S[counters + i] = 0
        for unit in range(G[alternative + 1]):
            at_least(S, counters, needed, starts_of(G, S, mode, first + unit, day, held))
        found = S[counters + needed - 1]
    if G[alternative + 3] >= 0 and found != 0:
        found &= starts_of(G, S, mode, G[alternative + 3], day, 0)
    return found


@jit
def with_places(G: Ints, S: Ints, mode: int, day: int, word: int) -> int:
    for i in range(G[mode + K_PLACE_COUNT]):
        need = G[mode + K_PLACES] + i * PLACE_STRIDE
        found = 0
        for a in range(G[need + 1]):
            found |= place_starts(G, S, mode, day, G[need + 2] + a * ALTERNATIVE_STRIDE, G[need], word)
            if word & ~found == 0:
                break
        word &= found
        if word == 0:
            break
    return word


@jit
def with_people(G: Ints, S: Ints, mode: int, day: int, word: int) -> int:
    """Hall's condition: for each set of needs, enough people free who can fill one of them."""
    members = G[mode + K_PEOPLE]
    groups = G[mode + K_GROUPS]
    if G[mode + K_GROUP_COUNT] == 1 and G[groups] == 1:
        found = 0
        for i in range(G[mode + K_PEOPLE_COUNT]):
            found |= starts_of(G, S, mode, G[members + 2 * i + 1], day, 0)
            if word & ~found == 0:
                return word
        return word & found
    runs = G[RUNS]
    for i in range(G[mode + K_PEOPLE_COUNT]):
        S[runs + i] = starts_of(G, S, mode, G[members + 2 * i + 1], day, 0)
    for g in range(G[mode + K_GROUP_COUNT]):
        group = groups + g * GROUP_STRIDE
        k, among, listed = G[group], G[group + 3], G[group + 4]
        if k == 1:
            found = 0
            for i in range(among):
                found |= S[runs + G[listed + i]]
            word &= found
        elif k == 2:
            found = 0
            once = 0
            for i in range(among):
                free = S[runs + G[listed + i]]
                found |= once & free
                once |= free
            word &= found
        else:
            counters = G[COUNTERS]
            for i in range(k):
                S[counters + i] = 0
            for i in range(among):
                at_least(S, counters, k, S[runs + G[listed + i]])
            word &= S[counters + k - 1]
        if word == 0:
            break
    return word


# --- find ---
@jit
def starts_on(G: Ints, S: Ints, mode: int, day: int, lo: int, hi: int) -> int:
    """All starts of this mode on this day within [lo, hi]."""
    word = G[G[mode + K_DOMAIN] + day]
    if word == 0:
        return 0
    shift = G[SHIFT]
    inside = (1 << shift) - 1
    if day == lo >> shift:
        word &= ~((1 << (lo & inside)) - 1)
    if day == hi >> shift:
        word &= (2 << min(hi & inside, G[QUARTERS] - 1)) - 1
    if word != 0 and G[mode + K_PLACE_COUNT] != 0:
        word = with_places(G, S, mode, day, word)
    if word != 0 and G[mode + K_PEOPLE_COUNT] != 0:
        word = with_people(G, S, mode, day, word)
    return word


@jit
def find_first(G: Ints, S: Ints, mode: int, lo: int, hi: int) -> int:
    """The earliest start in [lo, hi], or -1."""
    shift = G[SHIFT]
    domain = G[mode + K_DOMAIN]
    for day in range(lo >> shift, (hi >> shift) + 1):
        if G[domain + day] != 0:
            word = starts_on(G, S, mode, day, lo, hi)
            if word != 0 and (S[BLINK] == 0 or draw(S, 10) != 0):
                return (day << shift) + low(word)
    return -1


@jit
def find_last(G: Ints, S: Ints, mode: int, lo: int, hi: int) -> int:
    """The latest start in [lo, hi], or -1."""
    shift = G[SHIFT]
    domain = G[mode + K_DOMAIN]
    for day in range(hi >> shift, (lo >> shift) - 1, -1):
        if G[domain + day] != 0:
            word = starts_on(G, S, mode, day, lo, hi)
            if word != 0 and (S[BLINK] == 0 or draw(S, 10) != 0):
                return (day << shift) + high(word)
    return -1


@jit
def end_of(G: Ints, mode: int, start: int) -> int:
    if G[mode + K_SPAN] != 0:
        return G[G[mode + K_END] + start]
    return start + G[mode + K_LENGTH]


@jit
def hold_end(G: Ints, mode: int, row: int, end: int) -> int:
    """How long a place's row stays taken: the extra quarters, at most to the end of the day of the last quarter."""
    extra = G[mode + K_EXTRA]
    if row >= G[CHARGED]:
        extra = G[QUARTERS]
    if extra == 0:
        return end
    return min(end + extra, (((end - 1) >> G[SHIFT]) << G[SHIFT]) + G[QUARTERS])


# --- stays by night ---
@jit
def first_full(G: Ints, S: Ints, place: int, night: int) -> int:
    """The first full night of a place from this one on (`DAYS` where there is none)."""
    at = G[NIGHTS] + place * G[DAYS]
    while night < G[DAYS] and S[at + night] > 0:
        night += 1
    return night


@jit
def last_full(G: Ints, S: Ints, place: int, night: int) -> int:
    """The last full night of a place before this one (-1 where there is none)."""
    at = G[NIGHTS] + place * G[DAYS]
    night -= 1
    while night >= 0 and S[at + night] > 0:
        night -= 1
    return night


@jit
def last_leaving_day(G: Ints, S: Ints, stay: int, day: int) -> int:
    """The last day on which she may leave, having come on `day`: the first full night of the best place."""
    best = -1
    for i in range(G[stay + N_COUNT]):
        best = max(best, first_full(G, S, G[G[stay + N_PLACES] + i], day))
    return best


@jit
def first_coming_day(G: Ints, S: Ints, stay: int, day: int) -> int:
    """The first day on which she may come, leaving on `day`."""
    best = FAR
    for i in range(G[stay + N_COUNT]):
        best = min(best, last_full(G, S, G[G[stay + N_PLACES] + i], day) + 1)
    return best


@jit
def stay_from(G: Ints, S: Ints, stay: int) -> int:
    """First night, or -1 while the job that begins the stay is not placed."""
    job = G[stay + N_FROM]
    if job < 0:
        return 0
    held = G[HELD] + job * G[HELD_STRIDE]
    return -1 if S[held] < 0 else (S[held + H_END] - 1) >> G[SHIFT]


@jit
def stay_until(G: Ints, S: Ints, stay: int) -> int:
    """The night after the last, or -1 while the job that ends the stay is not placed."""
    job = G[stay + N_UNTIL]
    if job < 0:
        return G[DAYS]
    held = G[HELD] + job * G[HELD_STRIDE]
    return -1 if S[held] < 0 else S[held] >> G[SHIFT]


@jit
def count_nights(G: Ints, S: Ints, place: int, first: int, until: int, change: int) -> None:
    at = G[NIGHTS] + place * G[DAYS]
    for night in range(first, until):
        S[at + night] += change


@jit
def leave_stay(G: Ints, S: Ints, number: int) -> None:
    place = S[G[BERTH] + number]
    if place >= 0:
        stay = G[STAY] + number * STAY_STRIDE
        count_nights(G, S, place, stay_from(G, S, stay), stay_until(G, S, stay), 1)
        S[G[BERTH] + number] = -1


@jit
def take_stay(G: Ints, S: Ints, number: int, wanted: int) -> int:
    """Book the nights, once both jobs are placed; `wanted` is a place or -1. Gives 0 if every place is full."""
    stay = G[STAY] + number * STAY_STRIDE
    first, until = stay_from(G, S, stay), stay_until(G, S, stay)
    if first < 0 or until < 0 or S[G[BERTH] + number] >= 0:
        return 1
    if wanted >= 0:
        S[G[BERTH] + number] = wanted
        count_nights(G, S, wanted, first, until, -1)
        return 1
    options = G[stay + N_COUNT]
    turn = 0 if S[PLAIN] != 0 else draw(S, options)
    for i in range(options):
        place = G[G[stay + N_PLACES] + (i + turn) % options]
        if until <= first or first_full(G, S, place, first) >= until:
            S[G[BERTH] + number] = place
            count_nights(G, S, place, first, until, -1)
            return 1
    return 0


# --- taking and giving back ---
@jit
def flip(G: Ints, S: Ints, row: int, start: int, end: int) -> None:
    """Turn the bits of [start, end) of a row."""
    rows, shift, quarters = G[ROWS], G[SHIFT], G[QUARTERS]
    inside = (1 << shift) - 1
    at = G[FREE] + row
    day, last = start >> shift, (end - 1) >> shift
    if day == last:
        S[at + day * rows] ^= ((1 << (end - start)) - 1) << (start & inside)
        return
    S[at + day * rows] ^= G[FULL] & ~((1 << (start & inside)) - 1)
    for x in range(day + 1, last):
        S[at + x * rows] ^= G[FULL]
    S[at + last * rows] ^= (1 << min(quarters, ((end - 1) & inside) + 1)) - 1


@jit
def freshen(G: Ints, S: Ints, person: int, day: int) -> None:
    """Work out a tracked person's free words of one day: in normal hours, with a slide, for work that pauses."""
    row = G[PERSON] + person * PERSON_STRIDE
    at = G[FREE] + day * G[ROWS]
    full = G[FULL]
    taken, worked = S[at + G[row + P_TAKEN]], S[at + G[row + P_WORKED]]
    normal, present = G[G[row + P_NORMAL] + day], G[G[row + P_PRESENT] + day]
    near = full
    if G[row + P_SPAN] >= 0 and worked != 0:
        span = G[G[row + P_SPAN] + day]
        near = (1 << min(G[QUARTERS], low(worked) + span)) - 1
        before = high(worked) + 1 - span
        if before > 0:
            near &= ~((1 << before) - 1)
    S[at + G[row + P_ROW]] = normal & present & ~taken & near
    S[at + G[row + P_PAUSE_ROW]] = full & ~taken & ~(normal & ~(present & near))
    if G[row + P_SLIDE_ROW] >= 0:
        wide = normal
        slid = S[G[SLID] + G[row + P_SLID] + G[G[WEEK] + day]]
        if slid < G[row + P_PER_WEEK] or (worked & ~normal) != 0:
            wide = G[G[row + P_WIDE] + day]
        S[at + G[row + P_SLIDE_ROW]] = wide & present & ~taken & near


@jit
def take_person(G: Ints, S: Ints, person: int, mode: int, start: int, end: int) -> None:
    """Take or give back a person over [start, end): the same act twice undoes it."""
    row = G[PERSON] + person * PERSON_STRIDE
    if G[row + P_TRACKED] == 0:
        flip(G, S, G[row + P_ROW], start, end)
        return
    rows, shift = G[ROWS], G[SHIFT]
    first, last = start >> shift, (end - 1) >> shift
    for day in range(first, last + 1):
        lo = max(start, day << shift)
        hi = min(end, (day << shift) + G[QUARTERS])
        bits = ((1 << (hi - lo)) - 1) << (lo & ((1 << shift) - 1))
        at = G[FREE] + day * rows
        normal = G[G[row + P_NORMAL] + day]
        was_slid = (S[at + G[row + P_WORKED]] & ~normal) != 0
        S[at + G[row + P_TAKEN]] ^= bits
        S[at + G[row + P_WORKED]] ^= bits & normal if G[mode + K_SPAN] != 0 else bits
        is_slid = (S[at + G[row + P_WORKED]] & ~normal) != 0
        week = G[G[WEEK] + day]
        crossed = False
        if was_slid != is_slid and G[row + P_SLIDE_ROW] >= 0:
            counter = G[SLID] + G[row + P_SLID] + week
            limit = G[row + P_PER_WEEK]
            before = S[counter]
            S[counter] += 1 if is_slid else -1
            crossed = (before < limit) != (S[counter] < limit)
        if crossed:
            days = G[WEEK_DAYS] + 2 * week
            for i in range(G[days + 1]):
                freshen(G, S, person, G[G[days] + i])
        else:
            freshen(G, S, person, day)


@jit
def free_for(G: Ints, S: Ints, row: int, start: int, end: int) -> bool:
    rows, shift, quarters = G[ROWS], G[SHIFT], G[QUARTERS]
    at = G[FREE] + row
    for day in range(start >> shift, ((end - 1) >> shift) + 1):
        lo = max(start, day << shift)
        hi = min(end, (day << shift) + quarters)
        bits = ((1 << (hi - lo)) - 1) << (lo & ((1 << shift) - 1))
        if S[at + day * rows] & bits != bits:
            return False
    return True


@jit
def gap_around(G: Ints, S: Ints, row: int, start: int, length: int) -> int:
    """Free quarters that touch [start, start + length) on that day, before and after it."""
    shift = G[SHIFT]
    word = S[G[FREE] + (start >> shift) * G[ROWS] + row]
    at = start & ((1 << shift) - 1)
    taken = G[FULL] & ~word
    gap = G[QUARTERS] - at - length
    above = taken & ~((1 << (at + length)) - 1) if at + length < G[QUARTERS] else 0
    if above != 0:
        gap = low(above) - at - length
    below = taken & ((1 << at) - 1)
    return gap + (at - high(below) - 1 if below != 0 else at)


@jit
def can_fill(G: Ints, S: Ints, mode: int, able: int, need: int, left: int) -> bool:
    """Hall's condition on who is still able, with `left` to find for `need` and all of the later needs."""
    needs, groups = G[mode + K_NEEDS], G[mode + K_GROUPS]
    for g in range(G[mode + K_GROUP_COUNT]):
        group = groups + g * GROUP_STRIDE
        wanted = 0
        for n in range(need, G[mode + K_NEED_COUNT]):
            if (G[group + 2] >> n) & 1:
                wanted += left if n == need else G[needs + 2 * n]
        if wanted > 0 and count(able & G[group + 1]) < wanted:
            return False
    return True


@jit
def name_people(G: Ints, S: Ints, mode: int, start: int, end: int, held: int) -> int:
    """Write down who does it, need by need; gives how many, or -1 if it cannot be (which would be a fault).

    First whoever cannot fill another need, then fewest skills, then the tightest gap, then chance.
    """
    members, needs = G[mode + K_PEOPLE], G[mode + K_NEEDS]
    able = 0
    for i in range(G[mode + K_PEOPLE_COUNT]):
        if free_for(G, S, G[members + 2 * i + 1], start, end):
            able |= 1 << i
    several = G[mode + K_NEED_COUNT] > 1
    named = 0
    for n in range(G[mode + K_NEED_COUNT]):
        for left in range(G[needs + 2 * n], 0, -1):
            options = able & G[needs + 2 * n + 1]
            chosen = -1
            while chosen < 0 and options != 0:
                least = 0
                rest = options
                while rest != 0:
                    i = low(rest)
                    rest &= rest - 1
                    person = G[members + 2 * i]
                    key = G[G[PERSON] + person * PERSON_STRIDE + P_SKILLS] << 14
                    if S[PLAIN] == 0:
                        for later in range(n + 1, G[mode + K_NEED_COUNT]):
                            if (G[needs + 2 * later + 1] >> i) & 1:
                                key += 1 << 20
                        if G[mode + K_SPAN] == 0:
                            key += gap_around(G, S, G[members + 2 * i + 1], start, end - start) << 5
                        key += draw(S, 32)
                    else:
                        key += person
                    if chosen < 0 or key < least:
                        chosen = i
                        least = key
                if several and not can_fill(G, S, mode, able & ~(1 << chosen), n, left - 1):
                    options &= ~(1 << chosen)
                    chosen = -1
            if chosen < 0:
                return -1
            able &= ~(1 << chosen)
            S[held + H_ROWS + named] = -1 - G[members + 2 * chosen]
            named += 1
    return named


@jit
def name_places(G: Ints, S: Ints, mode: int, start: int, end: int, held: int, named: int) -> int:
    """Write down the units of places after the people; gives how many rows in all, or -1."""
    for i in range(G[mode + K_PLACE_COUNT]):
        need = G[mode + K_PLACES] + i * PLACE_STRIDE
        done = False
        for a in range(G[need + 1]):
            alternative = G[need + 2] + a * ALTERNATIVE_STRIDE
            if G[alternative + 3] >= 0 and not free_for(G, S, G[alternative + 3], start, end):
                continue
            first, needed, got = G[alternative], G[alternative + 2], 0
            until = hold_end(G, mode, first, end) if G[need] != 0 else end
            for unit in range(G[alternative + 1]):
                if got < needed and free_for(G, S, first + unit, start, until):
                    S[held + H_ROWS + named + got] = 2 * (first + unit) + (1 if G[need] != 0 else 0)
                    got += 1
            if got == needed:
                named += needed
                done = True
                break
        if not done:
            return -1
    return named


@jit
def turn_rows(G: Ints, S: Ints, job: int) -> None:
    """Take all that a job holds, or give it back."""
    held = G[HELD] + job * G[HELD_STRIDE]
    mode, start, end = S[held + H_MODE], S[held], S[held + H_END]
    for i in range(S[held + H_COUNT]):
        row = S[held + H_ROWS + i]
        if row < 0:
            take_person(G, S, -1 - row, mode, start, end)
        elif row & 1:
            flip(G, S, row >> 1, start, hold_end(G, mode, row >> 1, end))
        else:
            flip(G, S, row >> 1, start, end)


@jit
def stays_of(G: Ints, S: Ints, job: int, wanted: int) -> int:
    """Take the stays that this job completes: at the places saved at offset `wanted` of S, or (-1) wherever is room."""
    row = G[JOB] + job * JOB_STRIDE
    for side in range(2):
        for i in range(G[row + (J_UNTIL_COUNT if side else J_FROM_COUNT)]):
            number = G[G[row + (J_UNTIL if side else J_FROM)] + i]
            if take_stay(G, S, number, S[wanted + number] if wanted >= 0 else -1) == 0:
                return 0
    return 1


@jit
def unplace(G: Ints, S: Ints, job: int) -> None:
    row = G[JOB] + job * JOB_STRIDE
    for i in range(G[row + J_FROM_COUNT]):
        leave_stay(G, S, G[G[row + J_FROM] + i])
    for i in range(G[row + J_UNTIL_COUNT]):
        leave_stay(G, S, G[G[row + J_UNTIL] + i])
    turn_rows(G, S, job)
    S[G[HELD] + job * G[HELD_STRIDE]] = -1


@jit
def place(G: Ints, S: Ints, job: int, mode: int, start: int) -> int:
    """Place a job at a start that `find` gave; gives 0 (and changes nothing) where two stays want one berth."""
    held = G[HELD] + job * G[HELD_STRIDE]
    end = end_of(G, mode, start)
    named = name_people(G, S, mode, start, end, held)
    if named >= 0:
        named = name_places(G, S, mode, start, end, held, named)
    if named < 0:
        return 0
    S[held] = start
    S[held + H_END] = end
    S[held + H_MODE] = mode
    S[held + H_COUNT] = named
    turn_rows(G, S, job)
    if stays_of(G, S, job, -1) == 0:
        unplace(G, S, job)
        return 0
    return 1


@jit
def copy_job(G: Ints, S: Ints, job: int, source: int, target: int) -> None:
    at = job * G[HELD_STRIDE]
    if S[source + at] < 0:
        S[target + at] = -1
        return
    for i in range(H_ROWS + S[source + at + H_COUNT]):
        S[target + at + i] = S[source + at + i]


@jit
def copy_stays(G: Ints, S: Ints, job: int, source: int, target: int) -> None:
    row = G[JOB] + job * JOB_STRIDE
    for i in range(G[row + J_FROM_COUNT]):
        S[target + G[G[row + J_FROM] + i]] = S[source + G[G[row + J_FROM] + i]]
    for i in range(G[row + J_UNTIL_COUNT]):
        S[target + G[G[row + J_UNTIL] + i]] = S[source + G[G[row + J_UNTIL] + i]]


# --- when may it start ---
@jit
def key_of(G: Ints, S: Ints, link: int) -> int:
    """Where the tables of a link are read: the end of the job before, its start if it runs on the clock."""
    held = G[HELD] + G[link + L_BEFORE] * G[HELD_STRIDE]
    return S[held] if G[link + L_ELAPSED] != 0 else S[held + H_END]


@jit
def way_of(G: Ints, S: Ints, link: int) -> int:
    """Offset of the way's own tables (only jobs on the clock have more than one)."""
    if G[link + L_WAY] == 0:
        return 0
    return G[link + L_WAY] * G[S[G[HELD] + G[link + L_BEFORE] * G[HELD_STRIDE] + H_MODE] + K_WAY]


@jit
def last_start(G: Ints, mode: int, elapsed: int, key: int) -> int:
    """The last start whose end (start, on the clock) is at most `key`."""
    if elapsed != 0:
        return key
    if G[mode + K_SPAN] == 0:
        return key - G[mode + K_LENGTH]
    return -1 if key < 0 else G[G[mode + K_LAST] + min(key, G[DAYS] << G[SHIFT])]


@jit
def first_start(G: Ints, mode: int, elapsed: int, key: int) -> int:
    """The first start whose end (start, on the clock) is at least `key`."""
    if elapsed != 0:
        return key
    if key > (G[DAYS] << G[SHIFT]):
        return FAR
    if G[mode + K_SPAN] == 0:
        return key - G[mode + K_LENGTH]
    return 0 if key < 1 else G[G[mode + K_LAST] + key - 1] + 1


@jit
def bounds(G: Ints, S: Ints, job: int, mode: int) -> bool:
    """Earliest and latest start from everything that is placed, into S[LO] and S[HI]; False if there is none.

    Maximum waits and berths against jobs that are being put back too (`MOVABLE`) are left to the caller, who lifts.
    """
    row = G[JOB] + job * JOB_STRIDE
    shift, stride = G[SHIFT], G[HELD_STRIDE]
    lo = max(G[mode + K_LO], S[G[FLOOR] + job])
    hi = min(G[mode + K_HI], S[G[CEILING] + job])
    cap = S[G[CAP] + G[row + J_ORDER]] - G[row + J_TAIL] - G[mode + K_SHORTEST]
    hi = min(hi, cap)
    for i in range(G[row + J_BEFORE_COUNT]):
        link = G[G[row + J_BEFORE] + i]
        before = G[link + L_BEFORE]
        if S[G[HELD] + before * stride] < 0:
            if S[G[PENDING] + before] == 0:
                return False
            continue
        at = key_of(G, S, link) + way_of(G, S, link)
        if G[link + L_EARLIEST] >= 0:
            lo = max(lo, G[G[link + L_EARLIEST] + at])
        if G[link + L_LATEST] >= 0 and S[G[MOVABLE] + before] == 0:
            hi = min(hi, G[G[link + L_LATEST] + at])
    elapsed = G[row + J_ELAPSED]
    for i in range(G[row + J_AFTER_COUNT]):
        link = G[G[row + J_AFTER] + i]
        after = G[link + L_AFTER]
        start = S[G[HELD] + after * stride]
        if start < 0:
            continue
        way = G[link + L_WAY] * G[mode + K_WAY]
        if G[link + L_EARLIEST] >= 0:
            hi = min(hi, last_start(G, mode, elapsed, G[G[link + L_EARLIEST_INVERSE] + way + start]))
        if G[link + L_LATEST] >= 0 and S[G[MOVABLE] + after] == 0:
            lo = max(lo, first_start(G, mode, elapsed, G[G[link + L_LATEST_INVERSE] + way + start]))
    for i in range(G[row + J_FROM_COUNT]):
        stay = G[STAY] + G[G[row + J_FROM] + i] * STAY_STRIDE
        until = stay_until(G, S, stay)
        if until >= 0 and (G[stay + N_UNTIL] < 0 or S[G[MOVABLE] + G[stay + N_UNTIL]] == 0):
            day = first_coming_day(G, S, stay, until)
            lo = max(lo, first_start(G, mode, 0, (day << shift) + 1) if G[mode + K_SPAN] != 0 else day << shift)
    for i in range(G[row + J_UNTIL_COUNT]):
        stay = G[STAY] + G[G[row + J_UNTIL] + i] * STAY_STRIDE
        first = stay_from(G, S, stay)
        if first >= 0 and (G[stay + N_FROM] < 0 or S[G[MOVABLE] + G[stay + N_FROM]] == 0):
            day = last_leaving_day(G, S, stay, first)
            hi = min(hi, (day << shift) + G[QUARTERS] - 1)
    lo = max(lo, 0)
    hi = min(hi, ((G[DAYS] - 1) << shift) + G[QUARTERS] - 1)
    S[LO] = lo
    S[HI] = hi
    return lo <= hi


@jit
def homeward(G: Ints, S: Ints, job: int, mode: int, late: int) -> int:
    """The first start at home or later (`late`: the last at home or earlier) within the bounds, or -1."""
    home = G[G[HOMES] + job * HOME_STRIDE + A_START]
    if home < S[LO] or home > S[HI]:
        return -1
    return find_last(G, S, mode, S[LO], home) if late != 0 else find_first(G, S, mode, home, S[HI])


@jit
def best_start(G: Ints, S: Ints, job: int, late: int) -> int:
    """The start that ends earliest over the job's modes (`late`: that starts latest), its mode into S[MODE]; or -1."""
    row = G[JOB] + job * JOB_STRIDE
    modes, number = G[row + J_MODES], G[row + J_MODE_COUNT]
    if number > 1 and S[PLAIN] == 0 and draw(S, 4) == 0:  # now and then one way alone, whatever the others give
        modes += draw(S, number) * MODE_STRIDE
        number = 1
    found, least = -1, FAR
    for i in range(number):
        mode = modes + i * MODE_STRIDE
        if not bounds(G, S, job, mode):
            continue
        start = homeward(G, S, job, mode, late) if S[HOMING] != 0 else -1
        if start < 0:
            start = find_last(G, S, mode, S[LO], S[HI]) if late != 0 else find_first(G, S, mode, S[LO], S[HI])
        if start >= 0:
            key = -start if late != 0 else end_of(G, mode, start)
            if found < 0 or key < least:
                found, least = start, key
                S[MODE] = mode
    return found


@jit
def too_late_for(G: Ints, S: Ints, job: int, start: int) -> int:
    """The placed movable job that this start comes too late for (a maximum wait, a berth), with its floor raised."""
    row = G[JOB] + job * JOB_STRIDE
    stride = G[HELD_STRIDE]
    for i in range(G[row + J_BEFORE_COUNT]):
        link = G[G[row + J_BEFORE] + i]
        before = G[link + L_BEFORE]
        if G[link + L_LATEST] < 0 or S[G[MOVABLE] + before] == 0 or S[G[HELD] + before * stride] < 0:
            continue
        way = way_of(G, S, link)
        if start > G[G[link + L_LATEST] + way + key_of(G, S, link)]:
            held = G[HELD] + before * stride
            key = G[G[link + L_LATEST_INVERSE] + way + start]
            S[G[FLOOR] + before] = max(S[held] + 1, first_start(G, S[held + H_MODE], G[link + L_ELAPSED], key))
            return before
    for i in range(G[row + J_UNTIL_COUNT]):
        stay = G[STAY] + G[G[row + J_UNTIL] + i] * STAY_STRIDE
        before = G[stay + N_FROM]
        if before < 0 or S[G[MOVABLE] + before] == 0 or S[G[HELD] + before * stride] < 0:
            continue
        day = start >> G[SHIFT]
        if day > last_leaving_day(G, S, stay, stay_from(G, S, stay)):
            held = G[HELD] + before * stride
            mode = S[held + H_MODE]
            coming = first_coming_day(G, S, stay, day) << G[SHIFT]
            S[G[FLOOR] + before] = max(
                S[held] + 1, first_start(G, mode, 0, coming + 1) if G[mode + K_SPAN] != 0 else coming
            )
            return before
    return -1


@jit
def too_early_for(G: Ints, S: Ints, job: int, mode: int, start: int) -> int:
    """Backward: the placed movable job that follows this start too late, with its ceiling lowered."""
    row = G[JOB] + job * JOB_STRIDE
    stride = G[HELD_STRIDE]
    end = end_of(G, mode, start)
    for i in range(G[row + J_AFTER_COUNT]):
        link = G[G[row + J_AFTER] + i]
        after = G[link + L_AFTER]
        if G[link + L_LATEST] < 0 or S[G[MOVABLE] + after] == 0 or S[G[HELD] + after * stride] < 0:
            continue
        key = start if G[link + L_ELAPSED] != 0 else end
        latest = G[G[link + L_LATEST] + G[link + L_WAY] * G[mode + K_WAY] + key]
        if S[G[HELD] + after * stride] > latest:
            S[G[CEILING] + after] = latest
            return after
    for i in range(G[row + J_FROM_COUNT]):
        stay = G[STAY] + G[G[row + J_FROM] + i] * STAY_STRIDE
        after = G[stay + N_UNTIL]
        if after < 0 or S[G[MOVABLE] + after] == 0 or S[G[HELD] + after * stride] < 0:
            continue
        day = last_leaving_day(G, S, stay, (end - 1) >> G[SHIFT])
        if S[G[HELD] + after * stride] >> G[SHIFT] > day:
            S[G[CEILING] + after] = (day << G[SHIFT]) + G[QUARTERS] - 1
            return after
    return -1


# --- putting back a queue of jobs ---
@jit
def clear_queue(G: Ints, S: Ints, n: int) -> None:
    for i in range(n):
        job = S[G[QUEUE] + i]
        S[G[FLOOR] + job] = 0
        S[G[CEILING] + job] = FAR
        S[G[MOVABLE] + job] = 1
        S[G[PENDING] + job] = 1
        S[G[POSITION] + job] = i


@jit
def insert(G: Ints, S: Ints, n: int, late: int) -> int:
    """Place the n jobs of the queue, forward at their earliest or (`late`) backward at their latest; 0 if one fails.

    The queue is in topological order.  A broken maximum wait (or a full berth) moves the job at its other end and all
    between again, at most MAX_LIFTS times.  On failure nothing of the queue is placed.
    """
    clear_queue(G, S, n)
    queue = G[QUEUE]
    lifts = 0
    i = n - 1 if late != 0 else 0
    step = -1 if late != 0 else 1
    good = 1
    while 0 <= i < n:
        job = S[queue + i]
        start = best_start(G, S, job, late)
        if start < 0:
            S[FAILED_JOB] = job
            good = 0
            break
        mode = S[MODE]
        other = too_early_for(G, S, job, mode, start) if late != 0 else too_late_for(G, S, job, start)
        if other >= 0:
            lifts += 1
            if lifts > MAX_LIFTS:
                S[FAILED_JOB] = job
                good = 0
                break
            back = S[G[POSITION] + other]
            while i != back:
                i -= step
                unplace(G, S, S[queue + i])
                S[G[PENDING] + S[queue + i]] = 1
            continue
        if place(G, S, job, mode, start) == 0:
            S[FAILED_JOB] = job
            good = 0
            break
        S[G[PENDING] + job] = 0
        i += step
    for x in range(n):
        job = S[queue + x]
        S[G[MOVABLE] + job] = 0
        S[G[PENDING] + job] = 0
        S[G[FLOOR] + job] = 0
        S[G[CEILING] + job] = FAR
        if good == 0 and S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
            unplace(G, S, job)
    return good


# --- cost ---
@jit
def quarter_of(G: Ints, position: int) -> int:
    """Working quarters before a position."""
    return (position >> G[SHIFT]) * G[QUARTERS] + (position & ((1 << G[SHIFT]) - 1))


@jit
def price_of_moves(G: Ints, S: Ints, unit: int) -> int:
    """What it costs that jobs of this unit are away from their days: once for the unit, and for each job."""
    row = G[UNIT] + unit * UNIT_STRIDE
    moved = 0
    for i in range(G[row + U_JOB_COUNT]):
        job = G[G[row + U_JOBS] + i]
        start = S[G[HELD] + job * G[HELD_STRIDE]]
        home = G[HOMES] + job * HOME_STRIDE
        if start >= 0 and G[home] >= 0:
            day = start >> G[SHIFT]
            if day < G[home + A_FROM] or day > G[home + A_TO]:
                moved += 1
    return G[G[UNIT_MOVED] + unit] + moved * G[JOB_MOVED] if moved != 0 else 0


@jit
def price(G: Ints, S: Ints, unit: int) -> None:
    """What a unit costs, into S[UNIT_TRUE] and, in finer steps, S[UNIT_SEARCH]; its first start and last end.

    Search cost: in 1/(10 quarters) of a day's cost, three parts whole days and seven parts quarters.
    """
    shift, quarters = G[SHIFT], G[QUARTERS]
    row = G[UNIT] + unit * UNIT_STRIDE
    true, search, first_of_all, last_of_all = 0, 0, FAR, 0
    for i in range(G[row + U_ORDER_COUNT]):
        order = G[ORDER] + G[G[row + U_ORDERS] + i] * ORDER_STRIDE
        first, last, missing = FAR, 0, 0
        for x in range(G[order + O_JOB_COUNT]):
            held = G[HELD] + G[G[order + O_JOBS] + x] * G[HELD_STRIDE]
            if S[held] < 0:
                missing += 1
            else:
                first = min(first, S[held])
                last = max(last, S[held + H_END])
        if missing != 0:
            last = ((G[DAYS] - 1) << shift) + quarters
            if first == FAR:
                first = G[order + O_RELEASE] << shift
        if G[order + O_BEGAN] < first >> shift:
            first = G[order + O_BEGAN] << shift
        end = quarter_of(G, last - 1) + 1
        day = (last - 1) >> shift
        late_days = max(0, day - G[order + O_DUE])
        late_quarters = max(0, end - (G[order + O_DUE] + 1) * quarters)
        flow_days = day - (first >> shift)
        flow_quarters = end - quarter_of(G, first)
        true += G[order + O_LATE] * late_days + G[order + O_FLOW] * flow_days
        search += G[order + O_LATE] * (3 * quarters * late_days + 7 * late_quarters)
        search += G[order + O_FLOW] * (3 * quarters * flow_days + 7 * flow_quarters)
        first_of_all = min(first_of_all, first)
        last_of_all = max(last_of_all, last)
    if G[HOMES] != 0:
        dear = price_of_moves(G, S, unit)
        true += dear
        search += 10 * quarters * dear
    placed = 1
    for i in range(G[row + U_JOB_COUNT]):
        if S[G[HELD] + G[G[row + U_JOBS] + i] * G[HELD_STRIDE]] < 0:
            placed = 0
    S[UNIT_TRUE] = true
    S[UNIT_SEARCH] = search + (0 if placed != 0 else G[LEFT_COST])
    S[UNIT_FIRST] = first_of_all
    S[UNIT_LAST] = last_of_all


@jit
def note_price(G: Ints, S: Ints, unit: int) -> None:
    """Price a unit and keep it in the table and the totals."""
    at = G[COST] + unit * COST_STRIDE
    price(G, S, unit)
    if S[at] >= G[LEFT_COST]:
        S[LEFT] -= 1
    S[SEARCH] += S[UNIT_SEARCH] - S[at]
    S[TRUE] += S[UNIT_TRUE] - S[at + 1]
    S[at] = S[UNIT_SEARCH]
    S[at + 1] = S[UNIT_TRUE]
    S[at + 2] = S[UNIT_FIRST]
    S[at + 3] = S[UNIT_LAST]
    if S[at] >= G[LEFT_COST]:
        S[LEFT] += 1


@jit
def price_all(G: Ints, S: Ints) -> None:
    S[SEARCH] = 0
    S[TRUE] = 0
    S[LEFT] = 0
    for i in range(G[UNITS] * COST_STRIDE):
        S[G[COST] + i] = 0
    for unit in range(G[UNITS]):
        note_price(G, S, unit)


@jit
def set_caps(G: Ints, S: Ints, unit: int, budget: int) -> bool:
    """The latest end of each order of a unit that its budget (in search cost) allows; False if it allows none."""
    if budget < 0:
        return False
    quarters, shift = G[QUARTERS], G[SHIFT]
    row = G[UNIT] + unit * UNIT_STRIDE
    for i in range(G[row + U_ORDER_COUNT]):
        number = G[G[row + U_ORDERS] + i]
        order = G[ORDER] + number * ORDER_STRIDE
        cap = G[DAYS] * quarters
        if G[order + O_LATE] > 0:
            cap = min(cap, (G[order + O_DUE] + 1) * quarters + budget // (10 * G[order + O_LATE]))
        if G[order + O_FLOW] > 0:
            first = G[order + O_BEGAN] << shift if G[order + O_BEGAN] < FAR else FAR
            for x in range(G[order + O_JOB_COUNT]):
                held = G[HELD] + G[G[order + O_JOBS] + x] * G[HELD_STRIDE]
                if S[held] >= 0:
                    first = min(first, S[held])
            if first < FAR:
                cap = min(cap, quarter_of(G, first) + (budget // G[order + O_FLOW] + 3 * quarters) // 10)
        if cap <= 0:
            return False
        S[G[CAP] + number] = (((cap - 1) // quarters) << shift) + (cap - 1) % quarters + 1
    return True


@jit
def free_caps(G: Ints, S: Ints, unit: int) -> None:
    row = G[UNIT] + unit * UNIT_STRIDE
    for i in range(G[row + U_ORDER_COUNT]):
        S[G[CAP] + G[G[row + U_ORDERS] + i]] = FAR


@jit
def queue_unit(G: Ints, S: Ints, unit: int) -> int:
    """Queue the jobs of a unit that are not placed; gives how many."""
    row = G[UNIT] + unit * UNIT_STRIDE
    n = 0
    for i in range(G[row + U_JOB_COUNT]):
        job = G[G[row + U_JOBS] + i]
        if S[G[HELD] + job * G[HELD_STRIDE]] < 0:
            S[G[QUEUE] + n] = job
            n += 1
    return n


@jit
def put_in(G: Ints, S: Ints, unit: int) -> int:
    free_caps(G, S, unit)
    n = queue_unit(G, S, unit)
    good = insert(G, S, n, 0)
    note_price(G, S, unit)
    return good


# --- ruin and recreate ---
@jit
def restore(G: Ints, S: Ints, n: int, jobs: int, held: int, berths: int) -> None:
    """Put n jobs back as they were saved."""
    for i in range(n):
        job = S[jobs + i]
        copy_job(G, S, job, held, G[HELD])
        if S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
            turn_rows(G, S, job)
    for i in range(n):
        job = S[jobs + i]
        if S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
            stays_of(G, S, job, berths)


@jit
def insert_whole(G: Ints, S: Ints, unit: int, n: int) -> int:
    """Forward, then backward from her own end or a random day until due; the cheaper stays. 0 if neither goes."""
    row = G[UNIT] + unit * UNIT_STRIDE
    shift, quarters = G[SHIFT], G[QUARTERS]
    if insert(G, S, n, 0) == 0:
        return 0
    price(G, S, unit)
    forward, last = S[UNIT_SEARCH], S[UNIT_LAST]
    for i in range(n):
        job = S[G[QUEUE] + i]
        copy_job(G, S, job, G[HELD], G[TRIED])
        copy_stays(G, S, job, G[BERTH], G[BERTH_TRIED])
    for i in range(n):
        unplace(G, S, S[G[QUEUE] + i])
    own = draw(S, 10) < 6
    for i in range(G[row + U_ORDER_COUNT]):
        number = G[G[row + U_ORDERS] + i]
        cap = last
        if not own:
            begin = (last - 1) >> shift
            day = min(G[DAYS] - 1, max(begin, G[G[ORDER] + number * ORDER_STRIDE + O_DUE]))
            cap = ((begin + draw(S, day - begin + 1)) << shift) + quarters
        S[G[CAP] + number] = min(S[G[CAP] + number], cap)
    if insert(G, S, n, 1) != 0:
        price(G, S, unit)
        if S[UNIT_SEARCH] <= forward:
            return 1
        for i in range(n):
            unplace(G, S, S[G[QUEUE] + i])
    restore(G, S, n, G[QUEUE], G[TRIED], G[BERTH_TRIED])
    return 1


@jit
def chosen_already(G: Ints, S: Ints, unit: int, n: int) -> bool:
    for i in range(n):  # noqa: SIM110 - numba has no generators here
        if S[G[CHOSEN] + i] == unit:
            return True
    return False


@jit
def some_unit(G: Ints, S: Ints) -> int:
    return G[G[LIVE] + draw(S, G[LIVES])]


@jit
def dearest(G: Ints, S: Ints, sample: int) -> int:
    best = some_unit(G, S)
    for _ in range(sample):
        unit = some_unit(G, S)
        if S[G[COST] + unit * COST_STRIDE] > S[G[COST] + best * COST_STRIDE]:
            best = unit
    return best


@jit
def some_job(G: Ints, S: Ints, unit: int) -> int:
    row = G[UNIT] + unit * UNIT_STRIDE
    return G[G[row + U_JOBS] + draw(S, G[row + U_JOB_COUNT])]


@jit
def shares_row(G: Ints, S: Ints, one: int, two: int) -> bool:
    a = G[HELD] + one * G[HELD_STRIDE]
    b = G[HELD] + two * G[HELD_STRIDE]
    for i in range(S[a + H_COUNT]):
        for x in range(S[b + H_COUNT]):
            if S[a + H_ROWS + i] == S[b + H_ROWS + x]:
                return True
    return False


@jit
def near_unit(G: Ints, S: Ints, n: int) -> int:
    """Of a sample of 48, the unit nearest in time to the first chosen."""
    at = G[COST] + S[G[CHOSEN]] * COST_STRIDE
    middle = S[at + 2] + S[at + 3]
    best, least = -1, FAR
    for _ in range(48):
        unit = some_unit(G, S)
        other = G[COST] + unit * COST_STRIDE
        apart = abs(S[other + 2] + S[other + 3] - middle)
        if apart < least and not chosen_already(G, S, unit, n):
            best, least = unit, apart
    return best


@jit
def unit_in_the_way(G: Ints, S: Ints, n: int) -> int:
    """Of a sample of 48 jobs, the unit with one near in time to a random job of the first that shares a row with it."""
    job = some_job(G, S, S[G[CHOSEN]])
    start = S[G[HELD] + job * G[HELD_STRIDE]]
    if start < 0:
        return near_unit(G, S, n)
    best, least = -1, FAR
    for _ in range(48):
        unit = some_unit(G, S)
        other = some_job(G, S, unit)
        begins = S[G[HELD] + other * G[HELD_STRIDE]]
        if begins < 0 or chosen_already(G, S, unit, n):
            continue
        apart = abs(begins - start)
        if apart < least and not shares_row(G, S, job, other):
            apart += 4 << G[SHIFT]
        if apart < least:
            best, least = unit, apart
    return best


@jit
def choose(G: Ints, S: Ints) -> int:
    """Choose 2 to 4 units by one of five operators; gives how many."""
    wanted = min(2 + draw(S, 3), G[LIVES])
    operator = draw(S, 5)
    first = -1
    if S[LEFT] > 0 and draw(S, 4) == 0:
        begin = draw(S, G[LIVES])
        for i in range(G[LIVES]):
            unit = G[G[LIVE] + (begin + i) % G[LIVES]]
            if S[G[COST] + unit * COST_STRIDE] >= G[LEFT_COST]:
                first = unit
                break
    if first < 0:
        first = dearest(G, S, 16) if operator >= 3 else some_unit(G, S)
    S[G[CHOSEN]] = first
    n = 1
    while n < wanted:
        if operator == 2:
            unit = unit_in_the_way(G, S, n)
        elif operator in (1, 4):
            unit = near_unit(G, S, n)
        elif operator == 3:
            unit = dearest(G, S, 16)
        else:
            unit = some_unit(G, S)
        if unit < 0 or chosen_already(G, S, unit, n):
            wanted -= 1  # a small yard: fewer boats this time
        else:
            S[G[CHOSEN] + n] = unit
            n += 1
    return n


@jit
def remove(G: Ints, S: Ints, unit: int, at: int, begins: int, ends: int, last: int) -> int:
    """Save and take out the jobs of a unit that start in [begins, ends), at least one; gives how many.

    If none does: her last (`last`) or her first.  They are listed at S[REMOVED + at ...] in topological order.
    """
    row = G[UNIT] + unit * UNIT_STRIDE
    n, edge = 0, -1
    for i in range(G[row + U_JOB_COUNT]):
        job = G[G[row + U_JOBS] + i]
        start = S[G[HELD] + job * G[HELD_STRIDE]]
        if start < 0 or begins <= start < ends:
            S[G[REMOVED] + at + n] = job
            n += 1
        elif edge < 0:
            edge = job
        else:
            best = S[G[HELD] + edge * G[HELD_STRIDE]]
            if (last != 0 and start >= best) or (last == 0 and start < best):
                edge = job
    if n == 0:
        S[G[REMOVED] + at] = edge
        n = 1
    for i in range(n):
        job = S[G[REMOVED] + at + i]
        copy_job(G, S, job, G[HELD], G[SAVED])
        copy_stays(G, S, job, G[BERTH], G[BERTH_SAVED])
    for i in range(n):
        job = S[G[REMOVED] + at + i]
        if S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
            unplace(G, S, job)
    return n


@jit
def sort_chosen(G: Ints, S: Ints, n: int) -> None:
    """The order in which the chosen units go back, by one of five keys, into S[ORDER_IN ...]: indices of CHOSEN."""
    way = draw(S, 5)
    for i in range(n):
        unit = S[G[CHOSEN] + i]
        at = G[COST] + unit * COST_STRIDE
        if way == 0:
            key = draw(S, 1 << 20)
        elif way == 1:
            key = G[G[ORDER] + G[G[G[UNIT] + unit * UNIT_STRIDE + U_ORDERS]] * ORDER_STRIDE + O_DUE]
        elif way == 2:
            key = -S[at + 4]
        elif way == 3:
            key = -S[G[REMOVED_COUNT] + i]
        else:
            key = S[at + 6]
        x = i
        while x > 0 and S[G[SORT_KEY] + x - 1] > key:
            S[G[SORT_KEY] + x] = S[G[SORT_KEY] + x - 1]
            S[G[ORDER_IN] + x] = S[G[ORDER_IN] + x - 1]
            x -= 1
        S[G[SORT_KEY] + x] = key
        S[G[ORDER_IN] + x] = i
    if G[LEVELS] < 0:
        return
    for i in range(n):  # a boat in front first
        for x in range(n - 1 - i):
            one, two = S[G[ORDER_IN] + x], S[G[ORDER_IN] + x + 1]
            if G[G[LEVELS] + S[G[CHOSEN] + one]] > G[G[LEVELS] + S[G[CHOSEN] + two]]:
                S[G[ORDER_IN] + x] = two
                S[G[ORDER_IN] + x + 1] = one


@jit
def keep_best(G: Ints, S: Ints) -> None:
    S[LEAST] = S[TRUE]
    S[LEAST_SEARCH] = S[SEARCH]
    for i in range(G[JOBS] * G[HELD_STRIDE]):
        S[G[BEST] + i] = S[G[HELD] + i]
    for i in range(G[STAYS]):
        S[G[BERTH_BEST] + i] = S[G[BERTH] + i]


@jit
def put_back(G: Ints, S: Ints, which: int, flowing: int) -> int:
    """Put back the removed jobs of the chosen unit number `which`, within the limit; 0 if that fails."""
    unit = S[G[CHOSEN] + which]
    if not set_caps(G, S, unit, S[LIMIT] - S[SPENT]):
        return 0
    n = queue_unit(G, S, unit)
    S[BLINK] = 1 if draw(S, 10) < 3 else 0
    S[HOMING] = 1 if G[HOMES] != 0 and draw(S, 10) < 8 else 0
    if flowing != 0:
        good = insert(G, S, n, 1)
    elif n == G[G[UNIT] + unit * UNIT_STRIDE + U_JOB_COUNT]:
        good = insert_whole(G, S, unit, n)
    else:
        good = insert(G, S, n, 0)
    S[BLINK] = 0
    S[HOMING] = 0
    if good != 0:
        price(G, S, unit)
        S[SPENT] += S[UNIT_SEARCH]
        if S[SPENT] > S[LIMIT]:
            good = 0
    free_caps(G, S, unit)
    return good


@jit
def take_out(G: Ints, S: Ints, n: int, flowing: int) -> int:
    """Cut the chosen units at one moment and take out what lies after it (`flowing`: before it, or a middle)."""
    quarters = G[QUARTERS]
    job = some_job(G, S, S[G[CHOSEN] + draw(S, n)])
    moment = max(0, S[G[HELD] + job * G[HELD_STRIDE]])
    begins, ends = moment - draw(S, 2 * quarters + 1), FAR
    if flowing != 0:
        begins, ends = 0, moment + 1
        if draw(S, 2) == 0:
            begins, ends = moment, moment + 1 + draw(S, 4 << G[SHIFT])
    taken = 0
    for i in range(n):
        unit = S[G[CHOSEN] + i]
        at = G[COST] + unit * COST_STRIDE
        for x in range(4):
            S[at + 4 + x] = S[at + x]
        if S[at] >= G[LEFT_COST] or (flowing == 0 and draw(S, 20) == 0):
            got = remove(G, S, unit, taken, 0, FAR, 1)
        else:
            got = remove(G, S, unit, taken, begins, ends, 1 - flowing)
        S[G[REMOVED_COUNT] + i] = got
        taken += got
    return taken


@jit
def eject(G: Ints, S: Ints, unit: int, at: int) -> int:
    """Leave out a unit that found no room, so that one left out before may keep the room it got.

    Gives how many jobs of it were saved at S[REMOVED + at ...] and taken out; -1 (and nothing is changed) where that
    is more than the limit, or where somebody who stands is to come after it.
    """
    if S[SPENT] + G[LEFT_COST] > S[LIMIT]:
        return -1
    row = G[UNIT] + unit * UNIT_STRIDE
    for i in range(G[row + U_JOB_COUNT]):
        after = G[JOB] + G[G[row + U_JOBS] + i] * JOB_STRIDE
        for x in range(G[after + J_AFTER_COUNT]):
            job = G[G[G[after + J_AFTER] + x] + L_AFTER]
            if G[G[JOB] + job * JOB_STRIDE + J_UNIT] != unit and S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
                return -1
    n = 0
    for i in range(G[row + U_JOB_COUNT]):
        job = G[G[row + U_JOBS] + i]
        if S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
            S[G[REMOVED] + at + n] = job
            n += 1
            copy_job(G, S, job, G[HELD], G[SAVED])
            copy_stays(G, S, job, G[BERTH], G[BERTH_SAVED])
    for i in range(n):
        unplace(G, S, S[G[REMOVED] + at + i])
    price(G, S, unit)
    S[SPENT] += S[UNIT_SEARCH]
    if S[SPENT] <= S[LIMIT]:
        return n
    restore(G, S, n, G[REMOVED] + at, G[SAVED], G[BERTH_SAVED])
    return -1


@jit
def iterate(G: Ints, S: Ints) -> None:
    """One round: choose, cut, put back, accept or undo."""
    n = choose(G, S)
    flowing = 1 if S[FLOWING] != 0 and draw(S, 2) == 0 else 0
    S[LIMIT] = S[SEARCH] + ((S[TEMPERATURE] * G[G[LOGS] + draw(S, 4096)]) >> 8)
    taken = take_out(G, S, n, flowing)
    S[SPENT] = S[SEARCH]
    for i in range(n):
        S[SPENT] -= S[G[COST] + S[G[CHOSEN] + i] * COST_STRIDE]
    sort_chosen(G, S, n)
    good = 1
    for i in range(n):
        if good != 0:
            spent = S[SPENT]
            good = put_back(G, S, S[G[ORDER_IN] + i], flowing)
            if good == 0 and S[LEFT] > 0 and spent == S[SPENT]:
                got = eject(G, S, S[G[CHOSEN] + S[G[ORDER_IN] + i]], taken)
                taken += max(0, got)
                good = 1 if got >= 0 else 0
    if good == 0:
        for i in range(taken):
            job = S[G[REMOVED] + i]
            if S[G[HELD] + job * G[HELD_STRIDE]] >= 0:
                unplace(G, S, job)
        restore(G, S, taken, G[REMOVED], G[SAVED], G[BERTH_SAVED])
        return
    for i in range(n):
        note_price(G, S, S[G[CHOSEN] + i])
    S[KEPT] += 1
    better = S[LEFT] * G[LEFT_COST] + S[TRUE]
    if better < S[LEAST] or (better == S[LEAST] and S[SEARCH] < S[LEAST_SEARCH]):
        keep_best(G, S)
        S[LEAST] = better


@jit
def run(G: Ints, S: Ints, rounds: int) -> None:
    if G[LIVES] > 0:
        for _ in range(rounds):
            iterate(G, S)
            S[ROUNDS] += 1


# --- what the driver calls ---
@entry
def construct(G: Ints, S: Ints, unit: int) -> int:
    """Put a unit in at its earliest, whatever it costs; 0 if it is left out."""
    return put_in(words(G), words(S), unit)


@entry
def start_search(G: Ints, S: Ints) -> None:
    """Price what stands and take it as the best so far."""
    g, s = words(G), words(S)
    price_all(g, s)
    keep_best(g, s)
    s[LEAST] = s[LEFT] * g[LEFT_COST] + s[TRUE]


@entry
def improve(G: Ints, S: Ints, rounds: int, temperature: int, flowing: int) -> None:
    """Run some rounds at one temperature (in search cost)."""
    S[TEMPERATURE] = temperature
    S[FLOWING] = flowing
    S[PLAIN] = 0
    run(words(G), words(S), rounds)
