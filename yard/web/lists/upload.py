"""The form that takes a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from django import forms

from yard.models import SheetImport
from yard.sheets.columns import Column, ListOf
from yard.sheets.grid import LARGEST_FILE_BYTES, SheetRefused


class SheetForm(forms.Form):
    """A CSV or XLSX file."""

    file = forms.FileField(
        label="The sheet, CSV or XLSX",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv", "class": "field"}),
        error_messages={
            "required": "Choose a file first.",
            "empty": "There is nothing in this file: choose another.",
            "missing": "No file came: choose it again.",
        },
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE_BYTES:
            raise forms.ValidationError(
                f"The file is larger than {LARGEST_FILE_BYTES // 1_000_000} MB: save only the list in it."
            )
        return file

    def send(
        self, send: Callable[..., SheetImport], of: ListOf, columns: Sequence[Column], *, by: Any, now: datetime
    ) -> SheetImport | None:
        """Send it; None where it is refused, with the reason at the field."""
        file = self.cleaned_data["file"]
        try:
            return send(of, file.read(), file.name, columns=columns, by=by, now=now)
        except SheetRefused as refused:
            self.add_error("file", str(refused))
            return None
