"""The secret of a second factor, for a phone's camera and for fingers."""

from __future__ import annotations

from base64 import b32encode
from dataclasses import dataclass
from urllib.parse import quote, urlencode

import segno
from django.utils.safestring import SafeString, mark_safe
from django_otp.plugins.otp_totp.models import TOTPDevice


@dataclass(frozen=True)
class Secret:
    """address: otpauth:, which phones open themselves. letters: base 32 in groups of four. square: the address."""

    address: str
    letters: str
    square: SafeString


def square_of(phone: TOTPDevice, issuer: str) -> Secret:
    """issuer: the yard's name, under which the phone lists it; a colon would end it."""
    issuer = issuer.replace(":", " ")
    plain = b32encode(phone.bin_key).decode().rstrip("=")
    asked = {"secret": plain, "issuer": issuer, "algorithm": "SHA1", "digits": phone.digits, "period": phone.step}
    address = f"otpauth://totp/{quote(f'{issuer}:{phone.user.get_username()}')}?{urlencode(asked, quote_via=quote)}"
    # Black modules on a white ground in every colour scheme: cameras do not read the inverse.
    square = segno.make(address, error="m", micro=False).svg_inline(
        scale=4, border=3, dark="#000", light="#fff", omitsize=True
    )
    letters = " ".join(plain[at : at + 4] for at in range(0, len(plain), 4))
    return Secret(address, letters, mark_safe(square))
