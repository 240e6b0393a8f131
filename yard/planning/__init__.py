"""The planner: a Problem in, a checked Plan out. Pure: no Django, no clock, no database."""
