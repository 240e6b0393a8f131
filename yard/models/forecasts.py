"""Weather forecasts as they were fetched, and the hours read from them."""

from django.db import models


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
        return f"{self.provider} of {self.updated_at:%Y-%m-%d %H:%M} UTC"
