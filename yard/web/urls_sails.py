"""Addresses of the care of sails."""

from django.urls import URLPattern, path

from yard.web.views import sails

urlpatterns: list[URLPattern] = [path("sails/", sails.sails, name="sails")]
