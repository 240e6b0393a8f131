"""People, their skills and their hours. Weekly hours are local times of the yard; dated hours are UTC."""

from datetime import date

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.day_names import said
from yard.models.checks import on_the_quarter
from yard.models.install import Weekday
from yard.models.versioned import Versioned


class Skill(Versioned):
    """Something that people of the yard can do."""

    key = models.SlugField(max_length=30, unique=True)
    name = models.CharField(max_length=60)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class Person(Versioned):
    """Somebody who works in the yard, or a contractor who comes on agreed dates.

    A day may slide for a tide: start up to early_slide_min before, or end up to late_slide_min after, the
    person's own hours, at most slides_per_week times, never a day longer than longest_day_min and never with
    less than least_rest_min between two days. overtime_min_per_week is allowed on top of the weekly hours.
    Weekly hours count in [starts_on, leaves_on) alone; empty: no such day is known. Dated hours count by themselves.
    """

    ref = models.SlugField(
        max_length=30, blank=True, help_text=gettext_lazy("the yard's own, by which lists are matched")
    )
    name = models.CharField(max_length=80)
    short_name = models.CharField(max_length=12)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="person"
    )
    phone = models.CharField(max_length=40, blank=True)
    contractor = models.BooleanField(default=False)
    starts_on = models.DateField(null=True, blank=True)
    leaves_on = models.DateField(null=True, blank=True, help_text=gettext_lazy("the first day without this person"))
    usual_slip_days = models.PositiveSmallIntegerField(default=0)
    early_slide_min = models.PositiveSmallIntegerField(default=0)
    late_slide_min = models.PositiveSmallIntegerField(default=0)
    slides_per_week = models.PositiveSmallIntegerField(default=0)
    overtime_min_per_week = models.PositiveSmallIntegerField(default=0)
    longest_day_min = models.PositiveSmallIntegerField(default=600)  # ten hours, common practice
    least_rest_min = models.PositiveSmallIntegerField(default=660)  # eleven hours, common practice
    archived = models.BooleanField(default=False)
    notes = models.TextField(blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("people")
        ordering = ["short_name", "id"]
        indexes = [models.Index(fields=["archived", "short_name"], name="person_working")]
        constraints = [
            models.UniqueConstraint(
                fields=["short_name"],
                condition=Q(archived=False),
                name="person_short_name_once",
                violation_error_message=gettext_lazy("Somebody else in the yard already goes by this short name."),
            ),
            models.UniqueConstraint(fields=["ref"], condition=~Q(ref=""), name="person_ref_once"),
            models.CheckConstraint(condition=Q(slides_per_week__lte=7), name="person_slides_at_most_daily"),
            models.CheckConstraint(
                condition=Q(early_slide_min__lte=360) & Q(late_slide_min__lte=360), name="person_slide_in_range"
            ),
            models.CheckConstraint(
                condition=Q(longest_day_min__gte=60) & Q(longest_day_min__lte=1440), name="person_day_in_range"
            ),
            models.CheckConstraint(condition=Q(least_rest_min__lte=1440), name="person_rest_in_range"),
            models.CheckConstraint(
                condition=Q(starts_on=None) | Q(leaves_on=None) | Q(leaves_on__gt=F("starts_on")),
                name="person_leaves_after_start",
                violation_error_message=gettext_lazy("The last day lies before the first."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def of_the_yard_on(self, day: date) -> bool:
        """Whether this day of the yard lies in [starts_on, leaves_on)."""
        return (self.starts_on is None or self.starts_on <= day) and (self.leaves_on is None or day < self.leaves_on)


class PersonSkill(Versioned):
    """What a person can do, how well, and the licence or certificate for it where one is asked.

    licence_until: its last day. Pages tell the office when it ran out; no plan judges it.
    """

    class Level(models.IntegerChoices):
        LEARNS = 1, gettext_lazy("helps")
        ABLE = 2, gettext_lazy("does it")
        LEADS = 3, gettext_lazy("leads it")

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="skills")
    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, related_name="holders")
    level = models.PositiveSmallIntegerField(choices=Level, default=Level.ABLE)
    licence = models.CharField(max_length=60, blank=True, help_text=gettext_lazy("what it is called, and its number"))
    licence_until = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["person_id", "skill_id"]
        constraints = [
            models.UniqueConstraint(fields=["person", "skill"], name="person_skill_once"),
            models.CheckConstraint(condition=Q(level__gte=1) & Q(level__lte=3), name="person_skill_level"),
        ]

    def __str__(self) -> str:
        return f"{self.person.short_name}: {self.skill.name} ({self.get_level_display()})"


class WeeklyHours(Versioned):
    """Usual hours of a person, [starts, ends) in the yard's zone; several rows a day make breaks."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="weekly_hours")
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    starts = models.TimeField(validators=[on_the_quarter])
    ends = models.TimeField(validators=[on_the_quarter])
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("weekly hours")
        ordering = ["person_id", "weekday", "starts", "id"]
        constraints = [
            models.UniqueConstraint(fields=["person", "weekday", "starts"], name="weekly_hours_once"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="weekly_hours_end_after_start"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="weekly_hours_weekday"),
        ]

    def __str__(self) -> str:
        return _("{person} {weekday} {starts} to {ends}").format(
            person=self.person.short_name,
            weekday=self.get_weekday_display(),
            starts=said(self.starts, "H:i"),
            ends=said(self.ends, "H:i"),
        )

    def clean(self) -> None:
        """Refuse usual hours for a contractor, and hours that overlap others of the same day."""
        if self.person_id is None or self.starts is None or self.ends is None:
            return  # the fields' own errors say what is missing
        if self.person.contractor:
            raise ValidationError(
                _("{person} is a contractor: enter agreed dates, not weekly hours.").format(person=self.person)
            )
        others = WeeklyHours.objects.filter(person_id=self.person_id, weekday=self.weekday).exclude(pk=self.pk)
        if other := others.filter(starts__lt=self.ends, ends__gt=self.starts).first():
            raise ValidationError(_("These hours overlap {other}: change one of them.").format(other=other))


class DatedHours(Versioned):
    """An exception to the week: away, or here beyond the usual hours. [starts_at, ends_at), UTC, by quarter hour.

    A contractor has only rows of kind "here": the agreed dates.
    """

    class Kind(models.TextChoices):
        AWAY = "away", gettext_lazy("away")
        HERE = "here", gettext_lazy("here as well")

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="dated_hours")
    kind = models.CharField(max_length=4, choices=Kind)
    starts_at = models.DateTimeField(validators=[on_the_quarter])
    ends_at = models.DateTimeField(validators=[on_the_quarter])
    reason = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = gettext_lazy("dated hours")
        ordering = ["starts_at", "id"]
        indexes = [models.Index(fields=["person", "starts_at"], name="dated_hours_person")]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="dated_hours_end_after_start")
        ]

    def __str__(self) -> str:
        return _("{person} {kind} from {starts_at} UTC").format(
            person=self.person.short_name, kind=self.get_kind_display(), starts_at=f"{self.starts_at:%Y-%m-%d %H:%M}"
        )
