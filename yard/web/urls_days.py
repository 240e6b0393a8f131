"""Addresses of launches, days and tides."""

from django.urls import URLPattern, path

from yard.web.views import days, launches, tides

urlpatterns: list[URLPattern] = [
    path("launches/", launches.launches, name="launches"),
    path("launches/<slug:day>/", launches.launches, name="launches_from"),
    path("days/", days.day_today, name="day_today"),
    path("days/<slug:day>/", days.day, name="day"),
    path("tides/<slug:day>/", tides.tides_day, name="tides_day"),
    path("tides/<int:year>/<int:month>/", tides.tides_month, name="tides_month"),
]
