"""The words as they are shipped, and the placeholders that a yard may use in its own.

What is told when, and that a change always gives the reason, the new date and what the owner must do, is common
practice of yards; the sentences are this program's own.
"""

from __future__ import annotations

from dataclasses import dataclass

from yard.speech import _, gettext_noop

PLACEHOLDERS: dict[str, str] = {
    "owner": gettext_noop("the owner's name"),
    "boat": gettext_noop("her name"),
    "boats": gettext_noop("the names of all boats that the letter speaks of"),
    "work": gettext_noop("what was ordered, as spring commissioning"),
    "headline": gettext_noop("the news in a few words, for the subject"),
    "day": gettext_noop("the new day, as Monday 10 May"),
    "week": gettext_noop("the week, as the week of Monday 10 May"),
    "when": gettext_noop("the day, or the week where only that is known"),
    "hour": gettext_noop("when her last work begins, as 14:30"),
    "sure": gettext_noop("provisional, or firm"),
    "was": gettext_noop("the day or week that was told before"),
    "reason": gettext_noop("why it moves"),
    "water": gettext_noop("when she floats off and between which hours she has her water"),
    "trip": gettext_noop("when she leaves by road or ferry, and until when she may be checked in"),
    "reserve": gettext_noop("the reserve day"),
    "call": gettext_noop("when firm or not is said"),
    "stop": gettext_noop("what could still stop it"),
    "waits": gettext_noop("what the yard still waits for"),
    "asks": gettext_noop("what the owner must do"),
    "promised": gettext_noop("the day that was promised"),
    "kept": gettext_noop("whether that still stands"),
    "lies": gettext_noop("where she lies, once she is delivered"),
    "odds": gettext_noop("how sure it is, where owners read odds"),
    "days_before": gettext_noop("how many days before the work a day is told"),
    "page": gettext_noop("the address of the owner's page"),
    "yard": gettext_noop("the yard's name"),
    "phone": gettext_noop("the yard's telephone number"),
    "signed": gettext_noop("who read and sent it"),
    "season": gettext_noop("the season asked about in winter"),
    "orders": gettext_noop("last year's orders, one a line"),
    "answer_by": gettext_noop("by when an answer is asked for"),
    "warning": gettext_noop("the warning that a message to all is about"),
    "standing": gettext_noop("what the owner asked for in a storm"),
}


def placeholders() -> dict[str, str]:
    """What each stands for, in the yard's language."""
    return {name: _(about) for name, about in PLACEHOLDERS.items()}


@dataclass(frozen=True, slots=True)
class Standard:
    """needs: placeholders without which it would not say what it must. The others as they are written in the source."""

    name_written: str
    text_written: str
    needs: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What it is for."""
        return _(self.name_written)

    @property
    def text(self) -> str:
        """As shipped. Placeholders and brackets stay in every language."""
        return _(self.text_written)


STANDARD: dict[str, Standard] = {
    "subject": Standard(gettext_noop("Subject"), gettext_noop("$headline"), ("headline",)),
    "greeting": Standard(gettext_noop("Greeting"), gettext_noop("Dear $owner,"), ()),
    "week": Standard(
        gettext_noop("A week is told"),
        gettext_noop(
            "We plan the $work for $boat in $week. That week is provisional. [About $days_before days before it we "
            "will tell you the day, and a reserve day.]\n\n[We are still waiting for $waits.]"
        ),
        ("boat", "week"),
    ),
    "day": Standard(
        gettext_noop("A day is told"),
        gettext_noop(
            "We plan to finish the $work for $boat on $day[; the last work begins at $hour]. The day is provisional. "
            "[$water] [$trip] [If it is lost, her reserve day is $reserve.] [We will call it firm, or not, by "
            "$call.]\n\n[What could still stop it: $stop.] [We are still waiting for $waits.] [$odds]"
        ),
        ("boat", "day"),
    ),
    "firm": Standard(
        gettext_noop("The day is firm"),
        gettext_noop(
            "The $work for $boat: $day is firm[; the last work begins at $hour]. [$water] [$trip] [What could still "
            "stop it: $stop; then her reserve day is $reserve.]"
        ),
        ("boat", "day"),
    ),
    "weather_hold": Standard(
        gettext_noop("A weather hold"),
        gettext_noop(
            "The $work for $boat on $day is under a weather hold: $reason. [$water] [$trip] [We will tell you by "
            "$call whether it goes ahead.] [If the day is lost, her reserve day is $reserve.]"
        ),
        ("boat", "day", "reason"),
    ),
    "moved": Standard(
        gettext_noop("The date moves"),
        gettext_noop(
            "We told you $was for the $work on $boat. That has changed: $reason.\n\nThe new date is $when[; the last "
            "work begins at $hour]. It is $sure. [$water] [$trip] [If that day is lost, her reserve day is "
            "$reserve.] [We will call it firm, or not, by $call.]\n\n[We promised her by $promised; $kept.] [What "
            "could still stop it: $stop.] [We are still waiting for $waits.] [$odds]"
        ),
        ("boat", "was", "reason", "when", "sure"),
    ),
    "not_firm": Standard(
        gettext_noop("Firm no longer"),
        gettext_noop(
            "We had called $day firm for the $work on $boat. It is provisional again: $reason. [$water] [$trip] [If "
            "it is lost, her reserve day is $reserve.] [We will call it firm, or not, by $call.]\n\n[$odds]"
        ),
        ("boat", "day", "reason"),
    ),
    "no_day": Standard(
        gettext_noop("No day any more"),
        gettext_noop(
            "We told you $was for the $work on $boat. We cannot keep that date: $reason.\n\nWe have no new date yet, "
            "and will tell you one as soon as the plan has it. [We are waiting for $waits.]"
        ),
        ("boat", "was", "reason"),
    ),
    "done": Standard(
        gettext_noop("It is done"),
        gettext_noop("Done: the $work for $boat. [She lies on $lies.] Thank you."),
        ("boat",),
    ),
    "asks": Standard(gettext_noop("What the owner must do"), gettext_noop("[From you, please: $asks.]"), ("asks",)),
    "closing": Standard(
        gettext_noop("Closing"),
        gettext_noop(
            "[All her dates, and a place to answer, are on your own page: $page]\n\n[$signed\n]$yard[\n$phone]"
        ),
        ("yard",),
    ),
    "storm": Standard(
        gettext_noop("To all, for a storm"),
        gettext_noop(
            "$warning\n\n[For $boats you asked us: $standing.] We cannot haul every boat on the tides that are left. "
            "We will do what the people on shift can do safely, in the order of each owner's standing instruction. "
            "Please do not go aboard; if your instruction has changed, tell us today."
        ),
        ("warning",),
    ),
    "december": Standard(
        gettext_noop("In winter: the same again?"),
        gettext_noop(
            "Last season we did this for you:\n$orders\n\nShall we do the same again for $season? Please answer[ by "
            "$answer_by], and tell us the dates you would like. Until we hear from you we keep a place for it, as "
            "last year and unconfirmed."
        ),
        ("orders", "season"),
    ),
    "chase": Standard(
        gettext_noop("In winter: asked again"),
        gettext_noop(
            "We wrote to you about $season and have not heard yet. Last season we did this for you:\n$orders\n\nThe "
            "same again, or something else? We keep a place for it, as last year and unconfirmed[; please answer by "
            "$answer_by]."
        ),
        ("orders", "season"),
    ),
}
