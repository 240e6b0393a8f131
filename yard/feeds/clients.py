"""What kind of client reads a calendar, by the name that it gives itself."""

from __future__ import annotations

KINDS = (
    ("google-calendar", "Google Calendar"),
    ("googlebot", "Google Calendar"),
    ("thunderbird", "Thunderbird"),
    ("evolution", "Evolution"),
    ("icsx5", "an Android phone"),
    ("davx5", "an Android phone"),
    ("vdirsyncer", "vdirsyncer"),
    ("nextcloud", "Nextcloud"),
    ("microsoft", "Outlook"),
    ("outlook", "Outlook"),
    ("exchange", "Outlook"),
    # Programs before the systems that they run on: each names both.
    ("iphone", "an iPhone or iPad"),
    ("ipad", "an iPhone or iPad"),
    ("macos", "a Mac"),
    ("mac os x", "a Mac"),
    ("calendaragent", "a Mac"),
    ("ios/", "an iPhone or iPad"),
    ("dataaccessd", "an iPhone or iPad"),
    ("mozilla", "a browser"),
)
"""Names as clients were seen to write them (common practice; from memory, so an unknown one is called so)."""


def client_kind(user_agent: str) -> str:
    """ "Google Calendar", "Thunderbird"; "another client" for a name that is not known, or none."""
    name = user_agent.lower()
    return next((kind for part, kind in KINDS if part in name), "another client")
