"""Addresses of what owners are told."""

from django.urls import URLPattern, path

from yard.web.views import letters

urlpatterns: list[URLPattern] = [
    path("letters/", letters.letters, name="letters"),
]
