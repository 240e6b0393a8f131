"""Addresses of "when could it be done?" and of what is held for callers."""

from django.urls import URLPattern, path

from yard.web.views import when

urlpatterns: list[URLPattern] = [
    path("when/", when.when, name="when"),
    path("when/ready/", when.when_ready, name="when_ready"),
    path("when/held/", when.held_days, name="held_days"),
    path("when/held/<int:pk>/take/", when.held_take, name="held_take"),
    path("when/held/<int:pk>/let-go/", when.held_let_go, name="held_let_go"),
]
