"""A file's bytes as sheets of text: one door for CSV and XLSX."""

from __future__ import annotations

from pathlib import PurePath

from yard.sheets.csv_file import read_csv
from yard.sheets.grid import LARGEST_FILE_BYTES, Sheet, SheetRefused
from yard.sheets.xlsx_file import MAGIC, read_xlsx
from yard.speech import _

OLD_EXCEL = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""The mark of a compound file: XLS, and an XLSX locked with a password. Source: [MS-CFB] 2.2."""


def read_sheets(data: bytes, file_name: str) -> tuple[Sheet, ...]:
    """The sheets of a file that hold something, told by its bytes, not by its name.

    Raises SheetRefused where it is too large, is no sheet, is damaged, or holds nothing.
    """
    if len(data) > LARGEST_FILE_BYTES:
        raise SheetRefused(
            _("The file is larger than {most} MB: save only the list in it.").format(
                most=LARGEST_FILE_BYTES // 1_000_000
            )
        )
    if data.startswith(OLD_EXCEL):
        raise SheetRefused(
            _("This is an old XLS file, or one locked with a password: save it as XLSX without a password.")
        )
    title = PurePath(file_name).stem[:60] or "sheet"
    sheets = read_xlsx(data) if data.startswith(MAGIC) else (read_csv(data, title),)
    if not any(sheet.lines for sheet in sheets):
        raise SheetRefused(_("There is nothing in this file: choose another."))
    return sheets
