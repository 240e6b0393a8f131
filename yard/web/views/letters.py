"""Letters: who is to be told what today, one letter to read and release, and what became of those that went out."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.vary import vary_on_cookie

from yard.models import Letter, Owner, StaleRow, Telling
from yard.notices.template import TemplateFault
from yard.queries.plans import posted_plan
from yard.services.letters.reading import reading_of
from yard.services.letters.release import Reader, ReleaseRefused, keep_words, release, told_by_word
from yard.services.letters.sending import decide, settle
from yard.services.owner_pages.addresses import address_of_owner, open_page, page_of_owner, replace_page, withdraw_page
from yard.tasks import ask_to_send_letters
from yard.web.access import found, require
from yard.web.context import said_of_plan
from yard.web.letters.overview import is_uncertain, overview
from yard.web.letters.reading_page import OwnWordsForm, reading_page
from yard.web.request import YardRequest, number_in, who


@require("see_owners")
@vary_on_cookie
def letters(request: YardRequest) -> HttpResponse:
    """The morning list."""
    page = overview(posted_plan(), request.yard, now=request.yard_now, real_now=timezone.now())
    return render(request, "letters/list.html", {"page": page, **said_of_plan(page.plan, request.yard_now)})


@require("see_owners", post="tell_owner")
@never_cache
def letter_read(request: YardRequest, pk: int) -> HttpResponseBase:
    """One owner's letter as it stands now; POST keeps the person's own words."""
    owner, reader = _owner(pk), _reader(request)
    form = None
    if request.method == "POST":
        form = OwnWordsForm(request.POST)
        if form.is_valid():
            try:
                keep_words(owner, form.words(), seen_version=form.cleaned_data["version"], reader=reader)
                messages.success(request, _("Your words are kept. Read the letter as it is now."))
                return redirect("letter_read", pk=pk)
            except (StaleRow, ReleaseRefused) as refused:
                words = str(refused) if isinstance(refused, ReleaseRefused) else _STALE_WORDS
                form.add_error(None, words)
    return _show(request, owner, form)


_STALE_WORDS = gettext_lazy(
    "Somebody else wrote here meanwhile: their words stand in the letter, yours in the boxes."
    " Put them together, then keep them again."
)


def _show(request: YardRequest, owner: Owner, form: OwnWordsForm | None = None) -> HttpResponse:
    reader = _reader(request)
    try:
        reading = reading_of(owner, reader.plan, request.yard, now=reader.now, by=reader.by)
    except TemplateFault as fault:
        return render(request, "letters/fault.html", {"owner": owner, "fault": str(fault)}, status=409)
    context: dict[str, object] = {
        "owner": owner,
        "own_page": page_of_owner(owner),
        "own_address": address_of_owner(owner),
    }
    if reading is None:
        lately = owner.letters.exclude(state=Letter.State.DROPPED).order_by("-made_at", "-id")[:6]
        return render(request, "letters/nothing.html", context | {"lately": lately})
    status = 422 if form is not None and form.errors else 200
    if form is None or not form.errors:
        form = OwnWordsForm(row=reading.row, wants_reason=reading.plan_has_no_reason)
    context |= {"page": reading_page(reading), "form": form, "version": reading.row.version if reading.row else 0}
    return render(request, "letters/read.html", context, status=status)


@require(post="tell_owner")
def letter_release(request: YardRequest, pk: int) -> HttpResponseBase:
    """Release one letter, as it was read."""
    owner, way = _owner(pk), request.POST.get("way", "")
    if way not in Letter.Way.values:
        raise Http404("no such way")
    try:
        row = release(owner, Letter.Way(way), seen=request.POST.get("seen", ""), reader=_reader(request))
    except (ReleaseRefused, TemplateFault) as refused:
        messages.error(request, _("Nothing was sent. {why}").format(why=refused))
        return redirect("letter_read", pk=pk)
    if row.way == Letter.Way.POST:
        messages.success(request, _("Noted as told by letter. Print it here, and post it."))
        return redirect("letter", pk=row.pk)
    messages.success(request, _("Released: it goes out to {owner} now.").format(owner=owner))
    return redirect("letters")


@require(post="tell_owner")
def letter_told(request: YardRequest, pk: int) -> HttpResponseBase:
    """Note a call, a text message or a talk."""
    owner, how = _owner(pk), request.POST.get("how", "")
    if how not in (Telling.How.CALL, Telling.How.TEXT, Telling.How.IN_PERSON):
        raise Http404("no such way of telling")
    seen, said = request.POST.get("seen", ""), request.POST.get("said", "")[:2000]
    try:
        rows = told_by_word(owner, Telling.How(how), seen=seen, said=said, reader=_reader(request))
        lines = _("one line") if len(rows) == 1 else _("{n} lines, one for each order").format(n=len(rows))
        messages.success(
            request,
            _("Noted: {owner} was told {how}, {lines}.").format(
                owner=owner, how=rows[0].get_how_display(), lines=lines
            ),
        )
    except (ReleaseRefused, TemplateFault) as refused:
        messages.error(request, _("Nothing was noted. {why}").format(why=refused))
        return redirect("letter_read", pk=pk)
    return redirect("letters")


@require("see_owners")
@never_cache
def letter(request: YardRequest, pk: int) -> HttpResponse:
    """One letter word for word as it was released, to read and to print."""
    row = found(Letter.objects.select_related("owner", "released_by", "decided_by").exclude(text=""), pk=pk)
    context = {"letter": row, "uncertain": is_uncertain(row, timezone.now())}
    return render(request, "letters/letter.html", context)


@require(post="tell_owner")
def letter_decided(request: YardRequest, pk: int) -> HttpResponseBase:
    """A person's word on a letter of which nobody knows whether it went."""
    settle(real_now=timezone.now())
    row, went = found(Letter.objects.all(), pk=pk), request.POST.get("went") == "yes"
    seen = number_in(request.POST.get("version", ""))
    try:
        decide(row, went=went, seen_version=seen, by=who(request), now=request.yard_now)
    except StaleRow:
        messages.error(request, _("Nothing was changed: somebody decided before, or it went out meanwhile."))
        return redirect("letter", pk=pk)
    messages.success(
        request, _("Noted as sent.") if went else _("It is dropped. What is still to be said waits to be read.")
    )
    return redirect("letters") if went else redirect("letter_read", pk=row.owner_id)


@require(post="tell_owner")
def letters_send(request: YardRequest) -> HttpResponseBase:
    """Ask the worker once more to send what waits."""
    ask_to_send_letters()
    messages.success(
        request, _("The worker is asked again. If letters go on waiting, look whether manage.py serve runs.")
    )
    return redirect("letters")


@require(post="tell_owner")
def owner_page_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """Open, replace or withdraw an owner's own page."""
    owner, action = _owner(pk), request.POST.get("action", "")
    match action:
        case "open":
            open_page(owner, by=who(request), now=request.yard_now)
            words = _("The page is open; its address stands in every letter.")
        case "replace":
            replace_page(owner, by=who(request), now=request.yard_now)
            words = _("Here is the new address. The old one opens nothing any more.")
        case "withdraw":
            withdraw_page(owner, now=request.yard_now)
            words = _("The address opens nothing any more.")
        case _:
            raise Http404("no such action")
    messages.success(request, words)
    return redirect("letter_read", pk=pk)


def _owner(pk: int) -> Owner:
    return found(Owner.objects.filter(archived=False), pk=pk)


def _reader(request: YardRequest) -> Reader:
    return Reader(by=who(request), now=request.yard_now, plan=posted_plan(), yard=request.yard)
