"""Addresses of proposals: a day closes, a plan is mended, a person decides."""

from django.urls import URLPattern, path

from yard.web.views import proposals, weather

urlpatterns: list[URLPattern] = [
    path("proposals/new/", proposals.proposal_new, name="proposal_new"),
    path("proposals/waiting/", proposals.proposal_for_waiting, name="proposal_for_waiting"),
    path("proposals/closures/<int:pk>/<slug:decision>/", weather.closure_decide, name="closure_decide"),
    path("forecast/", weather.forecast, name="forecast"),
    path("proposals/<int:pk>/", proposals.proposal, name="proposal"),
    path("proposals/<int:pk>/accept/", proposals.proposal_accept, name="proposal_accept"),
    path("proposals/<int:pk>/drop/", proposals.proposal_drop, name="proposal_drop"),
    path("proposals/<int:pk>/undo/", proposals.proposal_undo, name="proposal_undo"),
    path("proposals/<int:pk>/again/", proposals.proposal_again, name="proposal_again"),
    path("proposals/events/<int:pk>/take-back/", proposals.event_take_back, name="event_take_back"),
]
