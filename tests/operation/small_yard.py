"""A yard with one person and nothing to do: enough for a plan."""

from datetime import time

from yard.models import Person, ShopHours, WeeklyHours, YardSettings


def make_small_yard() -> None:
    YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", tide_station="8418150", latitude=43.66, longitude=-70.25
    )
    ben = Person.objects.create(name="Ben Ash", short_name="Ben")
    for weekday in range(5):
        ShopHours.objects.create(weekday=weekday, starts=time(8), ends=time(16))
        WeeklyHours.objects.create(person=ben, weekday=weekday, starts=time(8), ends=time(16))
