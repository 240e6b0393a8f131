"""Addresses of the new boat: options sheets, choosing, her sheet, her trip."""

from django.urls import URLPattern, path

from yard.web.views import new_boat

urlpatterns: list[URLPattern] = [
    path("new-boats/", new_boat.option_sheets, name="option_sheets"),
    path("new-boats/shipped/", new_boat.option_sheets_shipped, name="option_sheets_shipped"),
    path("new-boats/new/", new_boat.option_sheet_new, name="option_sheet_new"),
    path("new-boats/<int:pk>/", new_boat.option_sheet, name="option_sheet"),
    path("new-boats/<int:pk>/change/", new_boat.option_sheet_change, name="option_sheet_change"),
    path("new-boats/<int:pk>/archive/", new_boat.option_sheet_archive, name="option_sheet_archive"),
    path("new-boats/<int:pk>/choose/", new_boat.sheet_choose, name="sheet_choose"),
    path("new-boats/<int:pk>/options/new/", new_boat.sheet_option_new, name="sheet_option_new"),
    path("new-boats/options/<int:pk>/", new_boat.sheet_option_change, name="sheet_option_change"),
    path("new-boats/options/<int:pk>/archive/", new_boat.sheet_option_archive, name="sheet_option_archive"),
    path("orders/<int:pk>/sheet/", new_boat.sheet_choice, name="sheet_choice"),
    path("orders/<int:pk>/trip/", new_boat.order_trip, name="order_trip"),
    path("trips/<int:pk>/off/", new_boat.trip_off, name="trip_off"),
]
