"""Addresses of a new yard's first page."""

from django.urls import URLPattern, path

from yard.web.views import start

urlpatterns: list[URLPattern] = [
    path("start/", start.start, name="start"),
    path("start/<slug:what>/", start.start_bring_in, name="start_bring_in"),
]
