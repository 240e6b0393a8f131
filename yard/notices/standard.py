"""The words as they are shipped, and the placeholders that a yard may use in its own.

What is told when, and that a change always gives the reason, the new date and what the owner must do, is common
practice of yards; the sentences are this program's own.
"""

from __future__ import annotations

from dataclasses import dataclass

PLACEHOLDERS: dict[str, str] = {
    "owner": "the owner's name",
    "boat": "her name",
    "boats": "the names of all boats that the letter speaks of",
    "work": "what was ordered, as spring commissioning",
    "headline": "the news in a few words, for the subject",
    "day": "the new day, as Monday 10 May",
    "week": "the week, as the week of Monday 10 May",
    "when": "the day, or the week where only that is known",
    "hour": "when her last work begins, as 14:30",
    "sure": "provisional, or firm",
    "was": "the day or week that was told before",
    "reason": "why it moves",
    "water": "when she floats off and between which hours she has her water",
    "trip": "when she leaves by road or ferry, and until when she may be checked in",
    "reserve": "the reserve day",
    "call": "when firm or not is said",
    "stop": "what could still stop it",
    "waits": "what the yard still waits for",
    "asks": "what the owner must do",
    "promised": "the day that was promised",
    "kept": "whether that still stands",
    "lies": "where she lies, once she is delivered",
    "odds": "how sure it is, where owners read odds",
    "days_before": "how many days before the work a day is told",
    "page": "the address of the owner's page",
    "yard": "the yard's name",
    "phone": "the yard's telephone number",
    "signed": "who read and sent it",
    "season": "the season asked about in winter",
    "orders": "last year's orders, one a line",
    "answer_by": "by when an answer is asked for",
    "warning": "the warning that a message to all is about",
    "standing": "what the owner asked for in a storm",
}


@dataclass(frozen=True, slots=True)
class Standard:
    """name: what it is for. text: as shipped. needs: placeholders without which it would not say what it must."""

    name: str
    text: str
    needs: tuple[str, ...] = ()


STANDARD: dict[str, Standard] = {
    "subject": Standard("Subject", "$headline", ("headline",)),
    "greeting": Standard("Greeting", "Dear $owner,", ()),
    "week": Standard(
        "A week is told",
        "We plan the $work for $boat in $week. That week is provisional. [About $days_before days before it we will"
        " tell you the day, and a reserve day.]\n\n[We are still waiting for $waits.]",
        ("boat", "week"),
    ),
    "day": Standard(
        "A day is told",
        "We plan to finish the $work for $boat on $day[; the last work begins at $hour]. The day is provisional."
        " [$water] [$trip] [If it is lost, her reserve day is $reserve.] [We will call it firm, or not, by $call.]"
        "\n\n[What could still stop it: $stop.] [We are still waiting for $waits.] [$odds]",
        ("boat", "day"),
    ),
    "firm": Standard(
        "The day is firm",
        "The $work for $boat: $day is firm[; the last work begins at $hour]. [$water] [$trip] [What could still stop"
        " it: $stop; then her reserve day is $reserve.]",
        ("boat", "day"),
    ),
    "weather_hold": Standard(
        "A weather hold",
        "The $work for $boat on $day is under a weather hold: $reason. [$water] [$trip] [We will tell you by $call"
        " whether it goes ahead.] [If the day is lost, her reserve day is $reserve.]",
        ("boat", "day", "reason"),
    ),
    "moved": Standard(
        "The date moves",
        "We told you $was for the $work on $boat. That has changed: $reason.\n\nThe new date is $when[; the last work"
        " begins at $hour]. It is $sure. [$water] [$trip] [If that day is lost, her reserve day is $reserve.] [We will"
        " call it firm, or not, by $call.]\n\n[We promised her by $promised; $kept.] [What could still stop it: $stop.]"
        " [We are still waiting for $waits.] [$odds]",
        ("boat", "was", "reason", "when", "sure"),
    ),
    "not_firm": Standard(
        "Firm no longer",
        "We had called $day firm for the $work on $boat. It is provisional again: $reason. [$water] [$trip] [If it is"
        " lost, her reserve day is $reserve.] [We will call it firm, or not, by $call.]\n\n[$odds]",
        ("boat", "day", "reason"),
    ),
    "no_day": Standard(
        "No day any more",
        "We told you $was for the $work on $boat. We cannot keep that date: $reason.\n\nWe have no new date yet, and"
        " will tell you one as soon as the plan has it. [We are waiting for $waits.]",
        ("boat", "was", "reason"),
    ),
    "done": Standard("It is done", "Done: the $work for $boat. [She lies on $lies.] Thank you.", ("boat",)),
    "asks": Standard("What the owner must do", "[From you, please: $asks.]", ("asks",)),
    "closing": Standard(
        "Closing",
        "[All her dates, and a place to answer, are on your own page: $page]\n\n[$signed\n]$yard[\n$phone]",
        ("yard",),
    ),
    "storm": Standard(
        "To all, for a storm",
        "$warning\n\n[For $boats you asked us: $standing.] We cannot haul every boat on the tides that are left. We"
        " will do what the people on shift can do safely, in the order of each owner's standing instruction. Please do"
        " not go aboard; if your instruction has changed, tell us today.",
        ("warning",),
    ),
    "december": Standard(
        "In winter: the same again?",
        "Last season we did this for you:\n$orders\n\nShall we do the same again for $season? Please answer[ by"
        " $answer_by], and tell us the dates you would like. Until we hear from you we keep a place for it, as last"
        " year and unconfirmed.",
        ("orders", "season"),
    ),
    "chase": Standard(
        "In winter: asked again",
        "We wrote to you about $season and have not heard yet. Last season we did this for you:\n$orders\n\nThe same"
        " again, or something else? We keep a place for it, as last year and unconfirmed[; please answer by"
        " $answer_by].",
        ("orders", "season"),
    ),
}
