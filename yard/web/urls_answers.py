"""Addresses of what is asked of a plan: its load, how good it is, ways back, what if."""

from django.urls import URLPattern, path

from yard.web.views import answers

urlpatterns: list[URLPattern] = [
    path("plans/<int:pk>/load/", answers.plan_load, name="plan_load"),
    path("plans/<int:pk>/how-good/", answers.plan_how_good, name="plan_how_good"),
    path("ways-back/", answers.ways_back, name="ways_back"),
    path("what-if/", answers.what_ifs, name="what_ifs"),
    path("what-if/<int:pk>/", answers.what_if, name="what_if"),
    path("what-if/<int:pk>/keep/", answers.what_if_keep, name="what_if_keep"),
    path("what-if/<int:pk>/throw-away/", answers.what_if_throw_away, name="what_if_throw_away"),
    path("what-if/<int:pk>/draft/", answers.what_if_draft, name="what_if_draft"),
]
