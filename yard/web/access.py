"""Who may do what: one table of roles and verbs, the door of every view, and the backend that asks the table.

A view opens its own door and carries its verbs, so that a test can walk every address of the site:

    @require("view_plan")                        GET and HEAD
    @require("view_plan", post="edit_facts")     a page with a form that only some may send
    @require(post="post_plan")                   POST alone
    @public()                                    nobody need sign in: health, token links, the sign-in page

Whoever is not signed in is sent to sign in; whoever lacks the verb gets 403; any other method gets 405.
Templates ask `{% if perms.yard.post_plan %}`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any, Concatenate, Literal, ParamSpec, TypeVar, cast, get_args

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import AnonymousUser, User
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponseBase, HttpResponseNotAllowed
from django.template.loader import render_to_string
from django.urls import resolve

from yard.services.people_accounts import ONE_TIME_PASSWORD_GROUP, ROLES, Role
from yard.services.security_log import say
from yard.web.request import YardRequest

Verb = Literal[
    "public",  # anybody, signed in or not
    "own_account",  # whoever is signed in: password, own calendar address
    "view_plan",  # season, launches, days, boats, crew; no owner's name, telephone or address
    "plan",  # start and stop a planning run, make and drop a proposal, close a day for weather, pin, waive
    "post_plan",  # put a plan on the wall
    "edit_facts",  # boats, moorings, jobs, arrivals, permits, people's skills and hours
    "order",  # take, change and withdraw an owner's order
    "report_work",  # finished, stopped, notes and photographs; where boats and things lie
    "close_day",  # close the day's work
    "see_owners",  # owners' names, telephone numbers, addresses and what they were told
    "tell_owner",  # write, read, release and withdraw letters; owners' links
    "import_lists",  # bring in lists from a sheet, and send the season out as one
    "manage_people",  # accounts: who may sign in, roles, new passwords; personal data of owners taken out and erased
    "settings",  # the yard: station, ramp, limits, allowances, ways of working
    "close_season",  # carry a season into the next and close it, take that back, open it again
    "books",  # hours, materials and extras by boat, order and person, for the bookkeeper
]

VERBS: tuple[Verb, ...] = get_args(Verb)

MAY: Mapping[Verb, frozenset[Role]] = {
    "own_account": frozenset({"planner", "office", "crew", "viewer"}),
    "view_plan": frozenset({"planner", "office", "crew", "viewer"}),
    "plan": frozenset({"planner"}),
    "post_plan": frozenset({"planner"}),
    "edit_facts": frozenset({"planner", "office"}),
    "order": frozenset({"planner", "office"}),
    "report_work": frozenset({"planner", "office", "crew"}),
    "close_day": frozenset({"planner", "crew"}),
    "see_owners": frozenset({"planner", "office"}),
    "tell_owner": frozenset({"planner", "office"}),
    "import_lists": frozenset({"planner", "office"}),
    "manage_people": frozenset({"planner"}),
    "settings": frozenset({"planner"}),
    "close_season": frozenset({"planner"}),
    "books": frozenset({"planner", "office"}),
}

OF_PEOPLE: frozenset[Verb] = frozenset(
    {"own_account", "see_owners", "tell_owner", "import_lists", "manage_people", "books"}
)
"""What these verbs open names people: it stays in no cache, not even the browser's own."""

P = ParamSpec("P")
M = TypeVar("M", bound=Model)
View = Callable[Concatenate[YardRequest, P], HttpResponseBase]


def verb_of(address: str) -> Verb:
    """The verb of the view at an address of the site. Raises Resolver404."""
    return cast(Verb, resolve(address).func.verb)  # type: ignore[attr-defined]  # every view has a door, a test sees to it


def groups_of(user: User | AnonymousUser) -> frozenset[str]:
    """Names of the user's groups; one query, then kept on this user object, which lives as long as the request."""
    kept: frozenset[str] | None = getattr(user, "_yard_groups", None)
    if kept is None:
        kept = frozenset(user.groups.values_list("name", flat=True)) if user.is_authenticated else frozenset()
        user._yard_groups = kept  # type: ignore[union-attr]  # a cache of our own on Django's object
    return kept


def roles_of(user: User | AnonymousUser) -> frozenset[str]:
    """The roles of an active user: those of the groups; a superuser is a planner."""
    if not user.is_active:
        return frozenset()
    if getattr(user, "is_superuser", False):
        return frozenset({"planner"})
    return groups_of(user) & frozenset(ROLES)


