"""For whoever watches the machine: does the site answer, and does its database?"""

from django.db import DatabaseError, connection
from django.http import JsonResponse
from django.views.decorators.cache import never_cache

from yard.web.access import public
from yard.web.request import YardRequest


@public(yard=False)
@never_cache
def healthz(request: YardRequest) -> JsonResponse:
    """200 {"status": "ok"}, or 503 when the database does not answer. One query."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"status": "the database does not answer"}, status=503)
    return JsonResponse({"status": "ok"})
