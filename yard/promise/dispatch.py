"""One season lived through, quarter by quarter: jobs dispatched in the plan's order, as a foreman would.

A job starts as soon as what it waits for is done, its facts are here, water, light and weather are there for as long
as it is booked, and its people, place and boat are free; among jobs that could start, the one planned first goes first.

- Nothing starts before its planned day.  On that day a job may start before its planned hour only with the people and
  units that the plan gave it, and once everything planned for them before has begun; so a season in which all goes as
  planned ends no job later than planned.
- From its planned hour on it takes the people of the plan if they are free, else whoever has the skill: scarcest skill
  first, whoever has the fewest skills first.
- People decide by the booked length; the real length then runs on in working time.

One source for two backends, as `yard.planning.engine`: flat sequences of integers, no float, no slice, no exception.
`G` never changes: a header, then tables (`layout` builds it).  `S` is the state of one season.

One file, for the reason that the planner's engine is one (its docstring tells it).  Its parts, each under a heading,
call upward: words and working time; people; places and berths; who is next; a job begins and ends; may it start now;
a season from its first day to its last; what the driver calls.
"""

from __future__ import annotations

from yard.planning import backend

_tools = backend.tools(__name__)
entry, jit, words = _tools.entry, _tools.jit, _tools.words
low, count = _tools.low, _tools.count

Ints = list[int]  # numpy.ndarray of int64 under numba

# --- G: header ---
JOBS, DAYS, PER_DAY, PEOPLE, SPOTS, UNITS, BOATS, CLASSES, FACTS, NOW, SIZE, CAUSES, MARKS, LYINGS = range(14)
JOB, PERSON, SPOT, MARK, LIE, DAY_START, DAY_WEEK, DAY_WAKE, DAY_FULL = range(14, 23)
CLOCK, CLOCK_FIRST, CLOCK_COUNT, WEEKS, SKILL_CAUSE, SPOT_CAUSE = range(23, 29)
MARKED = 66  # jobs that some milestone names
DAY_OF, MINUTE, AT_WORK = 63, 64, 65
WORD = 62  # bits of a word of AWAKE
# offsets into S
LIFE, WEATHER, FACT, P_UNTIL, U_UNTIL, B_UNTIL, P_NEXT, U_NEXT, B_NEXT, SLID, SLID_WEEK = range(30, 41)
LIE_UNIT, AWAKE, TEAM, TAKEN, LATER, BED = range(41, 47)
STATE_SIZE = 47
HEADER = 72

# a job's row
J_PLANNED, J_EARLIEST, J_EARLY, J_LENGTH, J_PAUSING, J_DOMAIN, J_CLASS, J_NOT_BEFORE, J_BOAT, J_SLIDES = range(10)
J_CREW, J_PEOPLE, J_SPOTS, J_UNITS, J_AFTER, J_PREDS, J_FACTS, J_FROM, J_UNTIL, J_WATER, J_RUNNING = range(10, 21)
J_BOAT_LINE, J_NAMED, J_MARKED = 21, 22, 23
JOB_STRIDE = 24
FITTED, PAUSED, ELAPSED = 0, 1, 2
PW_WORK, PW_SLID, PW_PER_WEEK, PW_BEFORE, PW_POSITIONS, PW_COUNT, PW_JOBS = range(7)
PERSON_STRIDE = 8  # one more person than there are: the yard's own hours
SP_FIRST, SP_UNITS, SP_OPEN = 0, 1, 2
SPOT_STRIDE = 4
LIE_UNTIL, LIE_FROM, LIE_PLACES, LIE_PLANNED = 0, 1, 2, 3
LIE_STRIDE = 4
M_JOB, M_AT_START = 0, 1
MARK_STRIDE = 2

# --- S: registers ---
WAKE, TEAM_COUNT, TAKEN_COUNT, CAUSE, WHICH, FIRST_AWAKE, LAST_AWAKE = range(7)
TODAY, CAN, SHORT, SHORT_BY, ASKED, DUE, COUNTED, FREED = range(7, 15)
REGISTERS = 15
FAR = 1 << 40

# causes of a wait, as counted for one job, and as told for a milestone
BY_WEATHER, BY_WATER, BY_CLOSED, BY_PEOPLE, BY_SPOT, BY_BOAT = range(6)
# a job's life in one season: a row, with what is asked of every job that is awake at its head
R_UNTIL, R_LACK, R_LACKS, L_READY, L_FAIR, L_SEEN, L_SINCE, L_START = range(8)
L_END, L_LENGTH, L_OVER, L_BIND, L_PREDS, L_ARRIVED, L_NEXT_IN_BED, L_WAITED = range(8, 16)
WAITS = 8  # the six causes, then which skill, which spot
LIFE_STRIDE = 24
TOLD_HOURS, TOLD_WEATHER, TOLD_WATER, TOLD_CLOSED, TOLD_FACT, TOLD_BOAT, TOLD_SKILL = range(7)


