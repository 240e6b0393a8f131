"""Addresses of the crew's phone page, closing a day, and the storm list."""

from django.urls import URLPattern, path

from yard.web.views import closing, phone, storm

urlpatterns: list[URLPattern] = [
    path("today/", phone.phone, name="phone_day"),
    path("today/tap/", phone.phone_tap, name="phone_tap"),
    path("today/worker.js", phone.phone_worker, name="phone_worker"),
    path("storms/", storm.storms, name="storms"),
    path("today/storms/<int:pk>/", storm.storm_list, name="storm_list"),
    path("storms/<int:pk>/<slug:act>/", storm.storm_act, name="storm_act"),
    path("today/close/<slug:day>/", closing.day_close, name="day_close"),
    path("today/close/<slug:day>/add/", closing.day_close_add, name="day_close_add"),
    path("today/close/<slug:day>/undo/", closing.day_close_undo, name="day_close_undo"),
]
