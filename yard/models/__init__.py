"""The rows of the yard, by family. Facts that a plan reads carry a version and a history."""

from yard.models.boats import Boat, BoatOwner, Item, ItemWhereabouts, Mooring, Owner, Whereabouts
from yard.models.crew import DatedHours, Person, PersonSkill, Skill, WeeklyHours
from yard.models.events import Event, Proposal, ProposedPlan
from yard.models.facts import Fact, GaugeReading, ProductSheet, ProductWait
from yard.models.feeds import CalendarAddress, FeedEntry, FeedMember, FeedPart, FeedState
from yard.models.forecasts import HourlyForecast
from yard.models.install import FactsRevision, Season, ShopHours, Weekday, YardHoliday, YardSettings
from yard.models.kinds import BoatAt, JobKind, Pausing, ProductKind, Trade, WaterNeed, WeatherClass
from yard.models.letters import Telling
from yard.models.odds import DayOdds, PlanOdds
from yard.models.orders import Job, JobLink, JobWay, JobWork, Order, Pin, Stay, Waiver
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
from yard.models.sheets import HeadingMemory, SheetImport
from yard.models.versioned import StaleRow, Versioned

__all__ = [
    "Boat",
    "BoatAt",
    "BoatOwner",
    "CalendarAddress",
    "Closure",
    "DatedHours",
    "DayOdds",
    "Event",
    "Fact",
    "FactKind",
    "FactsRevision",
    "FeedEntry",
    "FeedMember",
    "FeedPart",
    "FeedState",
    "GaugeReading",
    "HeadingMemory",
    "HourlyForecast",
    "Item",
    "ItemWhereabouts",
    "Job",
    "JobKind",
    "JobLink",
    "JobWay",
    "JobWork",
    "LeftOut",
    "Light",
    "Measurement",
    "Memo",
    "Mooring",
    "Order",
    "Owner",
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
    "RepairLine",
    "RepairList",
    "Season",
    "SheetImport",
    "ShopHours",
    "Skill",
    "StaleRow",
    "Stay",
    "Telling",
    "Trade",
    "Versioned",
    "Waiver",
    "WaterNeed",
    "WeatherClass",
    "Weekday",
    "WeeklyHours",
    "Whereabouts",
    "YardHoliday",
    "YardSettings",
]
