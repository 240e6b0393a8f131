"""Forms that added a row, so that a button pressed twice adds one."""

from django.db import models


class SentForm(models.Model):
    """What a form added. The same form with the same in it is that row; with something else in it, another one."""

    key = models.UUIDField(help_text="of the form, made when its page was read")
    said = models.CharField(max_length=32, help_text="a digest of what was typed into it")
    model = models.CharField(max_length=30, help_text="the name of the model, as Boat")
    row = models.PositiveBigIntegerField(help_text="the id of the row that it added")
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["key", "said"], name="sent_form_once")]

    def __str__(self) -> str:
        return f"{self.model} {self.row}, by a form"
