"""Made-up seasons for measuring the planner: boats, jobs, people, tides and lost days, all from a size and a seed.

Frozen: every ratio that the planner's benchmarks report divides by the cost of `earliest_due_list` in this file, so
its logic is never touched, nor its layout (ruff leaves it alone).  Standard library and numpy only; it shares no code
with the planner, so that `start_domains` and `check` judge the planner from outside.  The seasons are invented.

`season("M", seed=1)` gives a plain dict that `json.dumps` accepts; `start_domains(s)` one word a day of allowed starts
for every step (tide, light, lost days, inside one day, release); `check(s, starts, who, unit)` the list of broken rules
and the cost.  Its words differ from the planner's: a "job" here is a boat with an order, a "step" here is a job there.

Axis: working days of 8 h in 15-minute steps (32 a day), concatenated: step t is day t//32, clock 08:00 + 15 min x
(t%32).  `calendar[d]` is the calendar day of working day d (no weekends); waits are in clock quarter hours.  The
horizon is longer than the season (`season_days`) so that a late plan still exists.  Sizes: S 25 boats/25 days/6 people,
M 100/70/8, L 300/110/10, XL 1,000/130/30.  Durations are scaled so that the tightest union of skills (Hall set) is
loaded `load` over the season.

Cost = sum over boats of 100 x weight x max(0, day of last end - due day) + (day of last end - day of first start), in
working days.
"""
import itertools, json, math, random, sys
import numpy as np

Q = 32                    # steps a day
OPEN_Q = 32               # 08:00 in quarter hours
SKILLS = ["hand", "rigger", "sailmaker", "canvas", "operator"]
PLACES = ["ramp", "gin pole", "wash deck", "drying line", "loft floor", "machine", "workboat"]
SIZES = {"XS": (8, 12, 6), "S": (25, 25, 6), "M": (100, 70, 8), "L": (300, 110, 10), "XL": (1000, 130, 30)}
CAP = {"XS": [1, 1, 1, 6, 1, 2, 1], "S": [1, 1, 1, 6, 1, 2, 1], "M": [1, 1, 1, 6, 1, 2, 1],
       "L": [1, 1, 1, 6, 1, 2, 1], "XL": [3, 3, 3, 18, 3, 6, 3]}
LO, HI, POW, CLUMP = .33, 1.12, .8, .15
CONST = [(1.20, 28.9841042), (0.32, 30.0), (0.25, 28.4397295), (0.12, 15.0410686), (0.09, 13.9430356)]


def tide(hours, phases):
    h = np.zeros_like(hours, dtype=float)
    for (a, w), p in zip(CONST, phases):
        h += a * np.cos(np.deg2rad(w * hours) - p)
    return h


def _people(n, rng):
    base = [["hand", "operator"], ["hand", "rigger"], ["sailmaker", "canvas"], ["hand"],
            ["rigger", "operator", "hand"], ["canvas", "hand"], ["hand"], ["sailmaker", "rigger"],
            ["canvas", "sailmaker"], ["hand", "operator"]]
    return [list(base[i % len(base)]) for i in range(n)]


