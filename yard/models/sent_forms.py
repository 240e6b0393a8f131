"""Forms that added a row, so that a button pressed twice adds one."""

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class SentForm(models.Model):
    """What a form added. The same form with the same in it is that row; with something else in it, another one."""

    key = models.UUIDField(help_text=gettext_lazy("of the form, made when its page was read"))
    said = models.CharField(max_length=32, help_text=gettext_lazy("a digest of what was typed into it"))
    model = models.CharField(max_length=30, help_text=gettext_lazy("the name of the model, as Boat"))
    row = models.PositiveBigIntegerField(help_text=gettext_lazy("the id of the row that it added"))
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["key", "said"], name="sent_form_once")]

    def __str__(self) -> str:
        return _("{model} {row}, by a form").format(model=self.model, row=self.row)
