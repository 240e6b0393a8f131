"""The new boat: her options sheet, what was chosen made into work, and her trip on a date that does not move."""

from yard.services.new_boat.book_trip import TripAsked, TripRefused, book_trip, call_off
from yard.services.new_boat.order_boat import NewBoatRefused, change_choice, order_new_boat, sheet_of
from yard.services.new_boat.sheet_choice import Sums, faults_of, sums_of
from yard.services.new_boat.sheet_files import SheetInvalid, bring_in_sheets, read_sheet

__all__ = [
    "NewBoatRefused",
    "SheetInvalid",
    "Sums",
    "TripAsked",
    "TripRefused",
    "book_trip",
    "bring_in_sheets",
    "call_off",
    "change_choice",
    "faults_of",
    "order_new_boat",
    "read_sheet",
    "sheet_of",
    "sums_of",
]