def _job(kind, rng):
    """steps: (name, quarters, needs, place, outdoor, pausable, tidal); arcs: (a, b, min_q, max_q)"""
    h = lambda lo, hi: rng.randint(int(lo * 4), int(hi * 4))
    S, A = [], []
    def st(name, dur, needs, place=None, outdoor=False, pause=False, tidal=False, preds=()):
        S.append(dict(name=name, dur=dur, needs=needs, place=place, outdoor=outdoor, pausable=pause, tidal=tidal))
        for p in preds:
            a, mn, mx = p if isinstance(p, tuple) else (p, 0, None)
            A.append((a, len(S) - 1, mn, mx))
        return len(S) - 1
    if kind == "commission":
        c = st("cover off", h(1, 3), [("hand", 2)], None, True)
        w = st("wash", h(2, 4), [("hand", 1)], "wash deck", True, preds=[c])
        p = st("bottom paint", h(2.5, 5), [("hand", rng.choice([1, 1, 2]))], None, True, preds=[w])
        r = st("rig check", h(1, 3), [("rigger", 1)])
        if rng.random() < .5:
            r = st("dress mast", h(1, 3), [("rigger", 1)], preds=[r])
        sl = st("sails check", h(.5, 1.5), [("sailmaker", 1)], "loft floor") if rng.random() < .4 else None
        la = st("launch", 4, [("operator", 1), ("hand", 2 if rng.random() < .5 else 1)], "ramp", True, tidal=True,
                preds=[(p, 64, 14 * 96 if rng.random() < .5 else None)])
        m = st("step mast", h(1, 2), [("rigger", 1), ("hand", 2)], "gin pole", True, preds=[(la, 0, 6 * 96), r])
        b = st("tune and bend on", h(2, 4), [("rigger", 1), ("sailmaker", 1)] if rng.random() < .5 else [("rigger", 1)],
               None, True, preds=[m] + ([sl] if sl is not None else []))
        if rng.random() < .35:
            b = st("fit covers", h(1, 2), [("canvas", 1)], None, True, preds=[b])
        st("deliver", h(1, 2), [("hand", 2)], "workboat", True, tidal=True, preds=[b])
    elif kind == "canvas":
        a = st("pattern", h(2, 6), [("canvas", 1)], None, True)
        b = st("cut", h(2, 4), [("canvas", 1)], "loft floor", preds=[(a, rng.randint(3, 10) * 96, None)])
        c = st("sew", h(8, 20), [("canvas", 1)], "machine", pause=True, preds=[b])
        d = st("trial fit", h(1, 3), [("canvas", 1)], None, True, preds=[c])
        st("hand over", h(.5, 1), [("hand", 1)], None, True, preds=[d])
    else:
        a = st("collect sails", h(.5, 1.5), [("hand", 1)], None, True)
        b = st("wash sails", h(1, 3), [("sailmaker", 1)], "wash deck", preds=[a])
        c = st("dry", rng.choice([32, 48, 64, 96]), [], "drying line", pause=True, preds=[(b, 0, 96)])
        d = st("inspect", h(.5, 1), [("sailmaker", 1)], "loft floor", preds=[c])
        e = st("repair", h(1, 8), [("sailmaker", 1)], "machine", pause=True, preds=[(d, rng.choice([0, 0, 3 * 96]), None)])
        st("store", h(.5, 1), [("hand", 1)], None, preds=[e])
    return S, A