def may(user: User | AnonymousUser, verb: Verb) -> bool:
    """Whether this user may do this. `own_account` needs no role, only a person who is signed in."""
    if verb == "public":
        return True
    if not (user.is_authenticated and user.is_active):
        return False
    return verb == "own_account" or not MAY[verb].isdisjoint(roles_of(user))


def must_set_password(user: User | AnonymousUser) -> bool:
    return ONE_TIME_PASSWORD_GROUP in groups_of(user)


class RoleBackend(ModelBackend):
    """Signs in by name and password; answers permissions named `yard.<verb>` from the table, and no others."""

    def has_perm(self, user_obj: Any, perm: str, obj: Any = None) -> bool:
        app, _, verb = perm.partition(".")
        return app == "yard" and verb in VERBS and may(user_obj, verb)

    def has_module_perms(self, user_obj: Any, app_label: str) -> bool:
        return app_label == "yard" and bool(roles_of(user_obj))

    def get_all_permissions(self, user_obj: Any, obj: Any = None) -> set[str]:
        return {f"yard.{verb}" for verb in VERBS if may(user_obj, verb)}


def require(get: Verb | None = None, *, post: Verb | None = None, yard: bool = True) -> Callable[[View[P]], View[P]]:
    """The door of a view: which verb reads it (GET, HEAD) and which verb sends to it (POST).

    `view.verbs` keeps them by method; `view.verb` is the one that reads, or else the one that sends.
    yard: whether the view needs `request.yard`; where not, its row is not read.
    """
    verbs: dict[str, Verb] = {}
    if get is not None:
        verbs |= {"GET": get, "HEAD": get}
    if post is not None:
        verbs["POST"] = post
    if not verbs or not set(verbs.values()) <= set(VERBS):
        raise ValueError(f"a view needs a verb of yard.web.access.VERBS, not {get!r} or {post!r}")

    of_people = not OF_PEOPLE.isdisjoint(verbs.values())
    cached = "private, no-store" if of_people else "private, no-cache"

    def door(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: YardRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            refusal = _refusal(request, verbs)
            answer = view(request, *args, **kwargs) if refusal is None else refusal
            answer.headers.setdefault("Cache-Control", cached)
            return answer

        told = cast(Any, guarded)
        told.verbs, told.verb, told.without_yard = verbs, get or post, not yard
        opened = cast("View[P]", guarded)
        return login_not_required(opened) if "public" in verbs.values() else opened

    return door


def public(get: bool = True, *, post: bool = False, yard: bool = True) -> Callable[[View[P]], View[P]]:
    """The door of a view for which nobody need sign in."""
    return require("public" if get else None, post="public" if post else None, yard=yard)


def _other_method(request: HttpRequest, verbs: Mapping[str, Verb]) -> HttpResponseNotAllowed:
    """Whoever opens the address of a form's button again, as after a refused form, reads where they are."""
    if request.method != "GET":
        return HttpResponseNotAllowed(sorted(verbs))
    return HttpResponseNotAllowed(sorted(verbs), render_to_string("405.html", request=request))


def _refusal(request: HttpRequest, verbs: Mapping[str, Verb]) -> HttpResponseBase | None:
    """Why this request does not pass, or None. The least of the view's verbs is asked before a method is refused."""
    method = request.method or ""
    asked = [verbs[method]] if method in verbs else list(verbs.values())
    if any(may(request.user, verb) for verb in asked):
        return None if method in verbs else _other_method(request, verbs)
    if not request.user.is_authenticated:
        return redirect_to_login(request.get_full_path() if method in ("GET", "HEAD") else "/")
    say(
        "refused",
        account=request.user,
        by=request.user,
        about="needs " + " or ".join(sorted(set(asked))),
    )
    raise PermissionDenied


def found(rows: QuerySet[M], **facts: object) -> M:
    """The one object of `rows` with these facts, or 404.

    `rows` is what this person may see, so that somebody else's object and none at all look the same:
    `mooring = found(Mooring.objects.visible_to(request.user), pk=pk)`.
    """
    try:
        return rows.get(**facts)
    except (ObjectDoesNotExist, ValueError) as missing:
        raise Http404 from missing


def client_ip(request: HttpRequest) -> str:
    """The address that tries to sign in: behind the proxy of YARD_HTTPS, what that proxy saw (the last it added)."""
    if settings.HTTPS and (forwarded := request.META.get("HTTP_X_FORWARDED_FOR")):
        return str(forwarded).rpartition(",")[2].strip()
    return str(request.META.get("REMOTE_ADDR", ""))
