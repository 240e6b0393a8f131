"""The owners' own pages: private addresses, what was answered there, and winter's question."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.boats import Boat, Owner
from yard.models.facts import Fact
from yard.models.install import Season
from yard.models.orders import Order
from yard.models.spoken import Spoken


class OwnerPage(models.Model):
    """The private address of one owner's page; withdrawn ones stay on file.

    The token is worked out from seed and the site's key; stored is only its hash, by which the page is found.
    """

    owner = models.ForeignKey(Owner, on_delete=models.CASCADE, related_name="pages")
    seed = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="owner_pages_made"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    last_opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["owner_id", "-made_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["owner"], condition=Q(withdrawn_at=None), name="owner_page_one_that_opens"),
            models.CheckConstraint(condition=~Q(token_sha256=""), name="owner_page_has_a_token"),
        ]

    def __str__(self) -> str:
        return _("page of {owner}").format(owner=self.owner)


class SameAgain(Spoken):
    """Winter's question about one of last year's orders: the same again?

    copy: the order of the coming season, unconfirmed until the owner answers. Silence leaves it so.
    """

    class State(models.TextChoices):
        LISTED = "listed", gettext_lazy("not asked yet")
        ASKED = "asked", gettext_lazy("asked, no answer yet")
        SAME = "same", gettext_lazy("the same again")
        OTHER = "other", gettext_lazy("something else")
        NOT = "not", gettext_lazy("not this year")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="asked_again")
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="asked_again")
    copy = models.OneToOneField(Order, null=True, blank=True, on_delete=models.SET_NULL, related_name="copy_of_asked")
    state = models.CharField(max_length=6, choices=State, default=State.LISTED)
    asked_at = models.DateTimeField(null=True, blank=True)
    asked_last_at = models.DateTimeField(null=True, blank=True)
    times_asked = models.PositiveSmallIntegerField(default=0)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("orders asked about again")
        ordering = ["season_id", "order_id"]
        constraints = [models.UniqueConstraint(fields=["order", "season"], name="same_again_once")]

    def __str__(self) -> str:
        return _("{order} again in {season}?").format(order=self.order, season=self.season)


class OwnerAnswer(Spoken):
    """What an owner answered on the page: a proposal until a planner accepts it. form_key: sent twice is one."""

    class Kind(models.TextChoices):
        SUITS = "suits", gettext_lazy("the day suits")
        SUITS_NOT = "not", gettext_lazy("the day does not suit")
        APPROVED = "approved", gettext_lazy("approved")
        REFUSED = "refused", gettext_lazy("not approved")
        HERE = "here", gettext_lazy("done, or brought")
        ON = "on", gettext_lazy("by a date")
        SAME = "same", gettext_lazy("the same again")
        OTHER = "other", gettext_lazy("something else this year")
        NOT_AGAIN = "never", gettext_lazy("not this year")
        ABOARD = "aboard", gettext_lazy("it is aboard")
        BRINGS = "brings", gettext_lazy("brought on a date")
        INSURED = "insured", gettext_lazy("insured until a date")
        WANTED = "wanted", gettext_lazy("wanted by a date")
        WORDS = "words", gettext_lazy("a message")

    class State(models.TextChoices):
        WAITING = "waiting", gettext_lazy("to be looked at")
        ACCEPTED = "accepted", gettext_lazy("accepted")
        DECLINED = "declined", gettext_lazy("not taken over")

    owner = models.ForeignKey(Owner, on_delete=models.CASCADE, related_name="answers")
    kind = models.CharField(max_length=8, choices=Kind)
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="answers")
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.CASCADE, related_name="answers")
    fact = models.ForeignKey(Fact, null=True, blank=True, on_delete=models.CASCADE, related_name="answers")
    asked = models.ForeignKey(SameAgain, null=True, blank=True, on_delete=models.CASCADE, related_name="answers")
    item = models.ForeignKey(
        "yard.Item",
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="answers",
        help_text=gettext_lazy("the thing that is with the owner and wanted aboard"),
    )
    about_date = models.DateField(
        null=True, blank=True, help_text=gettext_lazy("the day that was told, which this answers")
    )
    about_week = models.BooleanField(default=False, help_text=gettext_lazy("that day was the Monday of a week"))
    on_date = models.DateField(null=True, blank=True, help_text=gettext_lazy("the day that the owner names"))
    said = models.TextField(blank=True)
    made_at = models.DateTimeField()
    form_key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="answers_decided"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    reply = models.CharField(max_length=300, blank=True, help_text=gettext_lazy("what the yard says back on the page"))

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [models.Index(fields=["state", "made_at"], name="owner_answer_state")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="waiting", decided_at=None) | (~Q(state="waiting") & Q(decided_at__isnull=False)),
                name="owner_answer_decided_has_its_hour",
            ),
            models.CheckConstraint(
                condition=~Q(kind="on") | Q(on_date__isnull=False), name="owner_answer_by_a_date_names_it"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["brings", "insured", "wanted"]) | Q(on_date__isnull=False),
                name="owner_answer_of_a_day_names_it",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["aboard", "brings"]) | Q(item__isnull=False),
                name="owner_answer_about_a_thing_names_it",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owner}: {self.get_kind_display()}"
