"""Addresses of owners, moorings and tackle, of merging and selling, and of every fact's history."""

from django.urls import URLPattern, path

from yard.web.views import moorings, owners, whole_changes

urlpatterns: list[URLPattern] = [
    path("owners/", owners.owners, name="owners"),
    path("owners/new/", owners.owner_new, name="owner_new"),
    path("owners/<int:pk>/", owners.owner, name="owner"),
    path("owners/<int:pk>/change/", owners.owner_change, name="owner_change"),
    path("owners/<int:pk>/archive/", owners.owner_archive, name="owner_archive"),
    path("owners/<int:pk>/merge/", whole_changes.owner_merge, name="owner_merge"),
    path("owners/boats/new/", owners.share_new, name="share_new"),
    path("owners/boats/<int:pk>/", owners.share_change, name="share_change"),
    path("moorings/", moorings.moorings, name="moorings"),
    path("moorings/new/", moorings.mooring_new, name="mooring_new"),
    path("moorings/<int:pk>/", moorings.mooring, name="mooring"),
    path("moorings/<int:pk>/change/", moorings.mooring_change, name="mooring_change"),
    path("moorings/<int:pk>/archive/", moorings.mooring_archive, name="mooring_archive"),
    path("moorings/<int:pk>/tackle/", moorings.tackle_new, name="tackle_new"),
    path("moorings/tackle/<int:pk>/", moorings.tackle_change, name="tackle_change"),
    path("boats/<int:pk>/merge/", whole_changes.boat_merge, name="boat_merge"),
    path("boats/<int:pk>/sell/", whole_changes.boat_sell, name="boat_sell"),
    path("sales-to-come/<int:pk>/", whole_changes.sale_to_come, name="sale_to_come"),
    path("duplicates/", whole_changes.duplicates, name="duplicates"),
    path("duplicates/<slug:of>/<int:one>/<int:other>/", whole_changes.told_apart, name="told_apart"),
    path("whole-changes/<int:pk>/", whole_changes.whole_change, name="whole_change"),
    path("whole-changes/<int:pk>/take-back/", whole_changes.whole_change_back, name="whole_change_back"),
    path("history/<slug:of>/<int:pk>/", whole_changes.fact_history, name="fact_history"),
    path("history/<slug:of>/<int:pk>/<int:history_id>/", whole_changes.fact_put_back, name="fact_put_back"),
]
