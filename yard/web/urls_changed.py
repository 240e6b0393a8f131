"""Addresses of history."""

from django.urls import URLPattern, path

from yard.web.views import changed

urlpatterns: list[URLPattern] = [
    path("changed/", changed.changed, name="changed"),
    path("boats/<int:pk>/past/", changed.boat_past, name="boat_past"),
]
