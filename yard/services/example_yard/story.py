"""What makes the example's spring believable: dates near the edge, some late, letters sent, answers come back.

All of it follows from the orders' numbers, so that one seed tells one story.
"""

from __future__ import annotations

import html
from collections import defaultdict
from datetime import date, datetime, timedelta
from itertools import groupby

from yard.models import Fact, FactKind, Job, Letter, Order, Owner, OwnerAnswer, Plan, Telling, YardSettings
from yard.notices.wording import day_words, listed
from yard.services.example_yard.pen import Pen

TOLD_AT_ONCE = timedelta(days=6)
"""Work done longer ago was told; what was done since is still to be told."""
LETTERS_OF = timedelta(days=12)
MARGINS = (14, 5, 3, -2, 12, 7, 2, 16, 9, 6)
"""Days from the plan's day to the promised one, order by order: some safe, some near the edge, one in ten late."""
LATE_DONE = (0, 0, 0, 2, 0, 1, 0, 4)
"""Days by which finished orders missed what was promised: three in eight, none by much."""
BY_OWNER = {FactKind.APPROVAL, FactKind.DEPOSIT, FactKind.PERMIT}
Kind, State = OwnerAnswer.Kind, OwnerAnswer.State


def write_story(plan: Plan, now: datetime, pen: Pen) -> None:
    """After the tellings are written."""
    _promises(plan, now, pen)
    _tell_done(plan, now, pen)
    letters = _letters(now, pen)
    _answers(letters, now, pen)


def _promises(plan: Plan, now: datetime, pen: Pen) -> None:
    last: dict[int, datetime] = {}
    for row in plan.planned_jobs.select_related("job"):
        last[row.job.order_id] = max(last.get(row.job.order_id, row.ends_at), row.ends_at)
    orders = Order.objects.filter(pk__in=last, promised_date__isnull=False, fixed_delivery_at=None).order_by("id")
    changed = []
    for number, order in enumerate(orders):
        planned = last[order.pk].astimezone(pen.zone).date()
        if order.state == Order.State.DONE:
            days = LATE_DONE[number % len(LATE_DONE)]
            order.promised_date = (
                planned - timedelta(days=days) if days else max(planned, order.promised_date or planned)
            )
        else:
            order.promised_date = _weekday(planned + timedelta(days=MARGINS[number % len(MARGINS)]))
        if order.earliest_date is not None:
            order.promised_date = max(order.promised_date, order.earliest_date)
        changed.append(order)
    pen.update(changed, ["promised_date"], now)


def _weekday(day: date) -> date:
    return day + timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)


def _tell_done(plan: Plan, now: datetime, pen: Pen) -> None:
    """Owners of small work heard of it when it was done."""
    done = Order.objects.filter(state=Order.State.DONE, boat__isnull=False)
    done = (
        done.exclude(tellings__state=Telling.State.DONE).select_related("boat").prefetch_related("boat__owners", "jobs")
    )
    found = []
    for order in done.order_by("id"):
        ends = [job.actual_ends_at for job in order.jobs.all() if job.state == Job.State.DONE and job.actual_ends_at]
        owners = list(order.boat.owners.all()) if order.boat is not None else []
        if not ends or not owners or max(ends) > now - TOLD_AT_ONCE:
            continue
        day = max(ends).astimezone(pen.zone).date()
        found.append(
            Telling(
                order=order,
                boat=order.boat,
                owner=owners[0],
                state=Telling.State.DONE,
                told_date=day,
                how=owners[0].prefers,
                said=f"{order.name} for {order.boat}: done on {day_words(day)}.",
                told_by=pen.by,
                told_at=max(ends) + timedelta(hours=1),
                plan=plan,
            )
        )
    pen.insert(found, now)


def _letters(now: datetime, pen: Pen) -> list[Letter]:
    """What was told by e-mail lately, as the letters that said it: one for each owner and day."""
    yard = YardSettings.objects.get(pk=1)
    rows = Telling.objects.filter(told_at__gt=now - LETTERS_OF, told_at__lte=now).exclude(owner__email="")
    rows = (
        rows.filter(how=Telling.How.EMAIL).select_related("owner", "order__boat").order_by("owner_id", "told_at", "id")
    )
    found: list[Letter] = []
    of_letter: dict[int, list[Telling]] = defaultdict(list)
    for (owner, _), group in groupby(rows, key=lambda row: (row.owner, row.told_at.astimezone(pen.zone).date())):
        told = list(group)
        assert owner is not None
        letter = _letter(owner, told, yard, pen)
        of_letter[len(found)] = told
        found.append(letter)
    written = pen.insert(found, now)
    for number, letter in enumerate(written):
        for telling in of_letter[number]:
            telling.letter = letter
    pen.update([row for told in of_letter.values() for row in told], ["letter"], now)
    return written


