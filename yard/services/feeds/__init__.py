"""Calendars, from rows to bytes: what they show, what they remember, who reads them where.

`bring_up_to_date` alone writes entries; `addresses` alone writes addresses; `reading` answers whoever fetches one.
"""
