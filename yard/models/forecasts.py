"""Weather forecasts as they were fetched, and the hours read from them."""

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.spoken import Spoken


class HourlyForecast(models.Model):
    """One answer of a provider. rows: one for each hour, as yard.weather reads it; a missing value is missing.

    The bytes are kept in the data folder at raw_path; raw_sha256 tells whether an answer is new. credit is shown
    wherever the data are shown. updated_at: the provider's own time; fetched_at: ours.
    """

    provider = models.CharField(max_length=40)
    fetched_at = models.DateTimeField()
    updated_at = models.DateTimeField()
    credit = models.CharField(max_length=200)
    raw_path = models.CharField(max_length=200, blank=True)
    raw_sha256 = models.CharField(max_length=64)
    rows = models.JSONField(default=list)

    class Meta:
        ordering = ["-updated_at", "-id"]
        indexes = [models.Index(fields=["provider", "updated_at"], name="forecast_provider_updated")]
        constraints = [models.UniqueConstraint(fields=["provider", "raw_sha256"], name="forecast_answer_once")]

    def __str__(self) -> str:
        return _("{provider} of {updated_at} UTC").format(
            provider=self.provider, updated_at=f"{self.updated_at:%Y-%m-%d %H:%M}"
        )


class ForecastSource(Spoken):
    """Whom the worker asks for forecasts, and how the last asking went. One row, id 1; no row: nobody is asked.

    minute: drawn once, so that not every yard asks on the hour. not_before: the provider's Expires.
    """

    class Provider(models.TextChoices):
        NWS = "nws", gettext_lazy("National Weather Service (US)")
        METNO = "metno", gettext_lazy("MET Norway")
        OPEN_METEO = "open_meteo", gettext_lazy("Open-Meteo (needs the yard's key)")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    provider = models.CharField(max_length=10, choices=Provider, blank=True)
    minute = models.PositiveSmallIntegerField(default=0)
    last_tried_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)
    not_before = models.DateTimeField(null=True, blank=True)
    etag = models.CharField(max_length=200, blank=True)
    last_modified = models.CharField(max_length=60, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="forecast_source_one_row")]

    def __str__(self) -> str:
        return self.get_provider_display() or "nobody"
