"""Addresses of repair lists."""

from django.urls import URLPattern, path

from yard.web.views import repairs

urlpatterns: list[URLPattern] = [
    path("repairs/", repairs.repair_lists, name="repair_lists"),
    path("repairs/new/boat/<int:boat>/", repairs.repair_list_new, name="repair_list_of_boat"),
    path("repairs/new/order/<int:order>/", repairs.repair_list_new, name="repair_list_of_order"),
    path("repairs/<int:pk>/", repairs.repair_list, name="repair_list"),
    path("repairs/<int:pk>/lines/<int:line>/answer/", repairs.repair_answer, name="repair_answer"),
    path("repairs/<int:pk>/lines/<int:line>/out/", repairs.repair_line_out, name="repair_line_out"),
    path("repairs/<int:pk>/jobs/", repairs.repair_jobs, name="repair_jobs"),
]
