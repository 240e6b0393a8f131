"""Addresses on which people, skills, places and things are kept."""

from django.urls import URLPattern, path

from yard.web.views import keep

urlpatterns: list[URLPattern] = [
    path("crew/new/", keep.person_new, name="person_new"),
    path("crew/skills/", keep.skills, name="skills"),
    path("crew/skills/<int:pk>/", keep.skill_change, name="skill_change"),
    path("crew/<int:pk>/change/", keep.person_change, name="person_change"),
    path("crew/<int:pk>/archive/", keep.person_archive, name="person_archive"),
    path("crew/<int:pk>/was/<int:history_id>/", keep.person_put_back, name="person_put_back"),
    path("crew/<int:pk>/hours/", keep.person_hours, name="person_hours"),
    path("crew/hours/<int:pk>/drop/", keep.person_hours_drop, name="person_hours_drop"),
    path("places/new/", keep.place_new, name="place_new"),
    path("places/<int:pk>/", keep.place_change, name="place_change"),
    path("places/<int:pk>/archive/", keep.place_archive, name="place_archive"),
    path("places/<int:pk>/was/<int:history_id>/", keep.place_put_back, name="place_put_back"),
    path("places/<int:pk>/shut/", keep.place_shut, name="place_shut"),
    path("things/new/", keep.thing_new, name="thing_new"),
    path("things/<int:pk>/", keep.thing, name="thing"),
    path("things/<int:pk>/change/", keep.thing_change, name="thing_change"),
    path("things/<int:pk>/archive/", keep.thing_archive, name="thing_archive"),
    path("things/<int:pk>/was/<int:history_id>/", keep.thing_put_back, name="thing_put_back"),
]
