"""The yard's own words for letters: kept over the shipped ones, checked before they are believed."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from yard.models import LetterTemplate, StaleRow
from yard.notices.standard import PLACEHOLDERS, STANDARD
from yard.notices.template import TemplateFault, check_template
from yard.services.pen import sign


def own_templates() -> dict[str, str]:
    """The yard's own words by key. One query."""
    return dict(LetterTemplate.objects.filter(key__in=STANDARD).values_list("key", "text"))


def check_words(key: str, text: str) -> None:
    """Raises TemplateFault: a placeholder that is none, a bracket left open, or one that the letter needs left out."""
    check_template(text, PLACEHOLDERS.keys())
    missing = [name for name in STANDARD[key].needs if f"${name}" not in text and f"${{{name}}}" not in text]
    if missing:
        names = ", ".join(f"${name}" for name in missing)
        raise TemplateFault(
            _("{names} is missing: without it the letter does not say what it must.").format(names=names)
        )


@transaction.atomic
def save_words(key: str, text: str, *, seen_version: int, by: User, now: datetime) -> LetterTemplate | None:
    """Keep the yard's own words; the shipped ones, or none, put the shipped ones back (None is given then).

    seen_version: of the row that was read, 0 where there was none. Raises TemplateFault and StaleRow.
    """
    text = text.replace("\r\n", "\n").strip()
    row = LetterTemplate.objects.select_for_update().filter(key=key).first()
    if (row.version if row is not None else 0) != seen_version:
        raise StaleRow(row or LetterTemplate(key=key))
    if not text or text == STANDARD[key].text:
        if row is not None:
            sign(row, by=by, now=now, reason=_("the shipped words again"))
            row.delete()
        return None
    check_words(key, text)
    row = row or LetterTemplate(key=key)
    row.text = text
    sign(row, by=by, now=now, reason=_("own words"))
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as taken:  # somebody else's first words came between
        raise StaleRow(row) from taken
    return row
