"""Addresses of people."""

from django.urls import URLPattern, path

from yard.web.views import crew

urlpatterns: list[URLPattern] = [
    path("crew/", crew.crew, name="crew"),
    path("crew/<int:pk>/", crew.person, name="person"),
    path("days/<slug:day>/free/", crew.day_free, name="day_free"),
]
