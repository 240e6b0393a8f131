"""Addresses of kinds of job."""

from django.urls import URLPattern, path

from yard.web.views import kinds

urlpatterns: list[URLPattern] = [
    path("kinds/", kinds.kinds, name="kinds"),
    path("kinds/new/", kinds.kind_change, name="kind_new"),
    path("kinds/<int:pk>/", kinds.kind_change, name="kind_change"),
]
