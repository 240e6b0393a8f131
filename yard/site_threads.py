"""What each thread of the site keeps for itself is asked for without a lock.

Django keeps the language, the time zone and the prefix of paths of the page drawn in asgiref's `Local`, which serves
asynchronous code too and takes a lock at every look. A page looks some thousands of times: each text, hour and link.
Of eight threads that draw at once, one is sent to wait while it holds the lock and the others queue behind it: sampled
while fifty people read over PostgreSQL, two of five moments were spent there. The site's process draws by threads
alone (gunicorn's gthread), for which `Local` says it is a `threading.local`; so it is given one.
"""

from __future__ import annotations

import threading
from types import ModuleType

from django.urls import base
from django.utils import timezone
from django.utils.translation import trans_real

KEPT: tuple[tuple[ModuleType, str], ...] = (
    (trans_real, "_active"),
    (timezone, "_active"),
    (base, "_prefixes"),
    (base, "_urlconfs"),
)
"""Django's own, by module and name; it replaces the first itself where catalogues change."""


def without_locks() -> None:
    """Once, before a process draws its first page: what a thread has set by then is forgotten."""
    for module, name in KEPT:
        setattr(module, name, threading.local())
