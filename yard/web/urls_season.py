"""Addresses of the season board."""

from django.urls import path

from yard.web.views import season

urlpatterns = [
    path("", season.season, name="season"),
    path("season/run/", season.season_run, name="season_run"),
    path("season/<slug:key>/why/", season.season_why, name="season_why"),
]
