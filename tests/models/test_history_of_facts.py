"""Every fact that a person changes has a history with who, when and why, and a way back; or says here why it has none.

The models are walked by machine: a new one that is in none of the tables below, and has no history, fails.
"""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.db import models
from django.urls import get_resolver

from yard.services.week_hours import WeekOf
from yard.web.keeping.histories import KINDS

MODELS = {
    each.__name__: each for each in apps.get_app_config("yard").get_models() if not hasattr(each, "instance_type")
}

SAID = {
    "Whereabouts": "said_by",
    "ItemWhereabouts": "said_by",
    "Memo": "made_by",
    "Photograph": "made_by",
    "Measurement": "made_by",
    "GaugeReading": "read_by",
    "Inspection": "recorded_by",
    "CanvasProgress": "said_by",
    "Telling": "told_by",
    "OwnerAnswer": "decided_by",
    "Event": "recorded_by",
    "Tap": "tapped_by",
    "DayClosing": "closed_by",
    "MaterialUsed": "noted_by",
    "ExtraWork": "noted_by",
    "Storm": "made_by",
    "StormLine": "done_by",
    "EstimateChange": "changed_by",
    "PackageEdition": "made_by",
    "WholeChange": "made_by",
    "SaleToCome": "made_by",
    "ToldApart": "said_by",
    "SheetImport": "sent_by",
    "Plan": "made_by",
    "PlanRun": "asked_by",
    "PlanBound": "asked_by",
    "BackSearch": "asked_by",
    "WhatIf": "asked_by",
    "Proposal": "asked_by",
    "HandDraft": "made_by",
    "HandChange": "made_by",
    "HeldDays": "made_by",
    "CalendarAddress": "made_by",
    "OwnerPage": "made_by",
    "YearEnd": "asked_by",
    "SecurityEvent": "by",
}
"""Rows that are added and never written over: each says who and when, and what holds is the newest that stands."""

PARTS = {
    "StowSpot": "StowPlan",
    "Package": "PackageEdition",
    "PackageOption": "PackageEdition",
    "PackageJob": "PackageEdition",
    "PackageWay": "PackageEdition",
    "PackageLink": "PackageEdition",
    "PackageFact": "PackageEdition",
    "PackageStay": "PackageEdition",
    "PlannedJob": "Plan",
    "PlannedPerson": "Plan",
    "PlannedPlace": "Plan",
    "PlannedStay": "Plan",
    "LeftOut": "Plan",
    "PlannedCause": "Plan",
    "PlannedWeek": "Plan",
    "BackAnswer": "BackSearch",
    "ProposedPlan": "Proposal",
    "JobWork": "Event",
    "YearEndLine": "YearEnd",
}
"""Rows whose past stands whole in another: an edition keeps the package as it was, a plan is never changed."""

NO_FACT = {
    "FactsRevision": "a count",
    "WorkerLease": "the program's own sign that a worker lives",
    "LastBackup": "the program's own mark of a time",
    "FeedEntry": "what calendars were last told, by the program",
    "FeedMember": "as above",
    "FeedState": "as above",
    "HourlyForecast": "fetched, with its source and time",
    "ForecastSource": "as above",
    "PlanOdds": "reckoned from a plan",
    "DayOdds": "as above",
    "JobThing": "which things a job is done to, written with the job or with the word on them",
    "DueOrder": "which order was made of what fell due, written with the order",
    "SentForm": "a mark that a form was sent",
    "RecoveryCode": "the hash of a secret: made, used once and thrown away",
    "HeadingMemory": "which column a heading was matched to, asked anew at each sheet",
    "SavedView": "the name of a list's address: one's own, and dropped at a press",
    "SameAgain": "that an owner was asked, with when; the letters and the answer stand on their own",
}

