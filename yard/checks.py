"""What `manage.py` looks at before it does anything."""

from __future__ import annotations

from typing import Any

from django.core.checks import CheckMessage, Warning

from yard.environment import unknown


def settings_are_known(**kwargs: Any) -> list[CheckMessage]:
    """Variables of the environment that are written like a setting and are none."""
    return [Warning(sentence, id="yard.W001") for sentence in unknown()]
