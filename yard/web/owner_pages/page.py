"""What an owner's page shows: of each order what was told, and where the plan still says so, its hour and its water.

A change that nobody has released yet does not show: nothing goes to an owner before a person has looked at it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said as said_time
from yard.models import (
    CalendarAddress,
    DayOdds,
    Fact,
    FactKind,
    Item,
    Job,
    Order,
    OwnerAnswer,
    OwnerPage,
    SameAgain,
    Telling,
    YardSettings,
)
from yard.notices.letter import water_words
from yard.notices.news import News
from yard.notices.wording import day_words, moment_words, sentence, week_words
from yard.queries.finished import is_finished
from yard.queries.letters_due import DueRow, still_told
from yard.queries.odds import chance_by
from yard.queries.owner_pages import OwnedBoat, OwnerRows, brought_on, owner_rows_of
from yard.queries.plans import posted_plan
from yard.services.feeds.addresses import AddressRefused, token_of
from yard.services.letters.ground import Ground
from yard.services.letters.news import FROM_OWNER, NewsOf, facts_asked, wish_words
from yard.services.letters.reading import signs
from yard.services.owner_pages.answers import wants_a_date
from yard.web.boats.sure import in_ten
from yard.web.boats.words import dial
from yard.web.letters.overview import odds_by_order
from yard.web.owner_pages.answers import AnswerRow, fresh_key
from yard.web.units import local

State = Telling.State
INSURANCE_ASKED_DAYS_BEFORE = 60
WITH_A_DAY = (State.PROVISIONAL_DAY, State.FIRM, State.WEATHER_HOLD)


@dataclass(frozen=True)
class Asked:
    """Something waited for from the owner.

    form: how it is answered, as owner/_asked.html knows it.  about: the id of what the answer names.  by: until when,
    "" for no day.  said: what the owner said of it before and the yard accepted.
    """

    form: str
    about: int
    words: str
    answer: AnswerRow | None
    by: str = ""
    said: str = ""
    key: str = field(default_factory=fresh_key)


@dataclass(frozen=True)
class Card:
    """One order. css: provisional, firm, hold, done or none. news: None where the plan says something else by now."""

    order: Order
    css: str
    state: str
    why: str
    when: str
    suits: str
    more: str
    water: str
    reserve: str
    call: str
    stops: tuple[str, ...]
    waits: tuple[str, ...]
    asked: tuple[Asked, ...]
    can_answer: bool
    day_answer: AnswerRow | None
    key: str
    promised: str
    sure: str
    hulls: tuple[bool, ...]


@dataclass(frozen=True)
class Done:
    """A finished order, and when its owner was told so, "" where nobody did yet."""

    name: str
    told: str


@dataclass(frozen=True)
class BoatCards:
    """cards: of what is still to come. asked: of the boat herself, whatever is ordered."""

    name: str
    cards: tuple[Card, ...]
    done: tuple[Done, ...]
    asked: tuple[Asked, ...]


@dataclass(frozen=True)
class Question:
    """Winter's question about one order."""

    asked: SameAgain
    words: str
    answer: AnswerRow | None
    key: str


@dataclass(frozen=True)
class Page:
    rows: OwnerRows
    boats: tuple[BoatCards, ...]
    questions: tuple[Question, ...]
    answers: tuple[AnswerRow, ...]
    calendar: str
    webcal: str
    dial: str
    key: str


def owners_page(page: OwnerPage, yard: YardSettings, *, now: datetime) -> Page:
    """About thirty queries; more boats and orders ask for no more, but for each order's water."""
    rows = owner_rows_of(page.owner)
    maker = _Cards(rows, yard, now)
    answers = tuple(AnswerRow.of(row) for row in rows.answers)
    calendar = _calendar(page)
    return Page(
        rows=rows,
        boats=tuple(maker.boat(each) for each in rows.boats),
        questions=tuple(_question(row, rows) for row in rows.asked),
        answers=answers,
        calendar=calendar,
        webcal="webcal://" + calendar.partition("://")[2] if calendar else "",
        dial=dial(yard.phone),
        key=fresh_key(),
    )


