from django.apps import AppConfig


class YardConfig(AppConfig):
    name = "yard"
    label = "yard"
    verbose_name = "The yard"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from yard.models import season_gate
        from yard.web.accounts import sessions

        season_gate.connect()
        sessions.connect()
