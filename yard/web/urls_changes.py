"""Addresses of the pages on which the yard's facts are added and changed."""

from django.urls import URLPattern, path

from yard.web.views import changes

urlpatterns: list[URLPattern] = [
    path("boats/new/", changes.boat_new, name="boat_new"),
    path("boats/<int:pk>/change/", changes.boat_change, name="boat_change"),
    path("boats/<int:pk>/archive/", changes.boat_archive, name="boat_archive"),
]
