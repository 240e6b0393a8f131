"""What owners were told."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models.boats import Boat, Owner
from yard.models.orders import Order
from yard.models.plans import Plan
from yard.models.spoken import Spoken


class Telling(Spoken):
    """One telling of an owner: what date, how sure, by whom, how and in what words. Rows are added, not changed.

    told_date: the day, or the Monday of a provisional week. reserve_date: the reserve day. A telling that was
    noted by mistake is taken back: it stays on file, with who took it back and when, and counts no more.
    """

    class State(models.TextChoices):
        NOTHING = "nothing", gettext_lazy("no date")
        PROVISIONAL_WEEK = "week", gettext_lazy("provisional week")
        PROVISIONAL_DAY = "day", gettext_lazy("provisional day")
        FIRM = "firm", gettext_lazy("firm")
        WEATHER_HOLD = "weather_hold", gettext_lazy("weather hold")
        DONE = "done", gettext_lazy("done")

    class How(models.TextChoices):
        CALL = "call", gettext_lazy("by phone")
        TEXT = "text", gettext_lazy("by text message")
        EMAIL = "email", gettext_lazy("by e-mail")
        LETTER = "letter", gettext_lazy("by letter")
        IN_PERSON = "person", gettext_lazy("in person")
        PAGE = "page", gettext_lazy("on the owner's page")

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="tellings")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="tellings")
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.PROTECT, related_name="tellings")
    state = models.CharField(max_length=12, choices=State)
    told_date = models.DateField(null=True, blank=True)
    reserve_date = models.DateField(null=True, blank=True)
    how = models.CharField(max_length=6, choices=How)
    said = models.TextField(blank=True)
    told_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings"
    )
    told_at = models.DateTimeField()
    plan = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings")
    letter = models.ForeignKey("yard.Letter", null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings")
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="tellings_taken_back"
    )

    class Meta:
        ordering = ["-told_at", "-id"]
        indexes = [models.Index(fields=["boat", "told_at"], name="telling_boat")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["week", "day", "firm"]) | Q(told_date__isnull=False),
                name="telling_names_its_date",
                violation_error_message=gettext_lazy("Say which week or day the owner was told."),
            )
        ]

    def __str__(self) -> str:
        at, state = said(timezone.localtime(self.told_at), "j M Y"), self.get_state_display()
        if self.told_date is None:
            return _("{state}, told {at}").format(state=state, at=at)
        day = said(self.told_date, "D j M")
        if self.state == self.State.PROVISIONAL_WEEK:
            return _("{state} of {day}, told {at}").format(state=state, day=day, at=at)
        return _("{state} {day}, told {at}").format(state=state, day=day, at=at)
