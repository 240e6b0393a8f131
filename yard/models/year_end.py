"""Year's end: a season carried into the next and closed; what was carried, line by line, so that it goes on or back."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.checks import is_table
from yard.models.install import Season
from yard.models.orders import Order
from yard.models.packages import PackageWay
from yard.models.repairs import RepairList
from yard.models.spoken import Spoken


class YearEnd(Spoken):
    """One season's end, asked for by a person and carried out by the worker.

    into: the season that unfinished orders go to. again_into: the one that last year's orders are taken again in.
    choices: what was ticked, {orders: [id], again: [id], estimates: [[way, before, after]]}. total, done: steps.
    It is done when the season is closed, in the last of its transactions; stopped: it was killed or refused, and the
    season is still open. Taken back: all its lines are undone and the season is open.
    """

    class State(models.TextChoices):
        QUEUED = "queued", gettext_lazy("waiting for the worker")
        RUNNING = "running", gettext_lazy("under way")
        STOPPED = "stopped", gettext_lazy("stopped")
        DONE = "done", gettext_lazy("done")
        TAKEN_BACK = "taken_back", gettext_lazy("taken back")

    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="year_ends")
    into = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="carried_from")
    again_into = models.ForeignKey(
        Season, null=True, blank=True, on_delete=models.PROTECT, related_name="taken_again_from"
    )
    state = models.CharField(max_length=10, choices=State, default=State.QUEUED)
    choices = models.JSONField(default=dict, validators=[is_table])
    form_key = models.UUIDField(
        unique=True, editable=False, help_text=gettext_lazy("the same form sent twice is one year's end")
    )
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    trouble = models.CharField(max_length=300, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="year_ends"
    )
    asked_at = models.DateTimeField()
    claim = models.UUIDField(
        null=True, blank=True, editable=False, help_text=gettext_lazy("of the worker that carries it out")
    )
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="year_ends_taken_back"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-asked_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["season"],
                condition=Q(state__in=["queued", "running", "stopped"]),
                name="year_end_one_in_hand",
                violation_error_message=gettext_lazy("Somebody is at this season's end already."),
            ),
        ]

    def __str__(self) -> str:
        return _("end of {season}, {state}").format(season=self.season, state=self.get_state_display())


class YearEndLine(Spoken):
    """One thing carried over, written in the transaction that carried it.

    finished: an order whose work is all done, called done with that. open_order: an unfinished order, out of
    season_before. again: last year's order, with its unconfirmed copy. repairs: a list that goes on.
    estimate: a package's hours from before_min to after_min. left_why: why it was left, "" where it was carried.
    """

    class Kind(models.TextChoices):
        FINISHED = "finished", gettext_lazy("finished order")
        OPEN_ORDER = "open_order", gettext_lazy("unfinished order")
        AGAIN = "again", gettext_lazy("last year's order taken again")
        REPAIRS = "repairs", gettext_lazy("unfinished repair list")
        ESTIMATE = "estimate", gettext_lazy("hours learnt")

    year_end = models.ForeignKey(YearEnd, on_delete=models.CASCADE, related_name="lines")
    kind = models.CharField(max_length=10, choices=Kind)
    order = models.ForeignKey(Order, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    copy = models.ForeignKey(Order, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    season_before = models.ForeignKey(Season, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    repair_list = models.ForeignKey(
        RepairList, null=True, blank=True, on_delete=models.PROTECT, related_name="carried_over"
    )
    way = models.ForeignKey(PackageWay, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    what = models.CharField(max_length=160)
    before_min = models.PositiveIntegerField(null=True, blank=True)
    after_min = models.PositiveIntegerField(null=True, blank=True)
    left_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["year_end_id", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["year_end", "kind", "order"], condition=Q(order__isnull=False), name="year_end_order_once"
            ),
            models.UniqueConstraint(
                fields=["year_end", "way"], condition=Q(way__isnull=False), name="year_end_estimate_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.what}"
