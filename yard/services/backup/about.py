"""What a backup says of itself, and what is wrong with one that cannot be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

FORM = "yard backup, form 1"
ABOUT, SCHEMA, TABLES, PHOTOGRAPHS = "about.json", "schema.json", "tables/", "photographs/"


class BackupRefused(Exception):
    """Nothing was changed: what is wrong, and the remedy."""


@dataclass(frozen=True, slots=True)
class Held:
    """How many rows a table has, and the digest of its lines."""

    rows: int
    digest: str


@dataclass(frozen=True, slots=True)
class About:
    """migrations: the newest of each app, for the form of the tables. photographs: SHA-256 by name; missing: those that
    rows name and the folder did not have."""

    made_at: datetime
    yard: str
    migrations: tuple[tuple[str, str], ...]
    tables: Mapping[str, Held]
    photographs: Mapping[str, str]
    missing: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "form": FORM,
            "made_at": self.made_at.isoformat(),
            "yard": self.yard,
            "migrations": [list(each) for each in self.migrations],
            "tables": {name: {"rows": held.rows, "digest": held.digest} for name, held in self.tables.items()},
            "photographs": dict(self.photographs),
            "missing": list(self.missing),
        }


def about_from(said: Any) -> About:
    """Raises BackupRefused for anything that this program did not write."""
    if not isinstance(said, dict) or said.get("form") != FORM:
        form = said.get("form") if isinstance(said, dict) else None
        raise BackupRefused(
            _("This is no backup of a yard that this program knows ({found}, not {known}).").format(
                found=repr(form), known=repr(FORM)
            )
        )
    try:
        return About(
            made_at=datetime.fromisoformat(said["made_at"]),
            yard=str(said["yard"]),
            migrations=tuple((str(app), str(name)) for app, name in said["migrations"]),
            tables={str(name): Held(int(held["rows"]), str(held["digest"])) for name, held in said["tables"].items()},
            photographs={str(name): str(digest) for name, digest in said["photographs"].items()},
            missing=tuple(str(name) for name in said["missing"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BackupRefused(
            _("Its {about} is damaged ({error}): take another backup.").format(about=ABOUT, error=error)
        ) from error
