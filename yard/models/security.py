"""What keeps accounts safe: recovery codes of a second factor, and what was done to accounts and personal data.

The second factor itself is a row of django-otp (otp_totp.TOTPDevice).
"""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from yard.models.spoken import Spoken


class RecoveryCode(models.Model):
    """A code that stands for a lost phone once. Stored is its hash alone: the code has over 112 random bits."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="recovery_codes")
    code_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["account_id", "id"]
        constraints = [models.CheckConstraint(condition=~Q(code_sha256=""), name="recovery_code_has_a_hash")]

    def __str__(self) -> str:
        words = _("recovery code of {account}, used") if self.used_at else _("recovery code of {account}")
        return words.format(account=self.account)


class SecurityEvent(Spoken):
    """What was done to an account, or to the personal data of an owner, when and by whom.

    by: who did it; empty for the command line, and where somebody unknown tried. about: a key or a role at most.
    """

    class Kind(models.TextChoices):
        LOCKED = "locked", _("too many wrong tries: locked for an hour")
        PASSWORD = "password", _("password changed")
        ONE_TIME = "one_time", _("new one-time password")
        ADDED = "added", _("account opened")
        ROLE = "role", _("role changed")
        SHUT = "shut", _("account shut")
        REOPENED = "reopened", _("account opened again")
        FACTOR_ON = "factor_on", _("second factor set up")
        FACTOR_OFF = "factor_off", _("second factor taken away")
        CODES = "codes", _("new recovery codes made")
        CODE_USED = "code_used", _("signed in by a recovery code")
        SIGNED_OUT = "signed_out", _("signed out elsewhere")
        DEMAND = "demand", _("who needs a second factor changed")
        OWNER_READ = "owner_read", _("personal data of an owner taken out")
        OWNER_ERASED = "erased", _("personal data of an owner erased")

    kind = models.CharField(max_length=12, choices=Kind)
    at = models.DateTimeField()
    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="security_events"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="security_acts"
    )
    about = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["account", "at"], name="security_event_account")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.at:%Y-%m-%d %H:%M} UTC"