# --- words and working time ---
@jit
def runs(word: int, length: int) -> int:
    """Bits from which `length` set bits follow one another."""
    have = 1
    while have < length and word != 0:
        shift = min(have, length - have)
        word &= word >> shift
        have += shift
    return word


@jit
def position_at(G: Ints, minute: int) -> int:
    """The first position whose quarter begins at or after a clock minute; SIZE where there is none."""
    at = (minute - G[CLOCK_FIRST] + 14) // 15
    if minute <= G[CLOCK_FIRST]:
        return 0
    if at >= G[CLOCK_COUNT]:
        return G[SIZE]
    return G[G[CLOCK] + at]


@jit
def worked_until(G: Ints, who: int, position: int, quarters: int) -> int:
    """One past the position at which somebody has worked so many quarters from a position on; SIZE + 1 for never."""
    row = G[PERSON] + who * PERSON_STRIDE
    last = G[G[row + PW_BEFORE] + position] + quarters - 1
    if last >= G[row + PW_COUNT]:
        return G[SIZE] + 1
    return G[G[row + PW_POSITIONS] + last] + 1


# --- people ---
@jit
def can_work(G: Ints, S: Ints, person: int, at: int, job: int, length: int) -> bool:
    """At work for `length` quarters from now. Nobody's day slides for a start before the plan's hour."""
    day = S[TODAY]
    mask = ((1 << length) - 1) << (at - day * G[PER_DAY])
    row = G[PERSON] + person * PERSON_STRIDE
    if G[G[row + PW_WORK] + day] & mask == mask:
        return True
    if G[job + J_SLIDES] == 0 or at < G[job + J_PLANNED] or G[G[row + PW_SLID] + day] & mask != mask:
        return False
    if S[G[SLID] + person * G[DAYS] + day] != 0:
        return True
    return S[G[SLID_WEEK] + person * G[WEEKS] + G[G[DAY_WEEK] + day]] < G[row + PW_PER_WEEK]


@jit
def named_can(G: Ints, S: Ints, job: int, at: int, length: int) -> bool:
    """Put the people whom the plan named into TEAM, if all of them can."""
    named = G[job + J_PEOPLE]
    if G[named] == 0 or S[CAN] & G[job + J_NAMED] != G[job + J_NAMED]:
        return False
    for index in range(G[named]):
        person = G[named + 1 + index]
        if not can_work(G, S, person, at, job, length):
            return False
        S[G[TEAM] + index] = person
    S[TEAM_COUNT] = G[named]
    return True


@jit
def gather(G: Ints, S: Ints, job: int, at: int, length: int, early: int) -> bool:
    """Put the job's people into TEAM: those of the plan, else whoever can."""
    S[TEAM_COUNT] = 0
    crew = G[job + J_CREW]
    if G[crew] == 0 or named_can(G, S, job, at, length):
        return True
    if early != 0:
        return False
    S[TEAM_COUNT] = 0
    can = S[CAN]
    for number in range(G[crew]):
        need = crew + 1 + 3 * number
        left = G[need + 1]
        who = can & G[need]
        if count(who) >= left:
            while who != 0 and left > 0:
                person = low(who)
                who &= who - 1
                if can_work(G, S, person, at, job, length):
                    S[G[TEAM] + S[TEAM_COUNT]] = person
                    S[TEAM_COUNT] += 1
                    can &= ~(1 << person)
                    left -= 1
        if left > 0:
            S[CAUSE], S[WHICH], S[SHORT], S[SHORT_BY] = BY_PEOPLE, G[need + 2], G[need], G[need + 1]
            return False
    return True


# --- places and berths ---
@jit
def free_units(G: Ints, S: Ints, spot: int, at: int, wanted: int) -> int:
    """Add up to `wanted` free units of a spot to TAKEN; gives how many."""
    row = G[SPOT] + spot * SPOT_STRIDE
    found = 0
    for unit in range(G[row + SP_FIRST], G[row + SP_FIRST] + G[row + SP_UNITS]):
        if found < wanted and S[G[U_UNTIL] + unit] <= at:
            taken = False
            for index in range(S[TAKEN_COUNT]):
                if S[G[TAKEN] + index] == unit:
                    taken = True
            if not taken:
                S[G[TAKEN] + S[TAKEN_COUNT]] = unit
                S[TAKEN_COUNT] += 1
                found += 1
    return found


@jit
def is_open(G: Ints, S: Ints, spot: int, at: int, length: int) -> bool:
    opens = G[G[SPOT] + spot * SPOT_STRIDE + SP_OPEN]
    if opens < 0:
        return True
    day = S[TODAY]
    return (runs(G[opens + day], length) >> (at - day * G[PER_DAY])) & 1 == 1


