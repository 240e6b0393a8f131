"""Help: its chapters, and one topic with its picture."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render

from yard.web.access import require
from yard.web.help.limits import limit_lines
from yard.web.help.topics import CHAPTERS, TOPICS
from yard.web.request import YardRequest
from yard.web.units import in_feet


@require("own_account")
def help_index(request: YardRequest) -> HttpResponse:
    return render(request, "help/index.html", {"chapters": CHAPTERS})


@require("own_account")
def help_topic(request: YardRequest, key: str) -> HttpResponse:
    topic = TOPICS.get(key)
    if topic is None:
        raise Http404(f"no topic {key!r}")
    limits = limit_lines(fahrenheit=in_feet(request.yard)) if key == "numbers" else ()
    return render(request, f"help/{topic.key}.html", {"topic": topic, "chapters": CHAPTERS, "limits": limits})
