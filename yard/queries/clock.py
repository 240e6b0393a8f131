"""What time it is in the yard: the real time, or that of the example yard, whose clock stands still."""

from datetime import datetime

from yard.models import YardSettings


def yard_clock(yard: YardSettings, *, real_now: datetime) -> datetime:
    return real_now if yard.clock_frozen_at is None else yard.clock_frozen_at
