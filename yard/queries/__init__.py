"""Every read that more than one page uses, named for what it gives."""

from yard.queries.boats import boats_with_open_orders
from yard.queries.crew import people_with_hours
from yard.queries.orders import BoatNetwork, network_of, orders_with_jobs
from yard.queries.places import places_in_use
from yard.queries.plans import planned_jobs_between, posted_plan

__all__ = [
    "BoatNetwork",
    "boats_with_open_orders",
    "network_of",
    "orders_with_jobs",
    "people_with_hours",
    "places_in_use",
    "planned_jobs_between",
    "posted_plan",
]
