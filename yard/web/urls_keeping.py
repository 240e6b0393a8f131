"""Addresses on which every kind of row is kept, merged and sold, and of the history of each."""

from django.urls import URLPattern, path

from yard.web.views import keep, moorings, owner_data, owners, whole_changes
from yard.web.views.whole_changes import fact_put_back

urlpatterns: list[URLPattern] = [
    path("boats/new/", keep.boat_new, name="boat_new"),
    path("boats/<int:pk>/change/", keep.boat_change, name="boat_change"),
    path("boats/<int:pk>/archive/", keep.boat_archive, name="boat_archive"),
    path("crew/new/", keep.person_new, name="person_new"),
    path("crew/skills/", keep.skills, name="skills"),
    path("crew/skills/<int:pk>/", keep.skill_change, name="skill_change"),
    path("crew/<int:pk>/change/", keep.person_change, name="person_change"),
    path("crew/<int:pk>/archive/", keep.person_archive, name="person_archive"),
    path("crew/<int:pk>/hours/", keep.person_hours, name="person_hours"),
    path("crew/hours/<int:pk>/drop/", keep.person_hours_drop, name="person_hours_drop"),
    path("places/new/", keep.place_new, name="place_new"),
    path("places/<int:pk>/", keep.place_change, name="place_change"),
    path("places/<int:pk>/archive/", keep.place_archive, name="place_archive"),
    path("places/<int:pk>/shut/", keep.place_shut, name="place_shut"),
    path("things/new/", keep.thing_new, name="thing_new"),
    path("things/<int:pk>/", keep.thing, name="thing"),
    path("things/<int:pk>/change/", keep.thing_change, name="thing_change"),
    path("things/<int:pk>/archive/", keep.thing_archive, name="thing_archive"),
    path("owners/", owners.owners, name="owners"),
    path("owners/new/", owners.owner_new, name="owner_new"),
    path("owners/<int:pk>/", owners.owner, name="owner"),
    path("owners/<int:pk>/change/", owners.owner_change, name="owner_change"),
    path("owners/<int:pk>/archive/", owners.owner_archive, name="owner_archive"),
    path("owners/<int:pk>/data/", owner_data.owner_data, name="owner_data"),
    path("owners/<int:pk>/data/json/", owner_data.owner_data_json, name="owner_data_json"),
    path("owners/<int:pk>/data/csv/", owner_data.owner_data_csv, name="owner_data_csv"),
    path("owners/<int:pk>/erase/", owner_data.owner_erase, name="owner_erase"),
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
    *(
        path(
            f"{where}/<int:pk>/was/<int:history_id>/",
            fact_put_back,
            {"of": of, "to": of if of == "product" else f"{of}_change"},
            name=f"{of}_put_back",
        )
        for of, where in (
            ("person", "crew"),
            ("place", "places"),
            ("thing", "things"),
            ("kind", "kinds"),
            ("product", "products"),
        )
    ),
]
