"""What must not stand in logs is taken out of them here."""

import logging
import re

_CALENDAR = re.compile(r"(?<=/calendar/)[^/\s\"']+")
_OWNER_PAGE = re.compile(r"(?<=/owner/)[^/\s\"']+")


class HideTokens(logging.Filter):
    """Takes the secret out of the address of a calendar and of an owner's page; the record itself always passes."""

    def filter(self, record: logging.LogRecord) -> bool:
        message = record.getMessage()
        if "/calendar/" in message:
            record.msg, record.args = _CALENDAR.sub("(hidden).ics", message), None
        message = record.getMessage()
        if "/owner/" in message:
            record.msg, record.args = _OWNER_PAGE.sub("(hidden)", message), None
        return True
