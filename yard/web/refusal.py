"""A form takes over what a service refused, field by field."""

from __future__ import annotations

from django import forms

from yard.services.keeping import Refused


class Refusable(forms.BaseForm):
    def refuse(self, refused: Refused) -> None:
        """What is said of a field that the page does not have is said of the form as a whole."""
        for key, words in refused.words.items():
            for each in words:
                self.add_error(key if key in self.fields else None, each)
