"""Addresses of changes by hand."""

from django.urls import URLPattern, path

from yard.web.views import by_hand

urlpatterns: list[URLPattern] = [
    path("plans/hand/", by_hand.by_hand, name="by_hand"),
    path("plans/hand/jobs/<int:pk>/", by_hand.by_hand_job, name="by_hand_job"),
    path("plans/hand/<int:pk>/undo/", by_hand.by_hand_undo, name="by_hand_undo"),
    path("plans/hand/<int:pk>/redo/", by_hand.by_hand_redo, name="by_hand_redo"),
    path("plans/hand/<int:pk>/drop/", by_hand.by_hand_drop, name="by_hand_drop"),
    path("plans/hand/<int:pk>/post/", by_hand.by_hand_post, name="by_hand_post"),
]