@jit
def planned_units(G: Ints, S: Ints, job: int, at: int, length: int) -> bool:
    """Put the units that the plan named into TAKEN, if all are free and open."""
    units, table = G[job + J_UNITS], G[job + J_SPOTS]
    if G[table] > 0 and G[units] == 0:
        return False
    for number in range(G[units]):
        unit = G[units + 1 + 2 * number]
        if S[G[U_UNTIL] + unit] > at:
            return False
        S[G[TAKEN] + number] = unit
    need = table + 1
    for _ in range(G[table]):
        if not is_open(G, S, G[need + 1], at, length):
            return False
        need += 3 + G[need + 2]
    S[TAKEN_COUNT] = G[units]
    return True


@jit
def first_freed(G: Ints, S: Ints, need: int) -> int:
    """When the first unit that will do is free; FAR or later where a stay has one of them: she may leave any time."""
    first, lain_in = FAR, False
    for index in range(G[need + 2]):
        spot = G[SPOT] + G[need + 3 + index] * SPOT_STRIDE
        for unit in range(G[spot + SP_FIRST], G[spot + SP_FIRST] + G[spot + SP_UNITS]):
            until = S[G[U_UNTIL] + unit]
            first = min(first, until)
            lain_in = lain_in or until >= FAR
    return FAR if lain_in else first


@jit
def take_spots(G: Ints, S: Ints, job: int, at: int, length: int, early: int) -> bool:
    """Put the job's units into TAKEN: those of the plan, else others of the same spot, else another that will do."""
    S[TAKEN_COUNT] = 0
    if planned_units(G, S, job, at, length):
        return True
    if early != 0:
        return False
    S[TAKEN_COUNT] = 0
    table = G[job + J_SPOTS]
    at_need = table + 1
    for _ in range(G[table]):
        wanted, planned, choices = G[at_need], G[at_need + 1], G[at_need + 2]
        before = S[TAKEN_COUNT]
        done = is_open(G, S, planned, at, length) and free_units(G, S, planned, at, wanted) == wanted
        index = 0
        while not done and index < choices:
            S[TAKEN_COUNT] = before
            spot = G[at_need + 3 + index]
            done = is_open(G, S, spot, at, length) and free_units(G, S, spot, at, wanted) == wanted
            index += 1
        if not done:
            S[CAUSE], S[WHICH] = BY_SPOT, planned
            S[FREED] = first_freed(G, S, at_need)
            return False
        at_need += 3 + choices
    return True


@jit
def find_berths(G: Ints, S: Ints, job: int, at: int) -> bool:
    """A free unit for each stay that begins with this job. She who leaves today as planned is thought gone."""
    table = G[job + J_FROM]
    day = S[TODAY]
    for number in range(G[table]):
        stay = G[table + 1 + number]
        row = G[G[LIE] + stay * LIE_STRIDE + LIE_PLACES]
        found = G[G[LIE] + stay * LIE_STRIDE + LIE_PLANNED]
        if S[G[U_UNTIL] + found] > at:
            found = -1
        for index in range(G[row]):
            spot = G[SPOT] + G[row + 1 + index] * SPOT_STRIDE
            for unit in range(G[spot + SP_FIRST], G[spot + SP_FIRST] + G[spot + SP_UNITS]):
                if found < 0 and S[G[U_UNTIL] + unit] <= at:
                    found = unit
        leaving = -1
        if found < 0:
            for other in range(G[LYINGS]):
                unit = S[G[LIE_UNIT] + other]
                until = G[G[LIE] + other * LIE_STRIDE + LIE_UNTIL]
                if leaving < 0 and unit >= 0 and until >= 0 and S[G[LIFE] + until * LIFE_STRIDE + L_START] < 0:
                    goes = G[G[DAY_OF] + G[G[JOB] + until * JOB_STRIDE + J_PLANNED]]
                    for index in range(G[row]):
                        spot = G[SPOT] + G[row + 1 + index] * SPOT_STRIDE
                        if goes == day and 0 <= unit - G[spot + SP_FIRST] < G[spot + SP_UNITS]:
                            leaving = other
            if leaving < 0:
                S[CAUSE], S[WHICH], S[FREED] = BY_SPOT, G[row + 1], FAR
                return False
            found = S[G[LIE_UNIT] + leaving]
            S[G[LIE_UNIT] + leaving] = -1  # the unit is hers now, and the one who leaves no longer gives it back
        S[G[LIE_UNIT] + stay] = found
        S[G[U_UNTIL] + found] = FAR
    return True


# --- who is next ---
@jit
def first_in_line(G: Ints, S: Ints, table: int, pointer: int, index: int) -> bool:
    """Whether everything that the plan put before this job into one line (a person's, a unit's, a boat's) has begun."""
    count = G[table]
    while S[pointer] < count and S[G[LIFE] + G[table + 1 + S[pointer]] * LIFE_STRIDE + L_START] >= 0:
        S[pointer] += 1
    return S[pointer] < count and G[table + 1 + S[pointer]] == index


