"""Addresses of pages on which packages are changed."""

from django.urls import URLPattern, path

from yard.web.views import package_changes as changes
from yard.web.views.package_offers import package_offers

urlpatterns: list[URLPattern] = [
    path("packages/new/", changes.package_new, name="package_new"),
    path("packages/<int:pk>/change/", changes.package_change, name="package_change"),
    path("packages/<int:pk>/jobs/new/", changes.package_job, name="package_job_new"),
    path("packages/<int:pk>/jobs/<slug:key>/", changes.package_job, name="package_job"),
    path("packages/<int:pk>/jobs/<slug:key>/<slug:act>/", changes.package_job_act, name="package_job_act"),
    path("packages/<int:pk>/part/<slug:part>/", changes.package_part, name="package_part"),
    path("packages/<int:pk>/was/<int:number>/", changes.package_put_back, name="package_put_back"),
    path("packages/<int:pk>/as-shipped/", changes.package_as_shipped, name="package_as_shipped"),
    path("packages/<int:pk>/offers/", package_offers, name="package_offers"),
    path("packages/<int:pk>/archive/", changes.package_archive, name="package_archive"),
]
