"""Addresses of what is found and listed: one field for anything, places, things, and views under a name."""

from django.urls import URLPattern, path

from yard.web.views import finding, kept_lists, saved_views

urlpatterns: list[URLPattern] = [
    path("find/", finding.find, name="find"),
    path("places/", kept_lists.places, name="places"),
    path("things/", kept_lists.things, name="things"),
    path("views/of/<slug:of>/", saved_views.view_keep, name="view_keep"),
    path("views/<int:pk>/", saved_views.view_rename, name="view_rename"),
    path("views/<int:pk>/drop/", saved_views.view_drop, name="view_drop"),
]
