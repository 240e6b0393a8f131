from functools import lru_cache
from pathlib import Path

from django.apps import AppConfig
from django.core.checks import register

from yard.speech import Tongue


def _local(value: float, digits: int) -> str:
    from django.utils.formats import number_format

    return number_format(f"{value:.{digits}f}")  # given as written: it cuts a float off where it should round


def yards_tongue() -> Tongue:
    """The catalogues that Django reads for the yard's language, in its own order, for processes that have no Django."""
    import django
    from django.conf import settings
    from django.utils.formats import get_format
    from django.utils.translation import to_locale

    locale = to_locale(settings.LANGUAGE_CODE)
    folders = [*map(Path, settings.LOCALE_PATHS), Path(django.__file__).parent / "conf" / "locale"]
    files = (
        folder / name / "LC_MESSAGES" / "django.mo"
        for name in dict.fromkeys((locale, locale.partition("_")[0]))
        for folder in folders
    )
    decimal_sign = str(get_format("DECIMAL_SEPARATOR", lang=settings.LANGUAGE_CODE))
    return Tongue(tuple(str(file) for file in files if file.is_file()), decimal_sign)


def remember_what_was_said() -> None:
    """What a sentence is in the yard's language is kept on Django's own object for that language.

    Django asks the catalogue of each app twice for each sentence, and a page says hundreds. A catalogue is read as a
    process starts and never again.
    """
    from django.conf import settings
    from django.utils.translation import trans_real

    spoken = trans_real.translation(settings.LANGUAGE_CODE)
    spoken.gettext = lru_cache(maxsize=8192)(spoken.gettext)  # type: ignore[method-assign]  # on this one object alone


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

        speech.speak_by(translation.gettext, translation.ngettext, translation.pgettext, _local, yards_tongue())
        remember_what_was_said()
        season_gate.connect()
        sessions.connect()
        register(checks.settings_are_known)
