"""For whoever watches the machine: does the site answer, its database, its worker; is there room, and a backup?"""

from __future__ import annotations

import shutil
from datetime import timedelta

from django.conf import settings
from django.db import DatabaseError
from django.http import JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from yard.services.backup.noted import last_backup_at
from yard.services.leases import somebody_works
from yard.web.access import public
from yard.web.request import YardRequest

LEAST_FREE_BYTES = 500_000_000
BACKUP_WITHIN = timedelta(hours=48)
OK = "ok"


@public(yard=False)
@never_cache
def healthz(request: YardRequest) -> JsonResponse:
    """How each part is, in words: "ok" or what is wrong; "status" is "ok" where all are. Two queries.

    503 only where the database does not answer: nothing else keeps this process from serving pages.
    """
    try:
        worker, backup = somebody_works(), last_backup_at()
    except DatabaseError:
        return JsonResponse({"status": "the database does not answer"}, status=503)
    hours = None if backup is None else round((timezone.now() - backup) / timedelta(hours=1), 1)
    parts = {
        "database": OK,
        "worker": OK if worker else "no worker gave a sign in the last minute",
        "disk": _disk(),
        "backup": _backup(hours),
    }
    status = OK if set(parts.values()) == {OK} else "see below"
    return JsonResponse({"status": status, **parts, "backup_age_hours": hours})


def _disk() -> str:
    try:
        free = shutil.disk_usage(settings.DATA_DIR).free
    except OSError:
        return "the data folder is not there"
    return OK if free >= LEAST_FREE_BYTES else "less than 500 MB are left in the data folder"


def _backup(hours: float | None) -> str:
    if hours is None:
        return "none was written yet"
    return OK if hours <= BACKUP_WITHIN / timedelta(hours=1) else "the last one is older than two days"
