"""Numbers typed as the yard's language writes them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation

from yard.web.number_fields import ExactNumberField, NumberField


@pytest.mark.parametrize(("language", "typed", "meant"), [("de", "1,5", 1.5), ("de", "1.5", 1.5), ("en", "1.5", 1.5)])
def test_a_number_is_read_with_the_sign_of_the_language_or_a_point(language, typed, meant):
    with translation.override(language):
        assert NumberField().clean(typed) == meant
        assert ExactNumberField().clean(typed) == Decimal(str(meant))


@pytest.mark.parametrize("field", [NumberField, ExactNumberField])
@pytest.mark.parametrize("typed", ["1,500", "1,5,0", "one"])
def test_what_may_be_a_thousand_in_english_is_refused_rather_than_guessed(field, typed):
    with translation.override("en"), pytest.raises(ValidationError):
        field().clean(typed)