@jit
def may_be_early(G: Ints, S: Ints, index: int) -> bool:
    job = G[JOB] + index * JOB_STRIDE
    named = G[job + J_PEOPLE]
    for number in range(G[named]):
        person = G[named + 1 + number]
        line = G[G[PERSON] + person * PERSON_STRIDE + PW_JOBS]
        if not first_in_line(G, S, line, G[P_NEXT] + person, index):
            return False
    units = G[job + J_UNITS]
    for number in range(G[units]):
        unit, line = G[units + 1 + 2 * number], G[units + 2 + 2 * number]
        if not first_in_line(G, S, line, G[U_NEXT] + unit, index):
            return False
    boat = G[job + J_BOAT]
    return boat < 0 or first_in_line(G, S, G[job + J_BOAT_LINE], G[B_NEXT] + boat, index)


@jit
def end_of(G: Ints, S: Ints, index: int, at: int) -> int:
    """Where the job really ends if it starts now; SIZE + 1 for never."""
    job = G[JOB] + index * JOB_STRIDE
    length, booked = S[G[LIFE] + index * LIFE_STRIDE + L_LENGTH], G[job + J_LENGTH]
    if G[job + J_PAUSING] == ELAPSED:
        return position_at(G, G[G[MINUTE] + at] + 15 * length)
    lead = S[G[TEAM]] if S[TEAM_COUNT] > 0 else G[PEOPLE]
    if G[job + J_PAUSING] == PAUSED:
        return worked_until(G, lead, at, length)
    if length <= booked:
        return at + length
    return worked_until(G, lead, at + booked, length - booked) if at + booked < G[SIZE] else G[SIZE] + 1


# --- a job begins and ends ---
@jit
def wake_at(G: Ints, S: Ints, position: int) -> None:
    """Look at whoever is awake again then: today, or on a later day."""
    if position >= G[SIZE]:
        return
    day = G[G[DAY_OF] + position]
    bit = 1 << (position - day * G[PER_DAY])
    if day == S[TODAY]:
        S[WAKE] |= bit
    elif day > S[TODAY]:
        S[G[LATER] + day] |= bit


@jit
def sleep_until(G: Ints, S: Ints, index: int, until: int) -> None:
    """Look at the job again then. It stays awake through today, else goes to bed until its day."""
    S[G[LIFE] + index * LIFE_STRIDE + R_UNTIL] = until
    day = G[G[DAY_OF] + until] if until < G[SIZE] else G[DAYS]
    word, bit = index // WORD, 1 << (index % WORD)
    if day <= S[TODAY]:
        S[G[AWAKE] + word] |= bit
        S[FIRST_AWAKE], S[LAST_AWAKE] = min(S[FIRST_AWAKE], word), max(S[LAST_AWAKE], word)
    else:
        S[G[AWAKE] + word] &= ~bit
        if day < G[DAYS]:
            S[G[LIFE] + index * LIFE_STRIDE + L_NEXT_IN_BED] = S[G[BED] + day]
            S[G[BED] + day] = index
    wake_at(G, S, until)


@jit
def release(G: Ints, S: Ints, index: int, at: int, end: int) -> None:
    """Tell the jobs that wait for this one when it will be done, and let go of what it leaves."""
    job = G[JOB] + index * JOB_STRIDE
    if G[job + J_PAUSING] == ELAPSED:
        minute = G[G[MINUTE] + at] + 15 * S[G[LIFE] + index * LIFE_STRIDE + L_LENGTH]
    elif end > G[SIZE]:
        minute = G[CLOCK_FIRST] + 15 * G[CLOCK_COUNT] + 15
    else:
        minute = G[G[MINUTE] + end - 1] + 15
    table = G[job + J_AFTER]
    for number in range(G[table]):
        after, wait = G[table + 1 + 2 * number], G[table + 2 + 2 * number]
        ready = position_at(G, minute + wait)
        S[G[LIFE] + after * LIFE_STRIDE + L_PREDS] -= 1
        if ready > S[G[LIFE] + after * LIFE_STRIDE + L_READY]:
            S[G[LIFE] + after * LIFE_STRIDE + L_READY] = ready
            S[G[LIFE] + after * LIFE_STRIDE + L_BIND] = index
        if S[G[LIFE] + after * LIFE_STRIDE + L_PREDS] == 0 and S[G[LIFE] + after * LIFE_STRIDE + L_ARRIVED] == 1:
            sleep_until(G, S, after, S[G[LIFE] + after * LIFE_STRIDE + L_READY])
    table = G[job + J_UNTIL]
    for number in range(G[table]):
        stay = G[table + 1 + number]
        unit = S[G[LIE_UNIT] + stay]
        if unit >= 0:
            S[G[U_UNTIL] + unit] = at
            S[G[LIE_UNIT] + stay] = -1
            S[WAKE] |= (1 << (at - G[G[DAY_OF] + at] * G[PER_DAY])) << 1


