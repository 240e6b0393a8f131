"""How far a new yard has come: what is on file of each thing that a first plan needs."""

from __future__ import annotations

from dataclasses import dataclass

from yard.models import Boat, Mooring, Order, Package, Person, Place, Plan, PlanRun, ShopHours, YardSettings


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """Counts. working: people who have a skill and hours. planned: a plan is there, or being made."""

    tide: bool
    hours: int
    packages: int
    places: int
    people: int
    working: int
    boats: int
    moorings: int
    orders: int
    planned: bool


def first_steps() -> FirstSteps:
    """Ten queries."""
    people = Person.objects.filter(archived=False)
    return FirstSteps(
        tide=YardSettings.objects.exclude(tide_station="").exists(),
        hours=ShopHours.objects.count(),
        packages=Package.objects.filter(archived=False).count(),
        places=Place.objects.filter(archived=False).count(),
        people=people.count(),
        working=people.filter(skills__isnull=False, weekly_hours__isnull=False).distinct().count(),
        boats=Boat.objects.filter(archived=False).count(),
        moorings=Mooring.objects.filter(archived=False).count(),
        orders=Order.objects.filter(state=Order.State.OPEN).count(),
        planned=Plan.objects.exists() or PlanRun.objects.exists(),
    )
