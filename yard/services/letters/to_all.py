"""One message that a person read, to many owners: for a storm, and winter's question. One letter an owner."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Boat, Letter, Owner, Season, YardSettings
from yard.notices.letter import Written, write_to_all
from yard.notices.news import LetterFacts
from yard.notices.wording import listed
from yard.services.letters.reading import signs
from yard.services.letters.release import LONGEST_OWN_WORDS, ReleaseRefused
from yard.services.letters.templates import own_templates
from yard.services.owner_pages.addresses import address_of_owner, open_page
from yard.services.pen import insert
from yard.tasks import ask_to_send_letters


@dataclass(frozen=True)
class ToOwner:
    """What differs from owner to owner: facts by placeholder."""

    owner: Owner
    facts: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Message:
    """One message to many. batch: of the form, so that the same form sent twice writes to nobody twice."""

    kind: Letter.Kind
    headline: str
    batch: UUID
    before: str = ""
    after: str = ""
    season: Season | None = None


def written_to(each: ToOwner, message: Message, yard: YardSettings, *, by: User) -> Written:
    """The letter to one of them. Raises TemplateFault."""
    facts = LetterFacts(
        owner=each.owner.name,
        yard=signs(yard),
        news=(),
        page=address_of_owner(each.owner),
        before=message.before,
        after=message.after,
        signed=by.get_full_name() or by.username,
        extra={"headline": message.headline} | each.facts,
    )
    return write_to_all(message.kind.value, facts, own_templates())


@transaction.atomic
def release_to_all(
    to: Sequence[ToOwner], message: Message, yard: YardSettings, *, by: User, now: datetime
) -> list[Letter]:
    """Release one letter an owner; the same batch again gives those that it made. Raises ReleaseRefused."""
    if (before := list(Letter.objects.filter(batch=message.batch).order_by("id"))) != []:
        return before
    if not to:
        raise ReleaseRefused(_("Nobody is ticked: tick those who are to have it."))
    if max(len(message.before), len(message.after)) > LONGEST_OWN_WORDS:
        raise ReleaseRefused(_("More than {most} letters: shorten it.").format(most=f"{LONGEST_OWN_WORDS:,}"))
    if lacking := [each.owner.name for each in to if not can_be_written_to(each.owner)]:
        raise ReleaseRefused(
            _("No e-mail address that can be written to: {lacking}. Call them instead.").format(lacking=listed(lacking))
        )
    rows = []
    for each in to:
        open_page(each.owner, by=by, now=now)
        written = written_to(each, message, yard, by=by)
        rows.append(
            Letter(
                kind=message.kind,
                owner=each.owner,
                season=message.season,
                state=Letter.State.RELEASED,
                to_address=each.owner.email,
                before=message.before,
                after=message.after,
                subject=written.subject,
                text=written.as_text(),
                html=written.as_html(),
                made_at=now,
                released_by=by,
                released_at=now,
                batch=message.batch,
            )
        )
    insert(rows, by=by, now=now, reason=_("read and released to all"))
    ask_to_send_letters()
    return list(Letter.objects.filter(batch=message.batch).order_by("id"))


def can_be_written_to(owner: Owner) -> bool:
    try:
        validate_email(owner.email)
    except ValidationError:
        return False
    return True


STANDING = {
    Boat.InAStorm.ASK: gettext_noop("to ask you first"),
    Boat.InAStorm.HAUL: gettext_noop("to haul her"),
    Boat.InAStorm.STRIP: gettext_noop("to strip sails and canvas"),
    Boat.InAStorm.DOUBLE: gettext_noop("to double the pendants"),
}


def storm_list() -> list[ToOwner]:
    """Owners of boats in the yard's care with what they asked for in a storm, by name. One query."""
    rows = Owner.objects.filter(archived=False, ownerships__ends_on=None, ownerships__boat__archived=False).distinct()
    found = []
    for owner in rows.prefetch_related("ownerships__boat").order_by("name", "id"):
        boats = [row.boat for row in owner.ownerships.all() if row.ends_on is None and not row.boat.archived]
        found.append(ToOwner(owner, standing_words(boats)))
    return found


def standing_words(boats: Iterable[Boat]) -> dict[str, str]:
    """ "boats" and "standing" for an owner's boats: several instructions name their boat."""
    boats = sorted(boats, key=lambda boat: boat.name)
    asked = {boat.name: _(STANDING[Boat.InAStorm(boat.in_a_storm)]) for boat in boats}
    if len(set(asked.values())) <= 1:
        words = next(iter(asked.values()), "")
    else:
        words = listed([_("for {boat} {what}").format(boat=name, what=what) for name, what in asked.items()])
    return {"boats": listed([boat.name for boat in boats]), "standing": words}
