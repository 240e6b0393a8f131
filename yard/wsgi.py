"""The WSGI door for gunicorn. Each of its workers keeps the season at hand for whoever asks by telephone."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yard.settings")
application = get_wsgi_application()

from django.utils import timezone  # noqa: E402  # Django is set up only now

from yard import site_memory, site_threads  # noqa: E402  # they load the pages, which need Django
from yard.services import season_at_hand  # noqa: E402  # it reads models, which need Django

site_threads.without_locks()
site_memory.settle()
season_at_hand.start(timezone.now)