WAYS_BACK = {
    "StowPlan": "store_plan_act",
    "StackMeasure": "stack_measure",
    "AutumnRules": "autumn",
    "YardSettings": "yard_settings_back",
    "ShopHours": "yard_settings_back",
    "YardHoliday": "yard_settings_back",
    "Closure": "event_take_back",
    "DatedHours": "person_hours_drop",
    "Job": "order_job_out",
    "JobWay": "order_job",
    "JobLink": "order_job",
    "Stay": "order_options",
    "Pin": "by_hand_undo",
    "Waiver": "by_hand_undo",
    "TakeOff": "take_off_act",
    "Purchase": "buying_line",
    "LetterTemplate": "letter_words_of",
    "Letter": "letter_decided",
    "RepairList": "repair_list",
    "RepairLine": "repair_line_out",
    "SheetChoice": "sheet_choice",
    "Trip": "order_trip",
    "OwnersRun": "run_booked",
    "RunWish": "run_wish",
}
"""Of what has a history that is not gone back in row by row: the address at which it is taken back, or set anew."""

AROUND = {
    ("Letter", "release.py"): "the mark that it was read",
    ("YardSettings", "sale_to_come.py"): "the program's own mark of the next sale",
    ("YardSettings", "second_factor.py"): "whose role needs a second factor, told by a SecurityEvent",
    ("TakeOff", "take_off.py"): "the program's own mark that it looks for a shorter plan",
    ("Owner", "erase.py"): "an erasure, which empties the history too, and is told by a SecurityEvent",
    ("Fact", "say_fact.py"): "who said it, of a saying whose history is written beside it",
}
"""Writes past the history, and why."""


def gone_back_in() -> set[str]:
    """What a history page goes back in: rows that are kept, and rows that stand beside them."""
    names = set()
    for kind in KINDS.values():
        keeper = kind.sayer(False).keeper
        names.add(keeper.model.__name__)
        names |= {each.model.__name__ for each in keeper.beside.values() if isinstance(each, WeekOf)}
    return names | {"PersonSkill", "ProductWait"}


def test_every_model_has_a_history_or_says_why_not():
    kept = {name for name, model in MODELS.items() if hasattr(model, "history")}
    tables = [kept, set(SAID), set(PARTS), set(NO_FACT)]
    assert {name for name in MODELS if sum(name in table for table in tables) != 1} == set()
    assert set().union(*tables) == set(MODELS)
    assert set(PARTS.values()) <= set(SAID) | kept


@pytest.mark.parametrize("name", SAID)
def test_what_is_only_added_says_who_and_when(name):
    fields = {each.name: each for each in MODELS[name]._meta.get_fields() if isinstance(each, models.Field)}
    assert fields[SAID[name]].related_model is User
    assert any(isinstance(each, models.DateTimeField) for each in fields.values())


def test_every_history_has_a_way_back():
    kept = {name for name, model in MODELS.items() if hasattr(model, "history")}
    assert kept - gone_back_in() == set(WAYS_BACK)
    views = {pattern.name: pattern.callback for pattern in get_resolver().url_patterns}
    assert {name for name, way in WAYS_BACK.items() if "POST" not in views[way].verbs} == set()


def test_every_history_says_who_when_and_why():
    for name, model in MODELS.items():
        if (history := getattr(model, "history", None)) is not None:
            told = {each.name for each in history.model._meta.get_fields()}
            assert {"history_user", "history_date", "history_change_reason"} <= told, name


def writes_around(tree: ast.AST) -> set[str]:
    """Models of which a queryset, named in the same expression, is written without a history."""
    found = set()
    for call in ast.walk(tree):
        if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute)):
            continue
        if call.func.attr in ("update", "bulk_create", "bulk_update"):
            found |= {each.id for each in ast.walk(call.func.value) if isinstance(each, ast.Name)}
    return found


def test_nothing_is_written_past_its_history():
    kept = {name for name, model in MODELS.items() if hasattr(model, "history")}
    around: set[tuple[str, str]] = set()
    for folder in ("services", "web", "queries"):
        for path in (Path(apps.get_app_config("yard").path) / folder).rglob("*.py"):
            if "example_yard" not in path.parts:
                tree: Any = ast.parse(path.read_text(encoding="utf-8"))
                around |= {(name, path.name) for name in writes_around(tree) & kept}
    assert around == set(AROUND)
