"""Calendars as bytes: events in, iCalendar out (RFC 5545, 7986). Knows no plan, no database and no clock.

What must be remembered between two writings of one event (its identity, its count of revisions, when it was last
revised) comes with the event; nothing here makes it up.
"""
