"""Views of lists that people keep under a name."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from yard.models.versioned import Versioned


class SavedView(Versioned):
    """A list as somebody narrowed, sorted and cut it, under a name: their own, or shared by the yard.

    of: which list. asked: the query string that gives it, of the words that the list knows, URL-encoded.
    """

    of = models.SlugField(max_length=20)
    name = models.CharField(max_length=60)
    asked = models.CharField(max_length=1000, blank=True)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="saved_views")
    shared = models.BooleanField(default=False)

    class Meta:
        ordering = ["of", "name", "id"]
        constraints = [
            models.UniqueConstraint(fields=["of", "name"], condition=Q(shared=True), name="saved_view_shared_once"),
            models.UniqueConstraint(
                fields=["of", "owner", "name"], condition=Q(shared=False), name="saved_view_own_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name