def season(size="M", seed=1, load=0.90):
    boats, days, npeople = SIZES[size]
    rng = random.Random(f"{size}-{seed}")
    horizon = int(days * 1.45) + 15
    start = 59 if days > 60 else 90                              # calendar day of the year: 1 March / 1 April
    calendar = [d for d in range(int(horizon * 1.45) + 10) if d % 7 < 5][:horizon]
    people = [dict(name=f"P{i}", skills=s, off=[], half=False) for i, s in enumerate(_people(npeople, rng))]
    for p in people:
        for _ in range(max(1, days // 25)):
            p["off"].append(rng.randrange(days))
    people[3]["half"] = True                                     # mornings only
    lost = sorted(d for d in range(horizon) if rng.random() < 0.12)
    # tide: S2 peaks near 11:30, so springs are near noon; M2 in phase at a random day
    ph = [rng.uniform(0, 6.28), math.radians(30 * 11.5) % 6.283, rng.uniform(0, 6.28), rng.uniform(0, 6.28), rng.uniform(0, 6.28)]
    jobs = []
    for j in range(boats):
        kind = rng.choices(["commission", "canvas", "sails"], [.66, .17, .17])[0]
        steps, arcs = _job(kind, rng)
        draft_need = rng.choices([rng.uniform(-.3, .5), rng.uniform(.5, .9), rng.uniform(.9, 1.25)], [.45, .35, .2])[0]
        for s in steps:
            if s["tidal"]:
                s["need_height_m"] = round(draft_need - (.35 if s["name"] == "deliver" else 0), 3)
        jobs.append(dict(kind=kind, steps=steps, arcs=arcs))
    # scale durations to the load
    cap = {}
    for r in range(1, 6):
        for U in itertools.combinations(SKILLS, r):
            for dry in (False, True):                            # outdoor work has the dry days only
                n = [len([d for d in range(days) if d not in p["off"] and not (dry and d in lost)]) for p in people]
                cap[U, dry] = sum(m * Q * (.5 if p["half"] else 1) for m, p in zip(n, people) if set(p["skills"]) & set(U))
    raw = [[s["dur"] for s in j["steps"]] for j in jobs]
    def worst(f):
        best = 0, None
        for U, dry in cap:
            w = 0
            for j, rr in zip(jobs, raw):
                for s, d in zip(j["steps"], rr):
                    n = sum(c for k, c in s["needs"] if k in U)
                    if n and (s["outdoor"] or not dry):
                        w += n * _scaled(d, f, s)
            best = max(best, (w / cap[U, dry], U + ("dry days",) * dry))
        return best
    lo, hi = .05, 4
    for _ in range(20):
        mid = (lo + hi) / 2
        lo, hi = (mid, hi) if worst(mid)[0] < load else (lo, mid)
    for j, rr in zip(jobs, raw):
        for s, d in zip(j["steps"], rr):
            s["dur"] = _scaled(d, lo, s)
    got = worst(lo)
    # dates: wanted dates clump before two holidays; released 25-90 % of the season before
    peaks = [.60, .85]
    for j in jobs:
        x = rng.random()
        if j["kind"] == "commission":
            f = LO + (HI - LO) * x ** POW if rng.random() > CLUMP else rng.choice(peaks) + rng.uniform(-.05, .01)
        else:
            f = LO + (HI - LO) * x ** POW
        due = max(6, int(f * days))
        minlen = {"commission": 7, "canvas": 14, "sails": 7}[j["kind"]]
        due = max(due, minlen)
        j["due_day"] = due
        j["release_day"] = max(0, min(due - minlen, int(due - rng.uniform(.25, .90) * days)))
        j["weight"] = rng.choices([1, 2, 3], [.7, .2, .1])[0]
    return dict(size=size, seed=seed, quarters_a_day=Q, season_days=days, horizon_days=horizon, calendar=calendar,
                start_day_of_year=start, lost_days=lost, tide_phases=ph, skills=SKILLS, people=people,
                places=[dict(name=n, units=c) for n, c in zip(PLACES, CAP[size])], jobs=jobs,
                load=got[0], tightest=list(got[1]))


def _scaled(d, f, s):
    if not s["needs"] or s["name"] == "launch":
        return d
    d = max(1, round(d * f))
    return d if s["pausable"] else min(d, 20)


def clock_tables(s):
    """clock[t] for a step t; first_work[c] = first step whose clock >= c (size+1 entries)."""
    cal = s["calendar"]
    clock = np.array([cal[t // Q] * 96 + OPEN_Q + t % Q for t in range(len(cal) * Q)], dtype=np.int64)
    first_work = np.searchsorted(clock, np.arange(clock[-1] + 60 * 96)).astype(np.int64)
    return clock, first_work


def light(s, d):
    """first and last+1 quarter of working light on working day d, at 41.5 N, solar time."""
    n = s["start_day_of_year"] + s["calendar"][d]
    dec = math.radians(-23.44) * math.cos(2 * math.pi * (n + 10) / 365)
    x = -math.tan(math.radians(41.5)) * math.tan(dec)
    half = math.degrees(math.acos(max(-1, min(1, x)))) / 15
    return max(0, math.ceil((12 - half) * 4) - OPEN_Q), min(Q, math.floor((12 + half) * 4) - OPEN_Q)


def start_domains(s):
    """{(job, step): [word of allowed starts for each day]}; bit b = may start at step b of the day."""
    H = s["horizon_days"]; out = {}; lost = set(s["lost_days"]); full = (1 << Q) - 1
    lights = [light(s, d) for d in range(H)]
    hrs = np.array([[c * 24 + 8 + b / 4 for b in range(Q + 1)] for c in s["calendar"]])
    height = tide(hrs, s["tide_phases"])
    for j, job in enumerate(s["jobs"]):
        for k, st in enumerate(job["steps"]):
            words = []
            ok_h = height >= st["need_height_m"] if st["tidal"] else None
            for d in range(H):
                if d < job["release_day"] or (st["outdoor"] and d in lost):
                    words.append(0); continue
                if st["pausable"]:
                    words.append(full); continue
                m = full
                if st["outdoor"]:
                    a, b = lights[d]; m &= ((1 << b) - 1) & ~((1 << a) - 1)
                if ok_h is not None:
                    m &= sum(1 << b for b in range(Q) if ok_h[d, b] and ok_h[d, b + 1])
                r = m
                for i in range(1, st["dur"]):
                    r &= m >> i
                words.append(r)
            out[j, k] = words
    return out


def person_free(s, i):
    p = s["people"][i]; w = (1 << (Q // 2)) - 1 if p["half"] else (1 << Q) - 1
    return [0 if d in set(p["off"]) else w for d in range(s["horizon_days"])]


def check(s, starts, who, unit):
    """starts[j][k], who[j][k] = list of people (needs in order), unit[j][k] = unit of the place or None."""
    bad = []; dom = start_domains(s); clock, _ = clock_tables(s); cost = late = flow = 0
    used = {}
    pf = [person_free(s, i) for i in range(len(s["people"]))]
    for j, job in enumerate(s["jobs"]):
        ends = []
        for k, st in enumerate(job["steps"]):
            t, d = starts[j][k], st["dur"]
            ends.append(t + d)
            if not dom[j, k][t // Q] >> (t % Q) & 1: bad.append(("domain", j, k))
            if not st["pausable"] and t // Q != (t + d - 1) // Q: bad.append(("night", j, k))
            need = [sk for sk, c in st["needs"] for _ in range(c)]
            if len(need) != len(who[j][k]) or len(set(who[j][k])) != len(need): bad.append(("crew", j, k))
            for sk, p in zip(need, who[j][k]):
                if sk not in s["people"][p]["skills"]: bad.append(("skill", j, k))
                for u in range(t, t + d):
                    if not pf[p][u // Q] >> (u % Q) & 1: bad.append(("leave", j, k))
                    if used.setdefault(("p", p, u), (j, k)) != (j, k): bad.append(("person twice", j, k))
            if st["place"]:
                g = PLACES.index(st["place"])
                if not 0 <= unit[j][k] < s["places"][g]["units"]: bad.append(("unit", j, k))
                for u in range(t, t + d):
                    if used.setdefault((g, unit[j][k], u), (j, k)) != (j, k): bad.append(("place twice", j, k))
        for a, b, mn, mx in job["arcs"]:
            w = clock[starts[j][b]] - (clock[ends[a] - 1] + 1)
            if starts[j][b] < ends[a] or w < mn or (mx is not None and w > mx): bad.append(("wait", j, a, b, int(w)))
        e = (max(ends) - 1) // Q
        late += job["weight"] * max(0, e - job["due_day"]); flow += e - min(starts[j]) // Q
    return bad, 100 * late + flow


# --- the earliest-due-date list: the yardstick that every ratio divides by -------------------------------------------

def _run(mask, p):
    """Bits from which `p` set bits follow one another (repeated shift-and)."""
    have = 1
    while have < p and mask:
        shift = min(have, p - have)
        mask &= mask >> shift
        have += shift
    return mask


def _at_least(masks, k):
    """Bits that are set in at least k of the masks (bit-sliced counters)."""
    g = [0] * k
    for m in masks:
        for i in range(k - 1, 0, -1):
            g[i] |= g[i - 1] & m
        g[0] |= m
    return g[-1]


def _crew(s, needs, able):
    """The first crew, people with fewest skills first, that fills the needs out of the able people."""
    order = sorted(able, key=lambda p: (len(s["people"][p]["skills"]), p))
    want = [sk for sk, c in needs for _ in range(c)]

    def fill(k, taken):
        if k == len(want):
            return taken
        for p in order:
            if p not in taken and want[k] in s["people"][p]["skills"]:
                full = fill(k + 1, taken + [p])
                if full:
                    return full
        return None

    return fill(0, []) if want else []


def earliest_due_list(s):
    """Boats by (due day, number), each boat's steps in order at their earliest start; nothing is ever moved again.

    A maximum wait that breaks lifts the step before it (25 times at most).  Returns (starts, who, unit, cost, unplaced);
    a boat that cannot be placed is left out and costs as if she finished on the last day of the horizon.
    """
    dom = start_domains(s); clock, first_work = clock_tables(s); H = s["horizon_days"]; size = H * Q
    word = {k: sum(w << (d * Q) for d, w in enumerate(words)) for k, words in dom.items()}
    free = [sum(w << (d * Q) for d, w in enumerate(person_free(s, i))) for i in range(len(s["people"]))]
    room = [[(1 << size) - 1] * g["units"] for g in s["places"]]
    n = len(s["jobs"]); starts, who, unit = [None] * n, [None] * n, [None] * n; cost = unplaced = 0

    def find(j, k, not_before):
        st = s["jobs"][j]["steps"][k]; p = st["dur"]
        runs = [_run(f, p) for f in free]
        ok = word[j, k] & ~((1 << not_before) - 1) & ((1 << (size - p + 1)) - 1)
        groups = [[i for i, q in enumerate(s["people"]) if sk in q["skills"]] for sk, _ in st["needs"]]
        for (sk, c), g in zip(st["needs"], groups):
            ok &= _at_least([runs[i] for i in g], c)
        if len(groups) > 1:
            both = sorted(set(groups[0]) | set(groups[1]))
            ok &= _at_least([runs[i] for i in both], sum(c for _, c in st["needs"]))
        units = []
        if st["place"]:
            units = [_run(u, p) for u in room[PLACES.index(st["place"])]]
            ok &= _at_least(units, 1)
        while ok:
            t = (ok & -ok).bit_length() - 1
            crew = _crew(s, st["needs"], [i for i in range(len(runs)) if runs[i] >> t & 1])
            if crew is not None:
                return t, crew, next((u for u, r in enumerate(units) if r >> t & 1), None)
            ok &= ok - 1
        return None

    def book(j, k, t, crew, u, sign):
        p = s["jobs"][j]["steps"][k]["dur"]; bits = ((1 << p) - 1) << t
        rows = [(free, i) for i in crew] + ([(room[PLACES.index(s["jobs"][j]["steps"][k]["place"])], u)] if u is not None else [])
        for table, row in rows:
            table[row] = table[row] & ~bits if sign else table[row] | bits

    for j in sorted(range(n), key=lambda j: (s["jobs"][j]["due_day"], j)):
        job = s["jobs"][j]; m = len(job["steps"]); floor = [0] * m; put = {}; k = lifts = 0; failed = False
        while k < m:
            low = floor[k]
            for a, b, mn, _ in job["arcs"]:
                if b == k:
                    end = put[a][0] + job["steps"][a]["dur"]
                    low = max(low, end, int(first_work[clock[end - 1] + 1 + mn]))
            got = find(j, k, low) if low < size else None
            if got is None:
                failed = True; break
            late = [(a, mx) for a, b, _, mx in job["arcs"] if b == k and mx is not None
                    and clock[got[0]] - (clock[put[a][0] + job["steps"][a]["dur"] - 1] + 1) > mx]
            if late:
                lifts += 1
                if lifts > 25:
                    failed = True; break
                a, mx = late[0]
                # the earliest start of the step before from which the wait is kept, then again from there
                need_end = int(np.searchsorted(clock, clock[got[0]] - mx - 1))
                floor[a] = max(put[a][0] + 1, need_end + 1 - job["steps"][a]["dur"])
                for x in range(a, k):
                    book(j, x, *put.pop(x), sign=False)
                k = a
                continue
            book(j, k, *got, sign=True); put[k] = got; k += 1
        if failed:
            for x in list(put):
                book(j, x, *put.pop(x), sign=False)
            unplaced += 1; cost += 100 * job["weight"] * max(0, H - 1 - job["due_day"]) + H - 1 - job["release_day"]
            continue
        starts[j], who[j], unit[j] = ([put[x][i] for x in range(m)] for i in range(3))
        e = max((put[x][0] + job["steps"][x]["dur"] - 1) // Q for x in range(m))
        cost += 100 * job["weight"] * max(0, e - job["due_day"]) + e - min(put[x][0] for x in range(m)) // Q
    return starts, who, unit, cost, unplaced


if __name__ == "__main__":
    # season.py SIZE SEED [FILE]: print the season's figures and its list's cost; write it as JSON
    s = season(*(sys.argv[1:2] or ["M"]), seed=int((sys.argv[2:] or [1])[0]))
    starts, who, unit, cost, unplaced = earliest_due_list(s)
    faults = check(s, starts, who, unit)[0] if not unplaced else "not checked: boats left out"
    print(s["size"], len(s["jobs"]), "boats", sum(len(j["steps"]) for j in s["jobs"]), "steps, load", round(s["load"], 3),
          "lost days", len(s["lost_days"]), "| list costs", cost, "left out", unplaced, "faults", faults if unplaced else len(faults))
    if len(sys.argv) > 3:
        json.dump(s, open(sys.argv[3], "w"))