@jit
def begin(G: Ints, S: Ints, index: int, at: int) -> None:
    """Start the job with TEAM and TAKEN."""
    job = G[JOB] + index * JOB_STRIDE
    day = G[G[DAY_OF] + at]
    end = end_of(G, S, index, at)
    S[G[LIFE] + index * LIFE_STRIDE + L_START], S[G[LIFE] + index * LIFE_STRIDE + L_END] = at, end
    S[G[LIFE] + index * LIFE_STRIDE + L_OVER] = max(0, S[G[LIFE] + index * LIFE_STRIDE + L_LENGTH] - G[job + J_LENGTH])
    S[ASKED] -= G[job + J_MARKED]
    mask = ((1 << (G[job + J_LENGTH] if G[job + J_PAUSING] == FITTED else 1)) - 1) << (at - day * G[PER_DAY])
    for number in range(S[TEAM_COUNT]):
        person = S[G[TEAM] + number]
        S[G[P_UNTIL] + person] = end
        S[CAN] &= ~(1 << person)
        row = G[PERSON] + person * PERSON_STRIDE
        if G[G[row + PW_WORK] + day] & mask != mask and S[G[SLID] + person * G[DAYS] + day] == 0:
            S[G[SLID] + person * G[DAYS] + day] = 1
            S[G[SLID_WEEK] + person * G[WEEKS] + G[G[DAY_WEEK] + day]] += 1
    for number in range(S[TAKEN_COUNT]):
        S[G[U_UNTIL] + S[G[TAKEN] + number]] = end
    if G[job + J_BOAT] >= 0:
        S[G[B_UNTIL] + G[job + J_BOAT]] = end
    release(G, S, index, at, end)
    wake_at(G, S, end)


# --- may it start now ---
@jit
def window(G: Ints, S: Ints, index: int, at: int, length: int) -> bool:
    """Whether water, light and weather let the job start now; else it sleeps until they do."""
    if at < S[G[LIFE] + index * LIFE_STRIDE + L_FAIR]:
        return True
    job = G[JOB] + index * JOB_STRIDE
    day = S[TODAY]
    quarter = at - day * G[PER_DAY]
    still = dry_starts(G, job, day, length) >> quarter
    fair = still & (fair_starts(G, S, job, day, length) >> quarter)
    if fair & 1 == 1:
        S[G[LIFE] + index * LIFE_STRIDE + L_FAIR] = at + low(~fair)
        return True
    if fair != 0:
        S[CAUSE] = BY_WEATHER if still & 1 == 1 else lack_of_starts(G, job)
        sleep_until(G, S, index, at + low(fair))
    else:
        S[CAUSE] = BY_WEATHER if still != 0 else lack_of_starts(G, job)
        sleep_until(G, S, index, first_start_after(G, S, index, day, length))
    return False


@jit
def dry_starts(G: Ints, job: int, day: int, length: int) -> int:
    """The quarters of a day at which the job may start for its length, the water, the light and closed times."""
    still = (G[DAY_FULL] >> (length - 1)) if length <= G[PER_DAY] else 0
    return still & G[G[job + J_DOMAIN] + day] if G[job + J_DOMAIN] >= 0 else still


@jit
def fair_starts(G: Ints, S: Ints, job: int, day: int, length: int) -> int:
    """The quarters of a day at which the weather lets it start."""
    if G[job + J_CLASS] < 0:
        return G[DAY_FULL]
    return runs(S[G[WEATHER] + G[job + J_CLASS] * G[DAYS] + day], length)


@jit
def lack_of_starts(G: Ints, job: int) -> int:
    return BY_WATER if G[job + J_WATER] != 0 else BY_CLOSED


@jit
def first_start_after(G: Ints, S: Ints, index: int, day: int, length: int) -> int:
    """The first position after a day at which water, light and weather let the job start; SIZE where there is none.

    Days without one are passed over at once, each counted by what it lacks: nobody else's work changes that.
    """
    job = G[JOB] + index * JOB_STRIDE
    after = day + 1
    while after < G[DAYS]:
        still = dry_starts(G, job, after, length)
        fair = still
        if still != 0:
            fair &= fair_starts(G, S, job, after, length)
        if fair != 0:
            return after * G[PER_DAY] + low(fair)
        S[G[LIFE] + index * LIFE_STRIDE + L_WAITED + (BY_WEATHER if still != 0 else lack_of_starts(G, job))] += G[
            PER_DAY
        ]
        S[COUNTED] += G[PER_DAY]
        after += 1
    return G[SIZE]


