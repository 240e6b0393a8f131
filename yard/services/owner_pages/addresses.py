"""The private address of an owner's page: made, found, replaced, withdrawn.

As with calendars (yard.services.feeds.addresses) a token is 192 bits of an HMAC over the row's own random seed with
the site's key, and only its hash is stored: the rows tell no token, and yet every letter can name the address.
"""

from __future__ import annotations

import base64
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac

from yard.models import Owner, OwnerPage
from yard.services.feeds.addresses import TOKEN_BYTES, hash_of, owners_own_address

OPENED_NOTED_EVERY = timedelta(minutes=10)


def token_of(page: OwnerPage) -> str | None:
    """The token, 32 letters; None where the site's key is another than when the page was made."""
    token = _token(page)
    return token if constant_time_compare(hash_of(token), page.token_sha256) else None


def _token(page: OwnerPage) -> str:
    mac = salted_hmac("yard.owner page", page.seed.hex, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(mac[:TOKEN_BYTES]).decode("ascii")


def page_of_owner(owner: Owner) -> OwnerPage | None:
    """The one that opens now. One query."""
    return OwnerPage.objects.filter(owner=owner, withdrawn_at=None).first()


def address_of_owner(owner: Owner) -> str:
    """The whole address of the owner's page; "" where there is none, or it cannot be shown again. One query."""
    page = page_of_owner(owner)
    token = token_of(page) if page is not None else None
    return "" if token is None else settings.SITE_ADDRESS + reverse("owner_page", kwargs={"token": token})


def open_page(owner: Owner, *, by: User | None, now: datetime) -> OwnerPage:
    """The owner's page, made if there is none."""
    if (page := page_of_owner(owner)) is not None:
        return page
    try:
        with transaction.atomic():
            return _make(owner, by, now)
    except IntegrityError:  # somebody else made it between
        return OwnerPage.objects.get(owner=owner, withdrawn_at=None)


def _make(owner: Owner, by: User | None, now: datetime) -> OwnerPage:
    page = OwnerPage(owner=owner, made_by=by, made_at=now)
    page.token_sha256 = hash_of(_token(page))
    page.save()
    owners_own_address(owner, now=now)
    return page


@transaction.atomic
def replace_page(owner: Owner, *, by: User, now: datetime) -> OwnerPage:
    """A new address; the one before opens no more."""
    withdraw_page(owner, now=now)
    return _make(owner, by, now)


def withdraw_page(owner: Owner, *, now: datetime) -> bool:
    """The address opens no more. False where there was none."""
    return OwnerPage.objects.filter(owner=owner, withdrawn_at=None).update(withdrawn_at=now) == 1


def find_page(token: str, *, real_now: datetime) -> OwnerPage | None:
    """The page of a token; None alike for one that never was and one that is withdrawn. At most two queries."""
    page = OwnerPage.objects.filter(token_sha256=hash_of(token), withdrawn_at=None).select_related("owner").first()
    if page is not None and (page.last_opened_at is None or real_now - page.last_opened_at >= OPENED_NOTED_EVERY):
        OwnerPage.objects.filter(pk=page.pk).update(last_opened_at=real_now)
    return page
