from django.urls import path

from yard.web.views import help as views

urlpatterns = [
    path("help/", views.help_index, name="help"),
    path("help/<slug:key>/", views.help_topic, name="help_topic"),
]
