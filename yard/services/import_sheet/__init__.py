"""Lists from sheets: sent, matched, looked at, saved as a whole, taken back as a whole. The one writer of imports."""

from yard.services.import_sheet.compare import Counts, Preview, PreviewRow, preview_of
from yard.services.import_sheet.new_owners import owners_not_on_file, put_owners_on_file
from yard.services.import_sheet.save import save_import
from yard.services.import_sheet.sent import Chosen, ImportRefused, choose, drop, matches_of, send_sheet
from yard.services.import_sheet.take_back import take_back

__all__ = [
    "Chosen",
    "Counts",
    "ImportRefused",
    "Preview",
    "PreviewRow",
    "choose",
    "drop",
    "matches_of",
    "owners_not_on_file",
    "preview_of",
    "put_owners_on_file",
    "save_import",
    "send_sheet",
    "take_back",
]
