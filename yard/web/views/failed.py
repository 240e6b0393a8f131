"""The page when something failed on our side, as clear as the fault allows. It asks nothing of the database."""

from __future__ import annotations

import string
import sys
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import render
from django.views.defaults import server_error

from yard.web.failing import failing_of, sent_again

SAFE = (string.punctuation + " ").replace("%", "")
"""What a header may hold of any language: all else of its words is sent as an address would have it."""


def failed(request: HttpRequest) -> HttpResponseBase:
    """Django's door for every exception that nobody caught, called while it is handled."""
    failing = failing_of(sys.exc_info()[1])
    if failing is None:
        return server_error(request)
    answer: HttpResponse
    if not request.accepts("text/html"):
        answer = JsonResponse({"refused": False, "says": f"{failing.title}. {failing.remedy}"}, status=failing.status)
    else:
        context = {"failing": failing, "again": sent_again(request), "sent": request.method == "POST"}
        answer = render(request, "not_saved.html", context, status=failing.status)
    answer.headers["X-Yard-Says"] = quote(f"{failing.title}. {failing.remedy}", safe=SAFE)
    if failing.retry_s is not None:
        answer.headers["Retry-After"] = str(failing.retry_s)
    answer.headers["Cache-Control"] = "no-store"
    return answer
