"""Addresses of what falls due, of intervals and of the yard's own gear."""

from django.urls import URLPattern, path

from yard.web.views import due

urlpatterns: list[URLPattern] = [
    path("due/", due.due, name="due"),
    path("due/intervals/", due.intervals, name="intervals"),
    path("due/intervals/new/", due.interval_new, name="interval_new"),
    path("due/intervals/usual/", due.intervals_shipped, name="intervals_shipped"),
    path("due/intervals/<int:pk>/", due.interval_change, name="interval_change"),
    path("due/intervals/<int:pk>/archive/", due.interval_archive, name="interval_archive"),
    path("due/gear/", due.gear, name="gear"),
    path("due/gear/new/", due.gear_new, name="gear_new"),
    path("due/gear/<int:pk>/", due.gear_change, name="gear_change"),
    path("due/gear/<int:pk>/archive/", due.gear_archive, name="gear_archive"),
    path("due/found/<int:pk>/withdraw/", due.inspection_withdraw, name="inspection_withdraw"),
    path("due/<int:interval>/<slug:of>/<int:pk>/", due.inspection_new, name="inspection_new"),
]