def _letter(owner: Owner, told: list[Telling], yard: YardSettings, pen: Pen) -> Letter:
    boats = listed(list(dict.fromkeys(str(row.boat) for row in told)))
    last = told[-1]
    parts = [f"Dear {owner.name},", *(row.said for row in told), f"{yard.name}\n{yard.phone}".strip()]
    body = "\n".join(f"<p>{html.escape(part)}</p>" for part in parts)
    at = max(row.told_at for row in told)
    return Letter(
        owner=owner,
        state=Letter.State.SENT,
        way=Letter.Way.EMAIL,
        tells=[
            {
                "order": row.order_id,
                "state": row.state,
                "date": row.told_date.isoformat() if row.told_date else None,
                "reserve": row.reserve_date.isoformat() if row.reserve_date else None,
            }
            for row in told
        ],
        subject=f"{boats}: {last.get_state_display()}"[:150],
        text="\n\n".join(parts) + "\n",
        html=f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{html.escape(boats)}</title></head>'
        f"\n<body>\n{body}\n</body></html>\n",
        to_address=owner.email,
        plan=last.plan,
        made_at=at,
        released_by=pen.by,
        released_at=at,
        sent_at=at,
    )


def _answers(letters: list[Letter], now: datetime, pen: Pen) -> None:
    """A day suits, another does not, a date for what is waited for, and a message: two are still to be looked at."""
    said = [
        (Kind.SUITS, State.ACCEPTED, 0, ""),
        (Kind.SUITS_NOT, State.WAITING, 5, "We are away until then, sorry."),
        (Kind.WORDS, State.WAITING, 0, "Could you leave the forward hatch open an inch when she is afloat?"),
        (Kind.SUITS, State.ACCEPTED, 0, "Thank you, we shall be there for the launch."),
    ]
    open_days = [
        (letter, tell)
        for letter in letters
        for tell in letter.tells
        if tell["state"] in ("day", "firm") and tell["date"]
    ]
    found = []
    for number, ((letter, tell), (kind, state, days, words)) in enumerate(zip(open_days, said, strict=False)):
        order, day = Order.objects.select_related("boat").get(pk=tell["order"]), date.fromisoformat(tell["date"])
        of_a_day = kind is not Kind.WORDS
        found.append(
            _answer(letter.owner, kind, state, now - timedelta(hours=20 - 4 * number), pen, number)
            | {
                "order": order if of_a_day else None,
                "boat": order.boat if of_a_day else None,
                "about_date": day if of_a_day else None,
                "on_date": _weekday(day + timedelta(days=days)) if days else None,
                "said": words,
            }
        )
    fact = Fact.objects.filter(kind__in=BY_OWNER, state=Fact.State.EXPECTED, jobs__order__boat__owners__isnull=False)
    if (waited := fact.order_by("id").first()) is not None:
        job = waited.jobs.select_related("order__boat").order_by("id")[0]
        assert job.order.boat is not None
        about = {
            "fact": waited,
            "order": job.order,
            "boat": job.order.boat,
            "on_date": _weekday(now.date() + timedelta(6)),
        }
        owner = job.order.boat.owners.order_by("id")[0]
        found.append(_answer(owner, Kind.ON, State.WAITING, now - timedelta(hours=2), pen, len(said)) | about)
    pen.insert([OwnerAnswer(**row) for row in found], now)


def _answer(
    owner: Owner, kind: OwnerAnswer.Kind, state: OwnerAnswer.State, at: datetime, pen: Pen, number: int
) -> dict[str, object]:
    decided: dict[str, object] = (
        {} if state is State.WAITING else {"decided_by": pen.by, "decided_at": at + timedelta(hours=1)}
    )
    return {
        "owner": owner,
        "kind": kind,
        "state": state,
        "made_at": at,
        "form_key": pen.uid(f"answer-{number}"),
        **decided,
    }
