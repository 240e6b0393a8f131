"""Views of lists under a name: keep what is shown, rename it, share it, drop it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from yard.models import SavedView, StaleRow
from yard.services.saved_views import ViewRefused, drop_view, keep_view, rename_view
from yard.web.access import found, may, require
from yard.web.keeping.desk import seen_version
from yard.web.lists.tools import LISTS, address_of, asked_in
from yard.web.request import YardRequest, who


@require(post="view_plan")
def view_keep(request: YardRequest, of: str) -> HttpResponseBase:
    if of not in LISTS:
        raise Http404("There is no such list.")
    asked = asked_in(of, request.POST.get("asked", ""))
    try:
        view = keep_view(of, request.POST.get("name", ""), asked, shared=_shared(request), by=who(request))
        words = _("“{view}” is kept for the whole yard.") if view.shared else _("“{view}” is kept.")
        messages.success(request, words.format(view=view.name))
    except ViewRefused as refused:
        messages.error(request, _("Nothing was kept. {why}").format(why=refused))
    return redirect(address_of(of, asked))


@require(post="view_plan")
def view_rename(request: YardRequest, pk: int) -> HttpResponseBase:
    view = _own(request, pk)
    try:
        rename_view(
            view,
            request.POST.get("name", ""),
            shared=_shared(request),
            seen_version=seen_version(request),
            by=who(request),
        )
        messages.success(request, _("“{view}”: saved.").format(view=view.name))
    except ViewRefused as refused:
        messages.error(request, _("Nothing was changed. {why}").format(why=refused))
    except StaleRow:
        messages.error(request, _("Nothing was changed: somebody else changed this view meanwhile. Look again."))
    return redirect(address_of(view.of, view.asked))


@require(post="view_plan")
def view_drop(request: YardRequest, pk: int) -> HttpResponseBase:
    view = _own(request, pk)
    of, asked = view.of, view.asked
    drop_view(view)
    messages.success(
        request,
        _("“{view}” is dropped. To have it again, keep what is shown now under its name.").format(view=view.name),
    )
    return redirect(address_of(of, asked))


def _shared(request: YardRequest) -> bool:
    return bool(request.POST.get("shared")) and may(request.user, "edit_facts")


def _own(request: YardRequest, pk: int) -> SavedView:
    """One's own, or a shared one where one keeps the yard's facts; of somebody else's it is not even told."""
    view = found(SavedView.objects.filter(Q(owner=who(request)) | Q(shared=True)), pk=pk)
    if view.owner_id != who(request).pk and not may(request.user, "edit_facts"):
        raise PermissionDenied
    return view
