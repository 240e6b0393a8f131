"""Addresses of owners' runs."""

from django.urls import URLPattern, path

from yard.web.views import runs

urlpatterns: list[URLPattern] = [
    path("runs/", runs.runs_today, name="runs_today"),
    path("runs/wishes/<int:pk>/", runs.run_wish, name="run_wish"),
    path("runs/<int:pk>/", runs.run_booked, name="run_booked"),
    path("runs/<int:pk>/off/", runs.run_off, name="run_off"),
    path("runs/<slug:day>/", runs.runs_of_day, name="runs_day"),
]