@jit
def count_wait(G: Ints, S: Ints, index: int, at: int) -> None:
    """Add the time since it was last looked at to the cause of then."""
    row = G[LIFE] + index * LIFE_STRIDE + L_WAITED
    if S[G[LIFE] + index * LIFE_STRIDE + L_SEEN] >= 0:
        S[row + S[G[LIFE] + index * LIFE_STRIDE + L_SEEN]] += at - S[G[LIFE] + index * LIFE_STRIDE + L_SINCE]
        S[G[LIFE] + index * LIFE_STRIDE + L_SEEN] = -1


@jit
def try_start(G: Ints, S: Ints, index: int, at: int) -> bool:
    """Start the job now if it can be; else keep what stopped it, and sleep where it is known how long."""
    job = G[JOB] + index * JOB_STRIDE
    if S[G[LIFE] + index * LIFE_STRIDE + L_READY] > at:
        sleep_until(G, S, index, S[G[LIFE] + index * LIFE_STRIDE + L_READY])
        return False
    early = 1 if at < G[job + J_PLANNED] else 0
    if early == 1 and G[job + J_EARLY] == 0:
        sleep_until(G, S, index, G[job + J_PLANNED])
        return False
    if early == 0:
        count_wait(G, S, index, at)
        S[G[LIFE] + index * LIFE_STRIDE + R_LACKS] = 0
    S[COUNTED] = 0
    length = G[job + J_LENGTH] if G[job + J_PAUSING] == FITTED else 1
    boat = G[job + J_BOAT]
    if not window(G, S, index, at, length):
        done = False
    elif boat >= 0 and S[G[B_UNTIL] + boat] > at:
        S[CAUSE] = BY_BOAT
        done = False
    elif early == 1 and not may_be_early(G, S, index):
        done = False
    else:
        done = gather(G, S, job, at, length, early) and take_spots(G, S, job, at, length, early)
        done = done and find_berths(G, S, job, at)
    if done:
        begin(G, S, index, at)
    elif early == 0:
        S[G[LIFE] + index * LIFE_STRIDE + L_SEEN], S[G[LIFE] + index * LIFE_STRIDE + L_SINCE] = (
            S[CAUSE],
            at + S[COUNTED],
        )
        if S[CAUSE] == BY_PEOPLE:
            S[G[LIFE] + index * LIFE_STRIDE + L_WAITED + 6] = S[WHICH]
            rest = G[LIFE] + index * LIFE_STRIDE
            S[rest + R_LACK], S[rest + R_LACKS] = S[SHORT], S[SHORT_BY]
        elif S[CAUSE] == BY_SPOT:
            S[G[LIFE] + index * LIFE_STRIDE + L_WAITED + 7] = S[WHICH]
            if at < S[FREED] < FAR:
                sleep_until(G, S, index, S[FREED])
    return done


