"""Names of days and months in English, Monday and January first: alike in pictures, letters and calendars.

Python's own follow the machine's locale, and what the yard says must not.
"""

WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
WEEKDAYS = tuple(name[:3] for name in WEEKDAY_NAMES)
MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
MONTHS = tuple(name[:3] for name in MONTH_NAMES)
