"""Reads of people."""

from django.db.models import Prefetch, QuerySet

from yard.models import Person, PersonSkill


def people_with_hours() -> QuerySet[Person]:
    """Everybody who works, by short name, with skills, weekly hours and dated hours at hand. Four queries."""
    skills = Prefetch("skills", PersonSkill.objects.select_related("skill").order_by("skill__key", "id"))
    return (
        Person.objects.filter(archived=False)
        .prefetch_related(skills, "weekly_hours", "dated_hours")
        .order_by("short_name", "id")
    )
