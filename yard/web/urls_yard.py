"""Addresses of the yard's settings."""

from django.urls import URLPattern, path

from yard.web.views import all_pages, yard_settings

urlpatterns: list[URLPattern] = [
    path("more/", all_pages.more, name="more"),
    path("yard/", yard_settings.yard_settings, name="yard_settings"),
    path("yard/was/<int:history_id>/", yard_settings.yard_settings_back, name="yard_settings_back"),
    path("yard/places/words/", yard_settings.place_words, name="place_words"),
    path("yard/tide/", yard_settings.tide_compare, name="tide_compare"),
    path("yard/allowance/", yard_settings.allowance, name="allowance"),
]
