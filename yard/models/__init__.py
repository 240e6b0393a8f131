"""The rows of the yard, by family. Facts that a plan reads carry a version and a history."""

from yard.models.answers import BackAnswer, BackSearch, PlanBound, WhatIf
from yard.models.boats import Boat, BoatOwner, Mooring, Owner, Whereabouts
from yard.models.by_hand import HandChange, HandDraft
from yard.models.canvas import CanvasOption, CanvasPanel, CanvasPiece, CanvasProgress
from yard.models.cloth import Material, Purchase, Stock, Supplier, TakeOff
from yard.models.crew import DatedHours, Person, PersonSkill, Skill, WeeklyHours
from yard.models.day_work import DayClosing, ExtraWork, MaterialUsed, Storm, StormLine, Tap
from yard.models.estimates import EstimateChange
from yard.models.events import Event, Proposal, ProposedPlan
from yard.models.facts import Fact, GaugeReading, ProductSheet, ProductWait
from yard.models.feeds import CalendarAddress, FeedEntry, FeedMember, FeedPart, FeedState
from yard.models.forecasts import ForecastSource, HourlyForecast
from yard.models.held_days import HeldDays
from yard.models.install import FactsRevision, Season, ShopHours, Weekday, YardHoliday, YardSettings
from yard.models.intervals import DueOrder, Gear, Inspection, Interval
from yard.models.kinds import BoatAt, JobKind, Pausing, ProductKind, Trade, WaterNeed, WeatherClass
from yard.models.letters import Telling
from yard.models.letters_sent import Letter, LetterTemplate
from yard.models.odds import DayOdds, PlanOdds
from yard.models.option_sheets import OptionSheet, SheetChoice, SheetOption
from yard.models.orders import Job, JobLink, JobWay, JobWork, Order, Pin, Stay, Waiver
from yard.models.owner_pages import OwnerAnswer, OwnerPage, SameAgain
from yard.models.packages import (
    FactKind,
    Light,
    Package,
    PackageEdition,
    PackageFact,
    PackageJob,
    PackageLink,
    PackageOption,
    PackageStay,
    PackageWay,
)
from yard.models.places import Closure, Place, PlaceHours, PlaceKind
from yard.models.plans import (
    LeftOut,
    Plan,
    PlannedCause,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    PlannedStay,
    PlannedWeek,
    PlanRun,
)
from yard.models.records import Measurement, Memo, Photograph
from yard.models.repairs import RepairLine, RepairList
from yard.models.runs import OwnersRun, RunWish
from yard.models.season_gate import SeasonClosed, closed_season_of, closed_words, demand_open_seasons
from yard.models.security import RecoveryCode, SecurityEvent
from yard.models.sent_forms import SentForm
from yard.models.sheets import HeadingMemory, SheetImport
from yard.models.stowing import AutumnRules, StackMeasure, StowPlan, StowSpot
from yard.models.tackle import TacklePart
from yard.models.things import Item, ItemWhereabouts, JobThing
from yard.models.trips import Trip
from yard.models.versioned import StaleRow, Versioned
from yard.models.views import SavedView
from yard.models.whole_changes import SaleToCome, ToldApart, WholeChange
from yard.models.workers import LastBackup, WorkerLease
from yard.models.year_end import YearEnd, YearEndLine

__all__ = [
    "AutumnRules",
    "BackAnswer",
    "BackSearch",
    "Boat",
    "BoatAt",
    "BoatOwner",
    "CalendarAddress",
    "CanvasOption",
    "CanvasPanel",
    "CanvasPiece",
    "CanvasProgress",
    "Closure",
    "DatedHours",
    "DayClosing",
    "DayOdds",
    "DueOrder",
    "EstimateChange",
    "Event",
    "ExtraWork",
    "Fact",
    "FactKind",
    "FactsRevision",
    "FeedEntry",
    "FeedMember",
    "FeedPart",
    "FeedState",
    "ForecastSource",
    "GaugeReading",
    "Gear",
    "HandChange",
    "HandDraft",
    "HeadingMemory",
    "HeldDays",
    "HourlyForecast",
    "Inspection",
    "Interval",
    "Item",
    "ItemWhereabouts",
    "Job",
    "JobKind",
    "JobLink",
    "JobThing",
    "JobWay",
    "JobWork",
    "LastBackup",
    "LeftOut",
    "Letter",
    "LetterTemplate",
    "Light",
    "Material",
    "MaterialUsed",
    "Measurement",
    "Memo",
    "Mooring",
    "OptionSheet",
    "Order",
    "Owner",
    "OwnerAnswer",
    "OwnerPage",
    "OwnersRun",
    "Package",
    "PackageEdition",
    "PackageFact",
    "PackageJob",
    "PackageLink",
    "PackageOption",
    "PackageStay",
    "PackageWay",
    "Pausing",
    "Person",
    "PersonSkill",
    "Photograph",
    "Pin",
    "Place",
    "PlaceHours",
    "PlaceKind",
    "Plan",
    "PlanBound",
    "PlanOdds",
    "PlanRun",
    "PlannedCause",
    "PlannedJob",
    "PlannedPerson",
    "PlannedPlace",
    "PlannedStay",
    "PlannedWeek",
    "ProductKind",
    "ProductSheet",
    "ProductWait",
    "Proposal",
    "ProposedPlan",
    "Purchase",
    "RecoveryCode",
    "RepairLine",
    "RepairList",
    "RunWish",
    "SaleToCome",
    "SameAgain",
    "SavedView",
    "Season",
    "SeasonClosed",
    "SecurityEvent",
    "SentForm",
    "SheetChoice",
    "SheetImport",
    "SheetOption",
    "ShopHours",
    "Skill",
    "StackMeasure",
    "StaleRow",
    "Stay",
    "Stock",
    "Storm",
    "StormLine",
    "StowPlan",
    "StowSpot",
    "Supplier",
    "TacklePart",
    "TakeOff",
    "Tap",
    "Telling",
    "ToldApart",
    "Trade",
    "Trip",
    "Versioned",
    "Waiver",
    "WaterNeed",
    "WeatherClass",
    "Weekday",
    "WeeklyHours",
    "WhatIf",
    "Whereabouts",
    "WholeChange",
    "WorkerLease",
    "YardHoliday",
    "YardSettings",
    "YearEnd",
    "YearEndLine",
    "closed_season_of",
    "closed_words",
    "demand_open_seasons",
]
