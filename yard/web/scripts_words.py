"""The words of scripts in the yard's language, as a script of their own: nothing of it hangs on who asks."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpResponseBase
from django.urls import reverse
from django.views.i18n import JavaScriptCatalog

from yard.web.access import public
from yard.web.request import YardRequest

SOURCE = "en"
"""The language in which scripts are written: it needs no catalogue."""
KEPT_S = 3600
_catalogue = JavaScriptCatalog.as_view()


def words_at() -> str:
    """Where the words of scripts are; "" where scripts speak as they are written."""
    return "" if settings.LANGUAGE_CODE == SOURCE else reverse("words")


@public(yard=False)
def words(request: YardRequest) -> HttpResponseBase:
    """Django's catalogue of scripts: `gettext` and `ngettext` in the browser's window. No query.

    An hour in any cache: a yard that mends its catalogue sees it by then.
    """
    answer = _catalogue(request)
    answer.headers["Cache-Control"] = f"public, max-age={KEPT_S}"
    return answer
