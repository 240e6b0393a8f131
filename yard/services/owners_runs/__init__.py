"""Owners carried out to their boats and back: wishes, runs, and where a run finds room between the tows."""

from yard.services.owners_runs.booking import RunAsked, book_run, call_off_run, change_run, off_the_run, take_along
from yard.services.owners_runs.room import Offer, RunRefused, Spent, boats_that_carry, offers_for, spent_on
from yard.services.owners_runs.sky import SkyOverRuns
from yard.services.owners_runs.wishes import WishAsked, ask_run, decline_wish, withdraw_wish

__all__ = [
    "Offer",
    "RunAsked",
    "RunRefused",
    "SkyOverRuns",
    "Spent",
    "WishAsked",
    "ask_run",
    "boats_that_carry",
    "book_run",
    "call_off_run",
    "change_run",
    "decline_wish",
    "off_the_run",
    "offers_for",
    "spent_on",
    "take_along",
    "withdraw_wish",
]