class _Cards:
    def __init__(self, rows: OwnerRows, yard: YardSettings, now: datetime) -> None:
        self.rows, self.yard, self.now = rows, yard, now
        self.ground = Ground(yard, now)
        boats = {each.owned.boat_id for each in rows.boats}
        plan = posted_plan()
        still = still_told(plan, yard, now=now, boats=boats)
        self.news_of = NewsOf(plan, self.ground, still) if plan is not None else None
        self.still: Mapping[int, DueRow] = {row.order.pk: row for row in still}
        self.odds: Mapping[int, DayOdds] = odds_by_order() if yard.tells_odds and boats else {}
        self.last: dict[int, Telling] = {}
        for telling in rows.tellings:
            self.last.setdefault(telling.order_id, telling)

    def boat(self, each: OwnedBoat) -> BoatCards:
        return BoatCards(
            name=each.owned.boat.name,
            cards=tuple(self.card(each, order) for order in each.orders if not self._is_done(order)),
            done=tuple(self._done(order) for order in each.orders if self._is_done(order)),
            asked=(*(self._thing(item) for item in each.things), *self._insurance(each)),
        )

    def _thing(self, item: Item) -> Asked:
        answers = [row for row in self.rows.answers if row.item_id == item.pk]
        open_answer = next((row for row in answers if row.state == OwnerAnswer.State.WAITING), None)
        said = next((day for row in answers if (day := brought_on(row, self.ground.today))), None)
        return Asked(
            form="thing",
            about=item.pk,
            words=_("Bring the {thing}").format(thing=item.name.lower()),
            answer=AnswerRow.of(open_answer) if open_answer is not None else None,
            said=_("You bring it on {day}: we have it down.").format(day=day_words(said)) if said is not None else "",
        )

    def _insurance(self, each: OwnedBoat) -> list[Asked]:
        expires, today = each.owned.insurance_expires_on, self.ground.today
        if expires is None or (expires - today).days >= INSURANCE_ASKED_DAYS_BEFORE:
            return []
        answer = self._open_answer(OwnerAnswer.Kind.INSURED, boat=each.owned.boat_id)
        if expires < today:
            words = _("Her insurance ran out on {day}: send us the new certificate").format(day=day_words(expires))
        else:
            words = _("Her insurance ends on {day}: send us the new certificate").format(day=day_words(expires))
        return [Asked(form="until", about=each.owned.boat_id, words=words, answer=answer)]

    def _open_answer(self, kind: OwnerAnswer.Kind, **of: int) -> AnswerRow | None:
        for row in self.rows.answers:
            asked = all(getattr(row, f"{name}_id") == pk for name, pk in of.items())
            if asked and row.kind == kind and row.state == OwnerAnswer.State.WAITING:
                return AnswerRow.of(row)
        return None

    def _is_done(self, order: Order) -> bool:
        """Its work is done, whether or not a person has written so by now: no day to come is shown of it."""
        told = self.last.get(order.pk)
        said = told is not None and told.state == State.DONE
        return said or order.state == Order.State.DONE or is_finished(order)

    def _done(self, order: Order) -> Done:
        told = self.last.get(order.pk)
        said = told is not None and told.state == State.DONE
        return Done(order.name, day_words(local(told.told_at).date()) if told is not None and said else "")

    def card(self, each: OwnedBoat, order: Order) -> Card:
        told = self.last.get(order.pk)
        row = self.still.get(order.pk)
        holds = row is not None and told is not None and row.last == told
        news = self.news_of.of(row, each.owned) if holds and row is not None and self.news_of is not None else None
        state = State(told.state) if told is not None else State.NOTHING
        day = told.told_date if told is not None else None
        with_day = state in WITH_A_DAY and news is not None
        answer = self._day_answer(order, told)
        sure, hulls = self._sure(order, day, with_day)
        return Card(
            order=order,
            css=_CSS[state],
            state=str(_STATE_WORDS[state]),
            why=news.reason if news is not None and state == State.WEATHER_HOLD else "",
            when=_when(state, day),
            suits=_bare_when(state, day),
            more=self._more(state, news),
            water=water_words(news, signs(self.yard)) if with_day and news is not None else "",
            reserve=day_words(told.reserve_date) if told is not None and told.reserve_date is not None else "",
            call=moment_words(news.call_at) if news is not None and news.call_at is not None else "",
            stops=news.could_stop if news is not None else (),
            waits=news.waits if news is not None else (),
            asked=(*self._wanted(order, state), *self._asked(order, row)),
            can_answer=_may_answer(order, state) and answer is None,
            day_answer=answer,
            key=fresh_key(),
            promised=day_words(order.promised_date) if order.promised_date is not None and state != State.DONE else "",
            sure=sure,
            hulls=hulls,
        )

    def _more(self, state: Telling.State, news: News | None) -> str:
        if state == State.PROVISIONAL_WEEK:
            return _("About {days} days before it we tell you the day.").format(days=self.yard.day_told_days_before)
        if news is not None and news.starts_at is not None and state in WITH_A_DAY:
            return _("The last work begins at {time}.").format(time=said_time(news.starts_at, "H:i"))
        return ""

    def _day_answer(self, order: Order, told: Telling | None) -> AnswerRow | None:
        """The answer to the day as it was told last."""
        for row in self.rows.answers:
            suits = row.kind in (OwnerAnswer.Kind.SUITS, OwnerAnswer.Kind.SUITS_NOT)
            if suits and told is not None and row.order_id == order.pk and row.about_date == told.told_date:
                return AnswerRow.of(row)
        return None

    def _wanted(self, order: Order, state: Telling.State) -> list[Asked]:
        """By when it is wanted, where nobody said so and no day is told yet."""
        if state not in (State.NOTHING, State.PROVISIONAL_WEEK) or not wants_a_date(order):
            return []
        answer = self._open_answer(OwnerAnswer.Kind.WANTED, order=order.pk)
        return [Asked(form="wanted", about=order.pk, words=_("Tell us by which day you would like it"), answer=answer)]

    def _asked(self, order: Order, row: DueRow | None) -> list[Asked]:
        facts = facts_asked(row, self.ground) if row is not None else [(fact, None) for fact in _waiting(order)]
        found = []
        for fact, by in facts:
            answer = next((each for each in self.rows.answers if each.fact_id == fact.pk), None)
            open_answer = answer is not None and answer.state == OwnerAnswer.State.WAITING
            found.append(
                Asked(
                    form="yes_no" if fact.kind == FactKind.APPROVAL else "done",
                    about=fact.pk,
                    words=sentence(wish_words(fact)),
                    by=day_words(by) if by is not None and by >= self.ground.today else "",
                    answer=AnswerRow.of(answer) if answer is not None and open_answer else None,
                )
            )
        return found

    def _sure(self, order: Order, day: date | None, with_day: bool) -> tuple[str, tuple[bool, ...]]:
        odds = self.odds.get(order.pk)
        if odds is None or day is None or not with_day:
            return "", ()
        chance = chance_by(odds, day)
        tenths = min(9, round(10 * chance))
        return sentence(in_ten(chance)), tuple(number < tenths for number in range(10))