# --- a season from its first day to its last ---
@jit
def clear(G: Ints, S: Ints) -> None:
    """A season that has not begun."""
    for index in range(G[JOBS]):
        job = G[JOB] + index * JOB_STRIDE
        S[G[LIFE] + index * LIFE_STRIDE + L_PREDS] = G[job + J_PREDS]
        S[G[LIFE] + index * LIFE_STRIDE + L_ARRIVED], S[G[LIFE] + index * LIFE_STRIDE + L_FAIR] = 0, 0
        rest = G[LIFE] + index * LIFE_STRIDE  # before its hour a job starts only with the people of the plan
        S[rest + R_UNTIL], S[rest + R_LACK], S[rest + R_LACKS] = 0, G[job + J_NAMED], count(G[job + J_NAMED])
        (
            S[G[LIFE] + index * LIFE_STRIDE + L_START],
            S[G[LIFE] + index * LIFE_STRIDE + L_END],
            S[G[LIFE] + index * LIFE_STRIDE + L_SEEN],
        ) = -1, -1, -1
        S[G[LIFE] + index * LIFE_STRIDE + L_BIND] = -1
        ready = max(G[job + J_EARLIEST], G[job + J_NOT_BEFORE])
        facts = G[job + J_FACTS]
        for number in range(G[facts]):
            here = position_at(G, S[G[FACT] + G[facts + 1 + number]])
            if here > ready:
                ready = here
                S[G[LIFE] + index * LIFE_STRIDE + L_BIND] = -2
        S[G[LIFE] + index * LIFE_STRIDE + L_READY] = ready
        for cause in range(WAITS):
            S[G[LIFE] + index * LIFE_STRIDE + L_WAITED + cause] = 0
    for person in range(G[PEOPLE]):
        S[G[P_UNTIL] + person], S[G[P_NEXT] + person] = 0, 0
    for number in range(G[PEOPLE] * G[DAYS]):
        S[G[SLID] + number] = 0
    for number in range(G[PEOPLE] * G[WEEKS]):
        S[G[SLID_WEEK] + number] = 0
    for unit in range(G[UNITS]):
        S[G[U_UNTIL] + unit], S[G[U_NEXT] + unit] = 0, 0
    for boat in range(G[BOATS]):
        S[G[B_UNTIL] + boat], S[G[B_NEXT] + boat] = 0, 0
    for day in range(G[DAYS]):
        S[G[LATER] + day], S[G[BED] + day] = 0, -1
    for word in range(G[JOBS] // WORD + 1):
        S[G[AWAKE] + word] = 0
    S[WAKE], S[FIRST_AWAKE], S[LAST_AWAKE], S[ASKED], S[DUE] = 0, FAR, -1, G[MARKED], 0
    S[TODAY] = G[G[DAY_OF] + G[NOW]]


@jit
def take_up(G: Ints, S: Ints) -> int:
    """Boats that lie where they lie, and jobs that are in hand; gives how many jobs these are."""
    taken = 0
    for stay in range(G[LYINGS]):
        S[G[LIE_UNIT] + stay] = -1
        row = G[LIE] + stay * LIE_STRIDE
        if G[row + LIE_FROM] < 0:
            unit = G[row + LIE_PLANNED]
            S[G[LIE_UNIT] + stay] = unit
            S[G[U_UNTIL] + unit] = FAR
    for index in range(G[JOBS]):
        job = G[JOB] + index * JOB_STRIDE
        if G[job + J_RUNNING] == 0:
            continue
        S[TEAM_COUNT] = 0
        S[TAKEN_COUNT] = 0
        for number in range(G[G[job + J_PEOPLE]]):
            S[G[TEAM] + S[TEAM_COUNT]] = G[G[job + J_PEOPLE] + 1 + number]
            S[TEAM_COUNT] += 1
        for number in range(G[G[job + J_UNITS]]):
            S[G[TAKEN] + S[TAKEN_COUNT]] = G[G[job + J_UNITS] + 1 + 2 * number]
            S[TAKEN_COUNT] += 1
        if find_berths(G, S, job, G[job + J_PLANNED]):
            begin(G, S, index, G[job + J_PLANNED])
            taken += 1
    return taken


@jit
def begin_day(G: Ints, S: Ints, day: int, arrived: int) -> int:
    """Wake whoever sleeps until today, and let in the jobs planned for today; gives how many have come in by now."""
    S[TODAY] = day
    S[WAKE] = G[G[DAY_WAKE] + day] | S[G[LATER] + day]
    if day * G[PER_DAY] < G[NOW]:
        gone = G[NOW] - day * G[PER_DAY]
        S[WAKE] = (S[WAKE] >> gone << gone) | 1 << gone
    index = S[G[BED] + day]
    while index >= 0:
        after = S[G[LIFE] + index * LIFE_STRIDE + L_NEXT_IN_BED]
        sleep_until(G, S, index, S[G[LIFE] + index * LIFE_STRIDE + R_UNTIL])
        index = after
    while arrived < G[JOBS]:
        index = arrived
        if G[G[JOB] + index * JOB_STRIDE + J_EARLIEST] >= (day + 1) * G[PER_DAY]:
            break
        arrived += 1
        S[G[LIFE] + index * LIFE_STRIDE + L_ARRIVED] = 1
        wake_at(G, S, G[G[JOB] + index * JOB_STRIDE + J_PLANNED])
        if S[G[LIFE] + index * LIFE_STRIDE + L_START] < 0 and S[G[LIFE] + index * LIFE_STRIDE + L_PREDS] == 0:
            sleep_until(G, S, index, S[G[LIFE] + index * LIFE_STRIDE + L_READY])
    return arrived


@jit
def fall_due(G: Ints, S: Ints, at: int) -> None:
    """From its planned hour on a job may start with whoever can."""
    while S[DUE] < G[JOBS] and G[G[JOB] + S[DUE] * JOB_STRIDE + J_PLANNED] <= at:
        S[G[LIFE] + S[DUE] * LIFE_STRIDE + R_LACKS] = 0
        S[DUE] += 1


@jit
def look_at_all(G: Ints, S: Ints, at: int) -> int:
    """Try every job that is awake, the one planned first going first; gives how many started.

    Not one whose people are known not to be free: those it lacked when last tried; before its hour, the plan's.
    """
    started = 0
    fall_due(G, S, at)
    S[CAN] = G[G[AT_WORK] + at]
    for person in range(G[PEOPLE]):
        if S[G[P_UNTIL] + person] > at:
            S[CAN] &= ~(1 << person)
    for word in range(S[FIRST_AWAKE], S[LAST_AWAKE] + 1):
        awake = S[G[AWAKE] + word]
        while awake != 0:
            bit = low(awake)
            awake &= awake - 1
            index = word * WORD + bit
            rest = G[LIFE] + index * LIFE_STRIDE
            # One jump for both: it is the one that goes now this way, now that.
            if (S[rest + R_UNTIL] > at) | (count(S[CAN] & S[rest + R_LACK]) < S[rest + R_LACKS]):
                continue
            if try_start(G, S, index, at):
                S[G[AWAKE] + word] &= ~(1 << bit)
                started += 1
    return started


@jit
def live_through(G: Ints, S: Ints) -> None:
    """Every day from now on: at each quarter at which something may have changed, look at the jobs that are awake.

    It ends when the last job that a milestone names has begun: its end is known then.
    """
    clear(G, S)
    left = G[JOBS] - take_up(G, S)
    arrived = 0
    for day in range(G[G[DAY_OF] + G[NOW]], G[DAYS]):
        arrived = begin_day(G, S, day, arrived)
        while S[WAKE] != 0 and left > 0 and S[ASKED] > 0:
            quarter = low(S[WAKE])
            S[WAKE] &= S[WAKE] - 1
            if quarter < G[PER_DAY]:
                left -= look_at_all(G, S, day * G[PER_DAY] + quarter)
        if left == 0 or S[ASKED] == 0:
            break  # whatever else is done, nobody asks when
        while S[FIRST_AWAKE] < S[LAST_AWAKE] and S[G[AWAKE] + S[FIRST_AWAKE]] == 0:
            S[FIRST_AWAKE] += 1


@jit
def add_causes(G: Ints, S: Ints, mark: int, told: Ints) -> None:
    """Walk back from a milestone through what it waited for, and add up by what each step became late."""
    row = mark * G[CAUSES]
    index = G[G[MARK] + mark * MARK_STRIDE + M_JOB]
    if G[G[MARK] + mark * MARK_STRIDE + M_AT_START] == 0 and S[G[LIFE] + index * LIFE_STRIDE + L_START] >= 0:
        told[row + TOLD_HOURS] += S[G[LIFE] + index * LIFE_STRIDE + L_OVER]
    for _ in range(G[JOBS]):
        planned = G[G[JOB] + index * JOB_STRIDE + J_PLANNED]
        if S[G[LIFE] + index * LIFE_STRIDE + L_START] < 0 or S[G[LIFE] + index * LIFE_STRIDE + L_START] <= planned:
            break
        waited = G[LIFE] + index * LIFE_STRIDE + L_WAITED
        told[row + TOLD_WEATHER] += S[waited + BY_WEATHER]
        told[row + TOLD_WATER] += S[waited + BY_WATER]
        told[row + TOLD_CLOSED] += S[waited + BY_CLOSED]
        told[row + TOLD_BOAT] += S[waited + BY_BOAT]
        told[row + G[SKILL_CAUSE] + S[waited + 6]] += S[waited + BY_PEOPLE]
        told[row + G[SPOT_CAUSE] + S[waited + 7]] += S[waited + BY_SPOT]
        if S[G[LIFE] + index * LIFE_STRIDE + L_READY] <= planned:
            break
        before = S[G[LIFE] + index * LIFE_STRIDE + L_BIND]
        if before < 0:
            told[row + TOLD_FACT] += S[G[LIFE] + index * LIFE_STRIDE + L_READY] - planned
            break
        told[row + TOLD_HOURS] += S[G[LIFE] + before * LIFE_STRIDE + L_OVER]
        index = before


# --- what the driver calls ---
@entry
def simulate(g: Ints, s: Ints, seasons: int, lengths: Ints, weather: Ints, facts: Ints, days: Ints, told: Ints) -> None:
    """Live through `seasons` seasons.

    Jobs are numbered as the plan starts them.  lengths: quarters that each job really takes, season by season.
    weather: workable words by season, class and day.  facts: the minute at which each fact is here, by season.
    days: written, the axis day of each milestone by season, DAYS where it lies beyond the axis.  told: added to,
    quarters late by milestone and cause.
    """
    G, S = words(g), words(s)
    told_words = words(told)
    for season in range(seasons):
        for index in range(G[JOBS]):
            S[G[LIFE] + index * LIFE_STRIDE + L_LENGTH] = lengths[season * G[JOBS] + index]
        for index in range(G[CLASSES] * G[DAYS]):
            S[G[WEATHER] + index] = weather[season * G[CLASSES] * G[DAYS] + index]
        for index in range(G[FACTS]):
            S[G[FACT] + index] = facts[season * G[FACTS] + index]
        live_through(G, S)
        for mark in range(G[MARKS]):
            row = G[MARK] + mark * MARK_STRIDE
            index = G[row + M_JOB]
            at = (
                S[G[LIFE] + index * LIFE_STRIDE + L_START]
                if G[row + M_AT_START] != 0
                else S[G[LIFE] + index * LIFE_STRIDE + L_END] - 1
            )
            inside = S[G[LIFE] + index * LIFE_STRIDE + L_START] >= 0 and at < G[SIZE]
            days[season * G[MARKS] + mark] = G[G[DAY_OF] + at] if inside else G[DAYS]
            add_causes(G, S, mark, told_words)
