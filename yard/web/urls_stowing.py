"""Addresses of the store plan and of autumn."""

from django.urls import URLPattern, path

from yard.web.views import stowing

urlpatterns: list[URLPattern] = [
    path("store/plan/", stowing.store_plan, name="store_plan"),
    path("store/plan/spars/", stowing.spar_plan, name="spar_plan"),
    path("store/plan/<slug:kind>/do/", stowing.store_plan_act, name="store_plan_act"),
    path("autumn/", stowing.autumn, name="autumn"),
    path("autumn/stacks/<int:pk>/", stowing.stack_measure, name="stack_measure"),
]
