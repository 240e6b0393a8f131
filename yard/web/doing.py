"""One doing of a page's button: what was done is said, or why nothing was."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.utils.translation import gettext as _

from yard.models import StaleRow
from yard.web.request import YardRequest


def do_or_say_why(request: YardRequest, act: Callable[[], str], *refusals: type[Exception]) -> None:
    """act: does it and says so in words. refusals: what it raises with words for whoever pressed the button."""
    try:
        messages.success(request, act())
    except StaleRow:
        messages.error(request, _("Somebody changed this meanwhile. Nothing was saved: look at it, then try again."))
    except refusals as refused:
        messages.error(request, str(refused))
