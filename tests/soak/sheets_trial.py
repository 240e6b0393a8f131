"""Bad sheets through the pages that take lists in: sent, matched, looked at, saved or not, taken back."""

from __future__ import annotations

import csv
import io
import re
import traceback
from collections.abc import Iterator, Sequence
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.soak.bad_sheets import BadSheet, bad_sheet, dear_sheet
from tests.soak.limits import TooLong, at_most
from yard.models import HeadingMemory, SheetImport
from yard.queries.list_values import list_rows
from yard.sheets.lists import LISTS
from yard.sheets.writing import Table, write_csv

MOST_CPU_S = 6.0
"""For one sheet and all of its pages; the dearest that are let in, 5,000 lines and 40 MB unpacked, take 3 to 4."""
ROWS = 8
REMEDY = re.compile(
    r"\b(save|shorten|close|choose|split|delete|correct|open|take|write|look|bring|say|leave|type|did you mean)\b", re.I
)


def good_sheets() -> dict[str, list[list[str]]]:
    """Of each list: its headings, and its first rows, as they are written."""
    found = {}
    for name, of in LISTS.items():
        rows = tuple(values for _, values in list_rows(of)[:ROWS])
        text = write_csv(Table(of.title, of.open_to(private=True), rows, feet=False)).decode("utf-8-sig")
        found[name] = list(csv.reader(io.StringIO(text, newline="")))
    return {name: rows for name, rows in found.items() if len(rows) > 2}


def all_values() -> dict[str, list[Any]]:
    """What every list holds."""
    return {name: list_rows(of) for name, of in LISTS.items()}


def try_sheets(client: Client, numbers: Sequence[int], *, dear: bool = False) -> Iterator[str]:
    """What went wrong, a line for each. client: signed in as somebody who may bring lists in. Leaves the rows alone."""
    good, before = good_sheets(), all_values()
    names = sorted(good)
    for number in numbers:
        name = names[(number // 7) % len(names)]
        sheet = (dear_sheet if dear else bad_sheet)(number, good[name][0], good[name][1:])
        try:
            with at_most(MOST_CPU_S):
                wrong = _one(client, name, sheet, before)
        except TooLong as error:
            wrong = str(error)
        except Exception:  # whatever it is: no page may fail in any way
            wrong = traceback.format_exc(limit=-4)
        if (now := all_values()) != before:
            before, wrong = now, wrong or "the lists are not as they were"
        if wrong:
            yield f"sheet {number} ({name}, {sheet.damage}): {wrong}"


def _one(client: Client, name: str, sheet: BadSheet, before: dict[str, list[Any]]) -> str:
    newest = SheetImport.objects.order_by("-pk").values_list("pk", flat=True).first()
    file = SimpleUploadedFile(sheet.file_name, sheet.data)
    answer = client.post(f"/lists/{name}/import/", {"file": file})
    if answer.status_code == 422:
        said = " ".join(map(str, answer.context["form"].errors.get("file", [])))
        if SheetImport.objects.order_by("-pk").values_list("pk", flat=True).first() != newest:
            return "refused, and kept"
        return "" if REMEDY.search(said) else f"refused without a remedy: {said!r}"
    if answer.status_code != 302:
        return f"sending was answered {answer.status_code}"
    sent = SheetImport.objects.latest("pk")
    return _looked_at(client, sent) or _saved_or_not(client, sent, before)


def _looked_at(client: Client, sent: SheetImport) -> str:
    """Its columns are shown and can be kept; each wrong row names its line, its heading and a remedy."""
    memory = set(HeadingMemory.objects.values_list("pk", flat=True))
    shown = client.get(f"/lists/sent/{sent.pk}/columns/")
    if shown.status_code != 200:
        return f"its columns were answered {shown.status_code}"
    form = shown.context["form"]
    kept = {f"{kind}-{one.at}": getattr(one, key) for one in form.chosen.matches for kind, key in FIELDS}
    answer = client.post(f"/lists/sent/{sent.pk}/columns/", kept)
    HeadingMemory.objects.exclude(pk__in=memory).delete()
    if answer.status_code not in (302, 422):
        return f"keeping its columns was answered {answer.status_code}"
    for asked in ("?show=all", "?show=wrong&page=2", "?page=x&show=%00"):
        if client.get(f"/lists/sent/{sent.pk}/{asked}").status_code != 200:
            return f"its page failed at {asked}"
    return ""


FIELDS = (("column", "column"), ("read", "read_as"))


def _saved_or_not(client: Client, sent: SheetImport, before: dict[str, list[Any]]) -> str:
    page = client.get(f"/lists/sent/{sent.pk}/?show=all").context["page"]
    for row in page.rows:
        for fault in row.faults:
            if not (fault.line > 0 and fault.heading and fault.wrong and fault.remedy):
                return f"a fault that names not all of line, heading and remedy: {fault}"
    client.post(f"/lists/sent/{sent.pk}/save/", {"fingerprint": page.preview.fingerprint})
    sent.refresh_from_db()
    counts = page.counts
    if sent.state == SheetImport.State.SENT:
        return "it may be saved, and was not" if page.may_save and not _said_why(client, sent) else ""
    if counts.wrong:
        return f"saved with {counts.wrong} rows wrong"
    now = len(list_rows(LISTS[sent.of]))
    if now != len(before[sent.of]) + counts.new:
        return f"half saved: {now} rows after {len(before[sent.of])} and {counts.new} new"
    if client.get(f"/lists/sent/{sent.pk}/").status_code != 200:
        return "the page of what it changed failed"
    client.post(f"/lists/sent/{sent.pk}/take-back/")
    sent.refresh_from_db()
    return (
        "" if sent.state == SheetImport.State.TAKEN_BACK else f"it could not be taken back: {_said_why(client, sent)}"
    )


def _said_why(client: Client, sent: SheetImport) -> str:
    """What the page says after the last press."""
    text = client.get(f"/lists/sent/{sent.pk}/").content.decode()
    return " ".join(re.findall(r"(?:Nothing was|cannot|There is nothing)[^<]*", text))[:300]
