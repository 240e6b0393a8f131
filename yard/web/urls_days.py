"""Addresses of launches, days and tides."""

from django.urls import URLPattern, path

from yard.web.views import days, launches, tides

urlpatterns: list[URLPattern] = [
    path("launches/", launches.launches, name="launches"),
    path("launches/<slug:day>/", launches.launches, name="launches_from"),
    path("launches/<slug:day>/<int:high_min>/", launches.tide_boats_page, name="tide_boats"),
    path("days/", days.day_today, name="day_today"),
    path("days/<slug:day>/", days.day, name="day"),
    path("days/<slug:day>/instead/", days.day_instead, name="day_instead"),
    path("tides/<slug:day>/", tides.tides_day, name="tides_day"),
    path("tides/<slug:day>/gauge/", tides.tides_gauge, name="tides_gauge"),
    path("tides/gauge/<int:pk>/take-back/", tides.tides_gauge_back, name="tides_gauge_back"),
    path("tides/<int:year>/<int:month>/", tides.tides_month, name="tides_month"),
]
