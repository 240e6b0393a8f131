"""A photograph as it is kept: decoded, upright, small enough, and without what the telephone wrote in it."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from io import BytesIO

from django.core.files.base import ContentFile
from django.core.files.storage import Storage, default_storage
from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

FORMATS = ("JPEG", "PNG", "WEBP")
"""A JPEG with a second picture behind the first (MPO), as some telephones write it, opens as one; the first is kept."""
MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = 80_000_000
"""Telephones take 12 to 50 million pixels; a small file may claim a billion, and is refused before it is decoded."""
FULL_PX, SMALL_PX = 2048, 320
QUALITY = 85
NAME_BYTES = 16
"""128 bits: nobody guesses a name."""


class PhotographRefused(ValueError):
    """This is no photograph that can be kept; the text says why and what to do."""


@dataclass(frozen=True)
class Prepared:
    """Two JPEGs of at most FULL_PX and SMALL_PX, and the digest of what was sent."""

    full: bytes
    small: bytes
    sha256: str


def prepare(sent: bytes) -> Prepared:
    """Judge by decoding, not by the name or the type that the browser says. Raises PhotographRefused."""
    if len(sent) > MOST_BYTES:
        raise PhotographRefused(
            _("The photograph is larger than {most} MB: send a smaller one.").format(most=MOST_BYTES // 1024**2)
        )
    try:
        with Image.open(BytesIO(sent), formats=FORMATS) as opened:
            width, height = opened.size
            if width * height > MOST_PIXELS:
                raise PhotographRefused(
                    _("{width} by {height} pixels are too many: send a smaller photograph.").format(
                        width=width, height=height
                    )
                )
            opened.draft("RGB", (2 * FULL_PX, 2 * FULL_PX))  # a JPEG may be decoded at half or a quarter at once
            upright = _plain(ImageOps.exif_transpose(opened))
    except PhotographRefused:
        raise
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise PhotographRefused(_("This is no JPEG, PNG or WebP that can be read: send it as one of them.")) from error
    return Prepared(_jpeg(upright, FULL_PX), _jpeg(upright, SMALL_PX), hashlib.sha256(sent).hexdigest())


def _plain(image: Image.Image) -> Image.Image:
    """The pixels alone, on white where it was clear: place, camera, comments and profiles stay behind."""
    seen = image.convert("RGBA") if "A" in image.getbands() or "transparency" in image.info else image.convert("RGB")
    plain = Image.new("RGB", seen.size, "white")
    plain.paste(seen, mask=seen.getchannel("A") if seen.mode == "RGBA" else None)
    return plain


def _jpeg(image: Image.Image, most_px: int) -> bytes:
    shown = image.copy()
    shown.thumbnail((most_px, most_px), Image.Resampling.LANCZOS)
    written = BytesIO()
    shown.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()


def write(prepared: Prepared, *, folder: str, storage: Storage = default_storage) -> str:
    """Write both files under a name that nobody guesses, and give it. Raises OSError; then neither file stays."""
    name = f"{folder}/{secrets.token_hex(NAME_BYTES)}.jpg"
    try:
        storage.save(small_name(name), ContentFile(prepared.small))
        return storage.save(name, ContentFile(prepared.full))
    except OSError:
        remove(name, storage=storage)
        raise


def remove(name: str, *, storage: Storage = default_storage) -> None:
    for each in (name, small_name(name)):
        storage.delete(each)


def small_name(name: str) -> str:
    return f"{name.removesuffix('.jpg')}-small.jpg"
