"""Addresses of notes, photographs and measurements."""

from django.urls import URLPattern, path

from yard.web.views import records

urlpatterns: list[URLPattern] = [
    path("boats/<int:pk>/notes/", records.boat_note, name="boat_note"),
    path("boats/<int:pk>/measures/", records.boat_measure, name="boat_measure"),
    path("orders/<int:pk>/notes/", records.order_note, name="order_note"),
    path("orders/<int:pk>/measures/", records.order_measure, name="order_measure"),
    path("kept/<slug:kind>/<int:pk>/take-back/", records.record_taken_back, name="record_taken_back"),
    path("photographs/<int:pk>/", records.photograph, name="photograph"),
    path("photographs/<int:pk>/small/", records.photograph_small, name="photograph_small"),
]
