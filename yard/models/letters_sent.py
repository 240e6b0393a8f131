"""Letters to owners, from the reading to the sending, and the yard's own words for them."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.boats import Owner
from yard.models.install import Season
from yard.models.plans import Plan
from yard.models.versioned import Versioned


class LetterTemplate(Versioned):
    """The yard's own words in place of the shipped ones, by key (yard.notices.standard)."""

    key = models.SlugField(max_length=20, unique=True)
    text = models.TextField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["key"]

    def __str__(self) -> str:
        return self.key


class Letter(Versioned):
    """One letter to one owner.

    While it is read, only the person's own words stand here, for the rest follows the plan: before, after, and
    reason_said where the plan has no reason. Once released, subject, text and html are what goes out, word for word,
    and tells is what the owner then knows: [{order, state, date, reserve}]. read_as: the fingerprint of what was
    read. claim: of the one that sends it now; what another claim says is not written.
    """

    class Kind(models.TextChoices):
        PLAN = "plan", gettext_lazy("news of the plan")
        STORM = "storm", gettext_lazy("to all, for a storm")
        WINTER = "december", gettext_lazy("the same again?")
        CHASE = "chase", gettext_lazy("asked again")

    class State(models.TextChoices):
        READING = "reading", gettext_lazy("to read")
        RELEASED = "released", gettext_lazy("read, waiting to be sent")
        SENDING = "sending", gettext_lazy("being sent")
        SENT = "sent", gettext_lazy("sent")
        PERHAPS = "perhaps", gettext_lazy("perhaps sent")
        REFUSED = "refused", gettext_lazy("not sent")
        DROPPED = "dropped", gettext_lazy("dropped")

    class Way(models.TextChoices):
        EMAIL = "email", gettext_lazy("by e-mail")
        POST = "letter", gettext_lazy("by letter")

    kind = models.CharField(max_length=8, choices=Kind, default=Kind.PLAN)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="letters")
    season = models.ForeignKey(Season, null=True, blank=True, on_delete=models.PROTECT, related_name="letters")
    state = models.CharField(max_length=8, choices=State, default=State.READING)
    way = models.CharField(max_length=6, choices=Way, default=Way.EMAIL)
    before = models.TextField(blank=True)
    after = models.TextField(blank=True)
    reason_said = models.CharField(max_length=200, blank=True)
    tells = models.JSONField(default=list, blank=True)
    read_as = models.CharField(max_length=64, blank=True)
    subject = models.CharField(max_length=200, blank=True)
    text = models.TextField(blank=True)
    html = models.TextField(blank=True)
    to_address = models.EmailField(blank=True)
    plan = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="letters")
    made_at = models.DateTimeField()
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="letters_released"
    )
    released_at = models.DateTimeField(null=True, blank=True)
    claim = models.UUIDField(null=True, blank=True, editable=False)
    claimed_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    batch = models.UUIDField(
        null=True, blank=True, editable=False, help_text=gettext_lazy("of a message to all: one an owner")
    )
    trouble = models.CharField(max_length=300, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="letters_decided"
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [models.Index(fields=["state", "released_at"], name="letter_state_released")]
        constraints = [
            models.UniqueConstraint(
                fields=["owner", "kind"], condition=Q(state="reading"), name="letter_one_to_read_an_owner"
            ),
            models.UniqueConstraint(fields=["batch", "owner"], name="letter_one_of_a_batch"),
            models.CheckConstraint(
                condition=Q(state__in=["reading", "dropped"]) | (~Q(text="") & ~Q(subject="")),
                name="letter_released_has_its_words",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["sending", "perhaps"]) | Q(claim__isnull=False),
                name="letter_sending_is_claimed",
            ),
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(sent_at__isnull=False), name="letter_sent_has_its_hour"
            ),
        ]

    def __str__(self) -> str:
        return _("{kind} to {owner}").format(kind=self.get_kind_display(), owner=self.owner)

    @property
    def message_id(self) -> str:
        """By which a mail server's log names this sending; each claim has its own."""
        return f"letter-{self.pk}-{(self.claim or uuid.UUID(int=0)).hex}"
