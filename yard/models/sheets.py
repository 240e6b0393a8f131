"""Lists brought in from sheets: what was sent, how its columns were matched, what it changed, what is remembered."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from yard.models.spoken import Spoken


class SheetImport(Spoken):
    """A sheet that somebody sent, from the file to its end: saved as a whole, taken back as a whole, or dropped.

    sheets: [{title, remarks, lines: [[number, cells]]}], emptied once it is saved or dropped. choices: the sheet, the
    line of its headings, each column {at, heading, column, read_as}, empty_clears. changes: [{pk, ref, new, version,
    old: {key: value}, values: {key: value}, made: [[model, pk]]}], as saved.
    """

    class State(models.TextChoices):
        SENT = "sent", _("not saved yet")
        SAVED = "saved", _("saved")
        TAKEN_BACK = "taken_back", _("taken back")
        DROPPED = "dropped", _("dropped")

    of = models.CharField(max_length=12, help_text=_("the list"))
    file_name = models.CharField(max_length=120)
    state = models.CharField(max_length=10, choices=State, default=State.SENT)
    sheets = models.JSONField(default=list, blank=True)
    choices = models.JSONField(default=dict, blank=True)
    changes = models.JSONField(default=list, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="sheets_sent"
    )
    sent_at = models.DateTimeField()
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="sheets_ended"
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    new_count = models.PositiveIntegerField(default=0)
    changed_count = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-sent_at", "-id"]
        indexes = [models.Index(fields=["state", "sent_at"], name="sheet_import_state")]

    def __str__(self) -> str:
        return self.file_name


class HeadingMemory(models.Model):
    """What somebody chose for a heading of a list: a column of ours, or "" to leave it out; its unit or date order."""

    of = models.CharField(max_length=12, help_text=_("the list"))
    words = models.CharField(max_length=80, help_text=_("the heading without its unit, signs and capitals"))
    column = models.CharField(max_length=40, blank=True)
    read_as = models.CharField(max_length=12, blank=True)

    class Meta:
        verbose_name_plural = _("heading memories")
        ordering = ["of", "words"]
        constraints = [models.UniqueConstraint(fields=["of", "words"], name="heading_memory_once")]

    def __str__(self) -> str:
        return f"{self.words}: {self.column or gettext('left out')}"
