from django.apps import AppConfig
from django.core.checks import register


class YardConfig(AppConfig):
    name = "yard"
    label = "yard"
    verbose_name = "The yard"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from yard import checks
        from yard.models import season_gate
        from yard.web.accounts import sessions

        season_gate.connect()
        sessions.connect()
        register(checks.settings_are_known)
