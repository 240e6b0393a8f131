"""Addresses of lists that come in and go out as sheets."""

from django.urls import URLPattern, path

from yard.web.views import lists

urlpatterns: list[URLPattern] = [
    path("lists/", lists.lists, name="lists"),
    path("lists/sent/<int:pk>/", lists.list_preview, name="list_preview"),
    path("lists/sent/<int:pk>/columns/", lists.list_columns, name="list_columns"),
    path("lists/sent/<int:pk>/save/", lists.list_save, name="list_save"),
    path("lists/sent/<int:pk>/owners/", lists.list_owners, name="list_owners"),
    path("lists/sent/<int:pk>/drop/", lists.list_drop, name="list_drop"),
    path("lists/sent/<int:pk>/take-back/", lists.list_take_back, name="list_take_back"),
    path("lists/<slug:name>/import/", lists.list_import, name="list_import"),
    path("lists/<slug:name>/template.xlsx", lists.list_template, name="list_template"),
    path("lists/<slug:name>/export.<slug:form>", lists.list_export, name="list_export"),
]
