"""The second factor of an account: codes of a phone, new every 30 s (RFC 6238), and recovery codes for a lost one.

django-otp keeps the phone's secret, refuses a code the second time, and after n wrong ones waits 2 ** (n - 1) s. Wrong
recovery codes count there too. A recovery code has 118 random bits, so that its plain hash gives nothing away.
"""

from __future__ import annotations

import enum
import secrets
from datetime import datetime
from hashlib import sha256

from django.contrib.auth.models import User
from django.db import transaction
from django_otp.plugins.otp_totp.models import TOTPDevice

from yard.models import RecoveryCode, SecurityEvent, YardSettings
from yard.services.security_log import note
from yard.services.sign_ins import end_sign_ins

CODES = 8
GROUPS, GROUP = 6, 4
# No letter or figure that is taken for another when it is read off paper: 31 of them, 4.95 bits each.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
ASKED_OF = {
    YardSettings.SecondFactorFor.NOBODY: frozenset[str](),
    YardSettings.SecondFactorFor.PLANNERS: frozenset({"planner"}),
    YardSettings.SecondFactorFor.OFFICE: frozenset({"planner", "office"}),
    YardSettings.SecondFactorFor.EVERYBODY: frozenset({"planner", "office", "crew", "viewer"}),
}


class Answer(enum.Enum):
    """What became of a code: WAIT where so many were wrong that none is looked at yet."""

    PHONE = "phone"
    RECOVERY = "recovery"
    WRONG = "wrong"
    WAIT = "wait"


def is_asked_of(yard: YardSettings, roles: frozenset[str]) -> bool:
    """Whether the yard demands a second factor of whoever has these roles."""
    return not ASKED_OF[YardSettings.SecondFactorFor(yard.second_factor_for)].isdisjoint(roles)


def phone_of(account: User) -> TOTPDevice | None:
    """The phone that is asked at sign-in; None without a second factor. One query."""
    device: TOTPDevice | None = TOTPDevice.objects.filter(user=account, confirmed=True).order_by("-id").first()
    return device


def phone_to_come(account: User) -> TOTPDevice | None:
    """The phone that is being set up and has not shown a code yet."""
    device: TOTPDevice | None = TOTPDevice.objects.filter(user=account, confirmed=False).order_by("-id").first()
    return device


def codes_left(account: User) -> int:
    return RecoveryCode.objects.filter(account=account, used_at=None).count()


def begin(account: User) -> TOTPDevice:
    """A new secret to put into a phone. The phone in use, if any, stays until the new one has shown a code."""
    with transaction.atomic():
        _hold(account)
        TOTPDevice.objects.filter(user=account, confirmed=False).delete()
        return TOTPDevice.objects.create(user=account, name="phone", confirmed=False)


def finish(account: User, typed: str, *, now: datetime, keep_session: str) -> list[str] | None:
    """The new phone shows its first code: it is the second factor from now on, and every other session ends.

    Gives the recovery codes, which are shown now and never again; None for a wrong code or too many wrong ones.
    """
    with transaction.atomic():
        _hold(account)
        device = TOTPDevice.objects.select_for_update().filter(user=account, confirmed=False).order_by("-id").first()
        if device is None or not device.verify_token(_plain(typed)):
            return None
        TOTPDevice.objects.filter(user=account, confirmed=True).delete()
        device.confirmed = True
        device.save()
        codes = _new_codes(account, now=now)
        note(SecurityEvent.Kind.FACTOR_ON, account=account, by=account, now=now)
        end_sign_ins(account, but=keep_session)
    return codes


def new_codes(account: User, *, now: datetime) -> list[str]:
    """Recovery codes anew; those before open nothing any more."""
    with transaction.atomic():
        _hold(account)
        codes = _new_codes(account, now=now)
        note(SecurityEvent.Kind.CODES, account=account, by=account, now=now)
    return codes


def check(account: User, typed: str, *, now: datetime) -> Answer:
    """Look at the code of a sign-in. Each is good once, also for two who send it at the same moment."""
    code = _plain(typed)
    with transaction.atomic():
        device = TOTPDevice.objects.select_for_update().filter(user=account, confirmed=True).order_by("-id").first()
        if device is None:
            return Answer.WRONG
        if not device.verify_is_allowed()[0]:
            return Answer.WAIT
        if code.isascii() and code.isdigit():
            return Answer.PHONE if device.verify_token(code) else Answer.WRONG
        unused = RecoveryCode.objects.filter(account=account, code_sha256=_hash(code), used_at=None)
        if unused.update(used_at=now) != 1:
            device.throttle_increment(commit=True)
            return Answer.WRONG
        device.throttle_reset(commit=True)
        note(SecurityEvent.Kind.CODE_USED, account=account, by=account, now=now)
    return Answer.RECOVERY


def take_away(account: User, *, by: User | None, now: datetime, keep_session: str = "") -> bool:
    """No second factor any more: the phone is lost, or its owner wants none. Every other session ends.

    by: the account itself, a planner, or nobody: the command line. False if there was none.
    """
    with transaction.atomic():
        _hold(account)
        gone, _ = TOTPDevice.objects.filter(user=account).delete()
        RecoveryCode.objects.filter(account=account).delete()
        if gone:
            note(SecurityEvent.Kind.FACTOR_OFF, account=account, by=by, now=now)
            end_sign_ins(account, but=keep_session)
    return bool(gone)


def demand(choice: str, *, by: User, now: datetime) -> YardSettings:
    """Whose roles need a second factor from now on. Raises ValueError for no such choice.

    Whoever needs one and has none sees nothing but their own account until it is set up.
    """
    wanted = YardSettings.SecondFactorFor(choice)
    with transaction.atomic():
        yard, _ = YardSettings.objects.select_for_update().get_or_create(pk=1, defaults={"name": "Yard"})
        if yard.second_factor_for != wanted:
            # Past the version: whoever has the form of settings open changes other fields.
            YardSettings.objects.filter(pk=1).update(second_factor_for=wanted)
            yard.second_factor_for = wanted
            note(SecurityEvent.Kind.DEMAND, by=by, now=now, about=str(wanted.label)[:80])
    return yard


def _hold(account: User) -> None:
    """Two tabs of one person take turns."""
    User.objects.select_for_update().get(pk=account.pk)


def _new_codes(account: User, *, now: datetime) -> list[str]:
    codes = [
        "-".join("".join(secrets.choice(LETTERS) for _ in range(GROUP)) for _ in range(GROUPS)) for _ in range(CODES)
    ]
    RecoveryCode.objects.filter(account=account).delete()
    RecoveryCode.objects.bulk_create(
        RecoveryCode(account=account, code_sha256=_hash(_plain(code)), made_at=now) for code in codes
    )
    return codes


def _plain(typed: str) -> str:
    """As people type it: with blanks, hyphens or capitals."""
    return "".join(typed.split()).replace("-", "").lower()


def _hash(code: str) -> str:
    return sha256(code.encode()).hexdigest()
