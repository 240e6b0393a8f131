"""Letters as files, where the yard has no mail server: those to one owner are taken out of the folder."""

from __future__ import annotations

import os
from email import message_from_bytes, policy
from pathlib import Path

from django.conf import settings

from yard.services.personal_data.traces import Traces

BETWEEN = b"-" * 79
"""The line that Django's file backend writes behind each letter of a file."""


def erase_letter_files(traces: Traces) -> int:
    """Take out of the folder every letter that names her. Gives how many; other letters of a file stay."""
    folder, count = Path(settings.EMAIL_FILE_PATH), 0
    for path in sorted(folder.glob("*.log")) if folder.is_dir() else ():
        letters = path.read_bytes().split(BETWEEN)
        stay = [letter for letter in letters if not (letter.strip() and _names_her(letter, traces))]
        if len(stay) == len(letters):
            continue
        count += len(letters) - len(stay)
        if any(letter.strip() for letter in stay):
            _put(path, BETWEEN.join(stay))
        else:
            path.unlink()
    return count


def _names_her(letter: bytes, traces: Traces) -> bool:
    message = message_from_bytes(letter.strip(), policy=policy.default)
    headers = (str(value) for value in message.values())
    bodies = (part.get_content() for part in message.walk() if part.get_content_maintype() == "text")
    return any(traces.in_value(text) for text in (*headers, *bodies))


def _put(path: Path, content: bytes) -> None:
    """The whole file, or the one before."""
    fresh = path.with_suffix(".fresh")
    fresh.write_bytes(content)
    os.replace(fresh, path)
