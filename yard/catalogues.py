"""Catalogues of a language (.po) made ready for gettext (.mo) as a process starts, and refused where they would fail.

Nobody compiles by hand, and no binary lies in the tree: what is made lies in the data folder, and anew as soon as its
catalogue is another. Django's own catalogues come beside these.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from string import Formatter
from typing import TYPE_CHECKING

from django.core.exceptions import ImproperlyConfigured
from django.utils.translation import to_locale

if TYPE_CHECKING:
    from polib import POEntry

DOMAINS = ("django", "djangojs")
_PERCENT_GAP = re.compile(r"%\((\w+)\)[sd]")


def made_ready(language: str, folders: Sequence[Path], *, into: Path) -> list[Path]:
    """Folders as LOCALE_PATHS wants them: of each of `folders` that has a catalogue of `language`, one within `into`.

    Raises ImproperlyConfigured, naming file, line and remedy, where a catalogue cannot be read, a sentence lost or
    invented a gap, or the folder cannot be written.
    """
    found = []
    for number, folder in enumerate(folders):
        locale = to_locale(language)
        pairs = [
            (source, into / str(number) / name / "LC_MESSAGES" / f"{domain}.mo")
            for name in dict.fromkeys((locale.partition("_")[0], locale))
            for domain in DOMAINS
            if (source := folder / name / "LC_MESSAGES" / f"{domain}.po").is_file()
        ]
        for source, target in pairs:
            _make(source, target)
        if pairs:
            found.append(into / str(number))
    return found


def _make(source: Path, target: Path) -> None:
    """Written beside and then put in its place whole: several processes may start at once, and one be killed."""
    written_ns = source.stat().st_mtime_ns
    if target.exists() and target.stat().st_mtime_ns == written_ns:
        return
    made = _read(source)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=target.parent, delete=False) as file:
            file.write(made)
        os.utime(file.name, ns=(written_ns, written_ns))
        os.replace(file.name, target)
    except OSError as error:
        raise ImproperlyConfigured(f"{target} cannot be written: {error.strerror}.") from error


def _read(source: Path) -> bytes:
    import polib  # a yard that speaks the language of the source never needs it

    try:
        catalogue = polib.pofile(str(source), encoding="utf-8")
    except (OSError, ValueError) as error:  # a file that is no UTF-8 is a ValueError
        raise ImproperlyConfigured(f"{source} cannot be read as a catalogue: {error}") from error
    for entry in catalogue.translated_entries():
        if trouble := _trouble(entry):
            raise ImproperlyConfigured(f"{source}, line {entry.linenum}, “{entry.msgid[:60]}”: {trouble}")
    return bytes(catalogue.to_binary())


def _trouble(entry: POEntry) -> str:
    """What would fail on a page: a gap that nothing fills, or a sign that is taken for one; "" for nothing."""
    sources = [entry.msgid, entry.msgid_plural] if entry.msgid_plural else [entry.msgid]
    for said in entry.msgstr_plural.values() if entry.msgid_plural else [entry.msgstr]:
        for gaps, form in ((_braces, "{name}"), (_percents, "%(name)s")):
            wanted = set().union(*(gaps(source) for source in sources))
            if wanted and not (written := gaps(said)) <= wanted:
                strange = ", ".join(sorted(written - wanted))
                return f"a gap is written {form}, and {strange} is none of {', '.join(sorted(wanted))}."
    return ""


def _braces(text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    except ValueError:
        return {"a single brace"} if "{" in text or "}" in text else set()


def _percents(text: str) -> set[str]:
    found = set(_PERCENT_GAP.findall(text))
    rest = _PERCENT_GAP.sub("", text.replace("%%", ""))
    return found | {"a single %"} if found and "%" in rest else found
