"""What is typed to come in, to confirm, and to set up a second factor."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

CODE = forms.TextInput(attrs={"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"})


class CodeForm(forms.Form):
    """Of the phone, or a recovery code."""

    code = forms.CharField(label=_("Code"), max_length=60, widget=CODE)


class ConfirmForm(forms.Form):
    password = forms.CharField(
        label=_("Your password"), strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )
    code = forms.CharField(label=_("Code of your phone, or a recovery code"), max_length=60, widget=CODE)

    def __init__(self, *args: Any, asks_code: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not asks_code:
            del self.fields["code"]
