"""The form that takes a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import SheetImport
from yard.sheets.columns import Column, ListOf
from yard.sheets.grid import LARGEST_FILE_BYTES, SheetRefused


class SheetForm(forms.Form):
    """A CSV or XLSX file."""

    file = forms.FileField(
        label=gettext_lazy("The sheet, CSV or XLSX"),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv", "class": "field"}),
        error_messages={
            "required": gettext_lazy("Choose a file first."),
            "empty": gettext_lazy("There is nothing in this file: choose another."),
            "missing": gettext_lazy("No file came: choose it again."),
        },
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE_BYTES:
            raise forms.ValidationError(
                _("The file is larger than {size} MB: save only the list in it.").format(
                    size=LARGEST_FILE_BYTES // 1_000_000
                )
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
