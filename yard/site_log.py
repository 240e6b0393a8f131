"""What gunicorn itself has to say, in the same lines as the rest."""

from __future__ import annotations

from typing import Any

from gunicorn.glogging import Logger

from yard.log_lines import JsonLines


class SiteLog(Logger):
    """For gunicorn's --logger-class. It keeps no list of requests unless it is told to."""

    def setup(self, cfg: Any) -> None:
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(JsonLines())