_CSS = {
    State.NOTHING: "none",
    State.PROVISIONAL_WEEK: "provisional",
    State.PROVISIONAL_DAY: "provisional",
    State.FIRM: "firm",
    State.WEATHER_HOLD: "hold",
    State.DONE: "done",
}
_STATE_WORDS = {
    State.NOTHING: gettext_lazy("No date yet"),
    State.PROVISIONAL_WEEK: gettext_lazy("Provisional week"),
    State.PROVISIONAL_DAY: gettext_lazy("Provisional"),
    State.FIRM: gettext_lazy("Firm"),
    State.WEATHER_HOLD: gettext_lazy("Weather hold"),
    State.DONE: gettext_lazy("Done"),
}


def _may_answer(order: Order, state: Telling.State) -> bool:
    return state in (State.PROVISIONAL_WEEK, State.PROVISIONAL_DAY, State.FIRM) and order.state == Order.State.OPEN


def _when(state: Telling.State, day: date | None) -> str:
    return sentence(_bare_when(state, day))


def _bare_when(state: Telling.State, day: date | None) -> str:
    """As it stands within a sentence."""
    if state == State.DONE:
        return _("Done")
    if day is None:
        return _("We tell you as soon as there is one")
    return week_words(day) if state == State.PROVISIONAL_WEEK else day_words(day)


def _waiting(order: Order) -> list[Fact]:
    found = {
        fact.pk: fact
        for job in order.jobs.all()
        if job.state not in (Job.State.DONE, Job.State.CANCELLED)
        for fact in job.facts.all()
        if fact.kind in FROM_OWNER and fact.state != Fact.State.HERE
    }
    return list(found.values())


def _question(row: SameAgain, rows: OwnerRows) -> Question:
    answer = next((each for each in rows.answers if each.asked_id == row.pk), None)
    boat = row.order.boat.name if row.order.boat is not None else ""
    words = f"{boat}: {row.order.name[:1].lower()}{row.order.name[1:]}"
    return Question(row, words, AnswerRow.of(answer) if answer is not None else None, fresh_key())


def _calendar(page: OwnerPage) -> str:
    """The address of the owner's calendar; "" where it cannot be shown. One query."""
    row = CalendarAddress.objects.filter(
        kind=CalendarAddress.Kind.OWNER, owner=page.owner, made_by=None, withdrawn_at=None
    ).first()
    if row is None:
        return ""
    try:
        return settings.SITE_ADDRESS + reverse("feed", kwargs={"token": token_of(row)})
    except AddressRefused:
        return ""
