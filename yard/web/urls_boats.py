"""Addresses of boats, what is said of them, and what their owners were told."""

from django.urls import URLPattern, path

from yard.web.views import boats

urlpatterns: list[URLPattern] = [
    path("store/", boats.store, name="store"),
    path("boats/", boats.boats, name="boats"),
    path("boats/<int:pk>/", boats.boat, name="boat"),
    path("boats/<int:pk>/lies/", boats.boat_lies, name="boat_lies"),
    path("boats/<int:pk>/draft/", boats.boat_draft, name="boat_draft"),
    path("boats/<int:pk>/told/", boats.boat_told, name="boat_told"),
    path("boats/things/<int:pk>/lies/", boats.thing_lies, name="thing_lies"),
    path("boats/facts/<int:pk>/<slug:saying>/", boats.fact_said, name="fact_said"),
    path("boats/told/<int:pk>/take-back/", boats.telling_taken_back, name="telling_taken_back"),
]
