"""What kind of client reads a calendar, by the name that it gives itself."""

from __future__ import annotations

from yard.speech import gettext_noop

KINDS = (
    ("google-calendar", "Google Calendar"),
    ("googlebot", "Google Calendar"),
    ("thunderbird", "Thunderbird"),
    ("evolution", "Evolution"),
    ("icsx5", gettext_noop("an Android phone")),
    ("davx5", gettext_noop("an Android phone")),
    ("vdirsyncer", "vdirsyncer"),
    ("nextcloud", "Nextcloud"),
    ("microsoft", "Outlook"),
    ("outlook", "Outlook"),
    ("exchange", "Outlook"),
    # Programs before the systems that they run on: each names both.
    ("iphone", gettext_noop("an iPhone or iPad")),
    ("ipad", gettext_noop("an iPhone or iPad")),
    ("macos", gettext_noop("a Mac")),
    ("mac os x", gettext_noop("a Mac")),
    ("calendaragent", gettext_noop("a Mac")),
    ("ios/", gettext_noop("an iPhone or iPad")),
    ("dataaccessd", gettext_noop("an iPhone or iPad")),
    ("mozilla", gettext_noop("a browser")),
)
"""Names as clients were seen to write them (common practice; from memory, so an unknown one is called so)."""


def client_kind(user_agent: str) -> str:
    """ "Google Calendar", "Thunderbird"; "another client" for a name that is not known, or none.

    In English, as it is kept; whoever shows it says it by gettext.
    """
    name = user_agent.lower()
    return next((kind for part, kind in KINDS if part in name), gettext_noop("another client"))
