"""The yard's own words for letters: each with its placeholders, a preview, and the shipped words beside it."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import LetterTemplate, StaleRow
from yard.notices.standard import STANDARD, placeholders
from yard.notices.template import TemplateFault
from yard.services.letters.templates import save_words
from yard.web.access import require
from yard.web.history import changes_of
from yard.web.letters.own_words import WordsForm, preview, words_rows
from yard.web.request import YardRequest, who


@require("tell_owner")
def words(request: YardRequest) -> HttpResponse:
    """Every part of a letter, and which are the yard's own."""
    return render(request, "letters/words.html", {"rows": words_rows()})


@require("tell_owner", post="tell_owner")
def words_of(request: YardRequest, key: str) -> HttpResponseBase:
    """One part: POST with `look` shows a preview of what was typed, else it is kept."""
    if key not in STANDARD:
        raise Http404("no such part of a letter")
    row = LetterTemplate.objects.filter(key=key).first()
    form = WordsForm(request.POST if request.method == "POST" else None, key=key, row=row)
    if request.method == "POST" and form.is_valid() and "look" not in request.POST:
        try:
            text, seen = form.cleaned_data["text"], form.cleaned_data["version"]
            kept = save_words(key, text, seen_version=seen, by=who(request), now=request.yard_now)
            messages.success(request, _("Your words are kept.") if kept else _("The shipped words stand again."))
            return redirect("letter_words")
        except TemplateFault as fault:
            form.add_error("text", str(fault))
        except StaleRow:
            form.add_error(None, _("Somebody else changed these words meanwhile: open the page again to see theirs."))
    shown = preview(key, form.shown_text(), request.yard)
    context = {
        "form": form,
        "shown": shown,
        "standard": STANDARD[key],
        "placeholders": placeholders().items(),
        "history": changes_of(row) if row is not None else (),
    }
    return render(request, "letters/words_of.html", context, status=422 if form.errors else 200)
