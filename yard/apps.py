from django.apps import AppConfig
from django.core.checks import register


def _local(value: float, digits: int) -> str:
    from django.utils.formats import number_format

    return number_format(f"{value:.{digits}f}")  # given as written: it cuts a float off where it should round


class YardConfig(AppConfig):
    name = "yard"
    label = "yard"
    verbose_name = "The yard"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from django.utils import translation

        from yard import checks, speech
        from yard.models import season_gate
        from yard.web.accounts import sessions

        speech.speak_by(translation.gettext, translation.ngettext, translation.pgettext, _local)
        season_gate.connect()
        sessions.connect()
        register(checks.settings_are_known)
