"""Addresses of calendars. The feed's own begins with /calendar/, which logs know to hide."""

from django.urls import URLPattern, path

from yard.web.views import calendars

urlpatterns: list[URLPattern] = [
    path("calendar/<str:token>.ics", calendars.feed, name="feed"),
    path("calendars/", calendars.calendars, name="calendars"),
    path("calendars/<int:pk>/", calendars.calendar, name="calendar"),
    path("calendars/<int:pk>/<slug:action>/", calendars.calendar_change, name="calendar_change"),
    path("calendars/events/<uuid:uid>.ics", calendars.feed_event, name="feed_event"),
    path("calendars/jobs/<int:pk>.ics", calendars.job_events, name="job_events"),
    path("calendars/owners/<int:pk>/", calendars.owner_list, name="owner_list"),
]
