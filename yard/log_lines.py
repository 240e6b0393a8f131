"""Logs as lines of JSON, without personal data or tokens: for a machine's journal, and for whoever is asked to help."""

from __future__ import annotations

import json
import logging
import re
import traceback
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
ADDRESS = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
SECRET = re.compile(r"(?<=/calendar/)[^/\s\"']+|(?<=/owner/)[^/\s\"']+")
LONG_WORD = re.compile(r"(?<![\w/.-])[A-Za-z0-9_-]{32,}(?![\w/-])")
"""Keys and tokens are drawn from these letters; words, names of files and of Python are shorter or have dots."""
OF_THE_MACHINE = (OSError, MemoryError, ImportError)
SAID_BY_THE_DATABASE = ("OperationalError", "InterfaceError", "ImproperlyConfigured")
"""By name, so that this module loads no Django: what these say is of servers and settings, not of rows."""


class JsonLines(logging.Formatter):
    """One object a record: at (UTC), level, logger, message; for an error its kind and where it came from.

    What an error says is told for those of the machine alone: others may quote what somebody typed.
    """

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "process": record.process,
            "message": without_secrets(record.getMessage()),
        }
        if record.exc_info and record.exc_info[1] is not None:
            line |= _told(record.exc_info[1])
        return json.dumps(line, ensure_ascii=False)


def without_secrets(text: str) -> str:
    """The text with its e-mail addresses and tokens taken out."""
    text = SECRET.sub("(hidden)", text)
    return LONG_WORD.sub("(hidden)", ADDRESS.sub("(e-mail)", text))


def _told(error: BaseException) -> dict[str, object]:
    kind = type(error)
    told: dict[str, object] = {"error": f"{kind.__module__}.{kind.__qualname__}"}
    if isinstance(error, OF_THE_MACHINE) or kind.__name__ in SAID_BY_THE_DATABASE:
        told["says"] = without_secrets(str(error))
    told["where"] = [
        f"{_short(frame.filename)}:{frame.lineno} {frame.name}" for frame in traceback.extract_tb(error.__traceback__)
    ]
    if (cause := error.__cause__ or error.__context__) is not None:
        told["because"] = f"{type(cause).__module__}.{type(cause).__qualname__}"
    return told


def _short(filename: str) -> str:
    path = Path(filename)
    return str(path.relative_to(HERE)) if path.is_relative_to(HERE) else "/".join(path.parts[-2:])
