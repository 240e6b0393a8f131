"""The one writer of saved views: keep one, rename it, share it, drop it. Two of one list never go by one name."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import SavedView
from yard.queries.accounts import called

LONGEST_NAME, LONGEST_ASKED = 60, 1000


class ViewRefused(Exception):
    """This cannot be kept; the text says why and what to do. Nothing was saved."""


def views_of(of: str, user: User) -> list[SavedView]:
    """The views of a list that this person may see, by name: their own, and those shared by the yard. One query."""
    mine = SavedView.objects.filter(Q(owner=user) | Q(shared=True), of=of).select_related("owner")
    return sorted(mine, key=lambda view: (view.name.casefold(), view.pk))


def keep_view(of: str, name: str, asked: str, *, shared: bool, by: User) -> SavedView:
    """Keep what a list shows now. The same view under the same name again is that view. Raises ViewRefused."""
    name = _checked(name, asked)
    same = SavedView.objects.filter(of=of, owner=by, name=name, asked=asked, shared=shared).first()
    if same is not None:
        return same
    _refuse_double(of, name, by)
    try:
        with transaction.atomic():
            return SavedView.objects.create(of=of, name=name, asked=asked, owner=by, shared=shared)
    except IntegrityError as double:  # somebody was quicker by a moment
        raise ViewRefused(_("There is a view “{name}” already: choose another name.").format(name=name)) from double


def rename_view(view: SavedView, name: str, *, shared: bool, seen_version: int, by: User) -> SavedView:
    """Another name, or shared or not. Raises ViewRefused; StaleRow where somebody changed it meanwhile."""
    name = _checked(name, view.asked)
    _refuse_double(view.of, name, by, but=view)
    view.name, view.shared = name, shared
    return view.save_over(seen_version)


def drop_view(view: SavedView) -> None:
    """The list stays as it is; only the name for what it showed is gone."""
    view.delete()


def _checked(name: str, asked: str) -> str:
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME:
        raise ViewRefused(_("Give the view a name of at most {most} letters.").format(most=LONGEST_NAME))
    if len(asked) > LONGEST_ASKED:
        raise ViewRefused(_("This asks for more than a view can keep: choose fewer columns or words."))
    return name


def _refuse_double(of: str, name: str, by: User, but: SavedView | None = None) -> None:
    others = SavedView.objects.filter(Q(owner=by) | Q(shared=True), of=of, name__iexact=name)
    if but is not None:
        others = others.exclude(pk=but.pk)
    if (other := others.select_related("owner").first()) is not None:
        whose = _("shared by {owner}").format(owner=called(other.owner)) if other.shared else _("your own")
        raise ViewRefused(
            _("There is a view “{other}” of this list already, {whose}: choose another name.").format(
                other=other.name, whose=whose
            )
        )
