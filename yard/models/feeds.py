"""What calendars remember between two readings, and the addresses at which they are read."""

import uuid

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models.boats import Boat, Owner
from yard.models.checks import is_list_of_names, is_table
from yard.models.crew import Person
from yard.models.orders import Job
from yard.models.places import Place
from yard.models.spoken import Spoken


class FeedPart(models.TextChoices):
    """What a calendar can show. Jobs, closures and deadlines are stored; tides and light are reckoned when read."""

    JOBS = "jobs", gettext_lazy("jobs")
    CLOSURES = "closures", gettext_lazy("closures and holidays")
    DEADLINES = "deadlines", gettext_lazy("deadlines")
    HIGHS_LOWS = "highs_lows", gettext_lazy("high and low water")
    RAMP = "ramp", gettext_lazy("water at the ramp for a draft")
    DAYLIGHT = "daylight", gettext_lazy("daylight")


class FeedEntry(Spoken):
    """One thing as calendars were last told of it, so that a change raises its sequence and a cancellation is said.

    key: what is shown, as "job 12 visit 0"; uid: its random identity in calendars, kept for ever. owners: worded
    for owners, by days; else for the yard. [starts_at, ends_at), UTC; whole days from midnight to midnight of the
    yard's zone. content: its words as shown; fingerprint: of all that; lines: the VEVENT as written.
    """

    key = models.CharField(max_length=80, unique=True)
    part = models.CharField(max_length=10, choices=FeedPart)
    owners = models.BooleanField(default=False)
    job = models.ForeignKey(Job, null=True, blank=True, on_delete=models.SET_NULL, related_name="feed_entries")
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField(default=0)
    made_at = models.DateTimeField()
    revised_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    whole_days = models.BooleanField(default=False)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    content = models.JSONField(default=dict, validators=[is_table])
    changed = models.JSONField(default=list, blank=True)
    fingerprint = models.CharField(max_length=64)
    lines = models.TextField()

    class Meta:
        verbose_name_plural = gettext_lazy("feed entries")
        ordering = ["starts_at", "id"]
        indexes = [models.Index(fields=["part", "owners", "ends_at"], name="feed_entry_part_end")]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="feed_entry_ends_after_start"),
            models.CheckConstraint(condition=Q(revised_at__gte=F("made_at")), name="feed_entry_revised_after_made"),
            models.CheckConstraint(
                condition=Q(part__in=["jobs", "closures", "deadlines"]), name="feed_entry_is_of_a_stored_part"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.content.get('summary', self.key)}, {self.sequence}"


class FeedMember(Spoken):
    """In whose or what's calendar an entry stands. subject: the row's id of its kind.

    taken_off_at: since when it shows there as cancelled though it may stand elsewhere; sequence and lines are then
    those of that cancellation.
    """

    class Kind(models.TextChoices):
        PERSON = "person", gettext_lazy("a person")
        BOAT = "boat", gettext_lazy("a boat")
        OWNER = "owner", gettext_lazy("an owner")
        PLACE = "place", gettext_lazy("a place")

    entry = models.ForeignKey(FeedEntry, on_delete=models.CASCADE, related_name="members")
    kind = models.CharField(max_length=6, choices=Kind)
    subject = models.PositiveBigIntegerField()
    taken_off_at = models.DateTimeField(null=True, blank=True)
    sequence = models.PositiveIntegerField(default=0)
    lines = models.TextField(blank=True)

    class Meta:
        ordering = ["entry_id", "kind", "subject"]
        indexes = [models.Index(fields=["kind", "subject"], name="feed_member_subject")]
        constraints = [
            models.UniqueConstraint(fields=["entry", "kind", "subject"], name="feed_member_once"),
            models.CheckConstraint(
                condition=Q(taken_off_at=None, lines="") | (Q(taken_off_at__isnull=False) & ~Q(lines="")),
                name="feed_member_taken_off_says_so",
            ),
        ]

    def __str__(self) -> str:
        return _("{entry} for {kind} {subject}").format(entry=self.entry, kind=self.kind, subject=self.subject)


class FeedState(models.Model):
    """One row, id 1: what the entries were last brought up to, and how often any of them changed.

    read_of: a hash of the plan, the count of facts and the like that they show; zone: whose hours they are written
    in. tide_*: the revision that all reckoned tides and lights share, which rises when the yard's station, offsets or
    place change. reckoned: the random name from which their identities are made.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    count = models.PositiveBigIntegerField(default=0)
    read_of = models.CharField(max_length=64, blank=True)
    zone = models.CharField(max_length=60, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)
    reckoned = models.UUIDField(default=uuid.uuid4, editable=False)
    tide_fingerprint = models.CharField(max_length=64, blank=True)
    tide_sequence = models.PositiveIntegerField(default=0)
    tide_revised_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="feed_state_one_row")]

    def __str__(self) -> str:
        return _("calendars, change {count}").format(count=self.count)


class CalendarAddress(Spoken):
    """A calendar's address, and what is read there.

    The token is worked out from `seed` and the site's key, so that its page can show it again; stored is only its
    hash, by which it is found, so that neither the rows nor a copy of them tell it. parts: beside the jobs of its
    kind. draft_m: for water at the ramp. written_for, tag: what the last reading was made of, and its entity tag.
    """

    class Kind(models.TextChoices):
        PERSON = "person", gettext_lazy("one person's jobs")
        BOAT = "boat", gettext_lazy("one boat's jobs")
        OWNER = "owner", gettext_lazy("one owner's boats")
        PLACE = "place", gettext_lazy("one place")
        YARD = "yard", gettext_lazy("everybody's jobs")
        TIDES = "tides", gettext_lazy("tides and daylight")
        CLOSURES = "closures", gettext_lazy("closures and holidays")
        DEADLINES = "deadlines", gettext_lazy("deadlines")

    kind = models.CharField(max_length=9, choices=Kind)
    person = models.ForeignKey(Person, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.CASCADE, related_name="addresses")
    name = models.CharField(max_length=80)
    parts = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    draft_m = models.FloatField(null=True, blank=True)
    alarm_min = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text=gettext_lazy("minutes before; empty: no alarm")
    )
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    seed = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="addresses_made"
    )
    made_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    paused_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    replaced_by = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="replaces"
    )
    last_fetched_at = models.DateTimeField(null=True, blank=True)
    last_client = models.CharField(max_length=40, blank=True)
    written_for = models.CharField(max_length=64, blank=True)
    tag = models.CharField(max_length=40, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("calendar addresses")
        ordering = ["name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="person", person__isnull=False, boat=None, owner=None, place=None)
                | Q(kind="boat", boat__isnull=False, person=None, owner=None, place=None)
                | Q(kind="owner", owner__isnull=False, person=None, boat=None, place=None)
                | Q(kind="place", place__isnull=False, person=None, boat=None, owner=None)
                | Q(kind__in=["yard", "tides", "closures", "deadlines"])
                & Q(person=None, boat=None, owner=None, place=None),
                name="calendar_address_of_its_kind",
            ),
            models.CheckConstraint(condition=~Q(token_sha256=""), name="calendar_address_has_a_token"),
            models.CheckConstraint(
                condition=Q(alarm_min=None) | Q(alarm_min__lte=7 * 24 * 60), name="calendar_address_alarm_in_range"
            ),
            models.CheckConstraint(
                condition=Q(draft_m=None) | (Q(draft_m__gt=0) & Q(draft_m__lte=12)),
                name="calendar_address_draft_in_range",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def subject(self) -> Person | Boat | Owner | Place | None:
        return self.person or self.boat or self.owner or self.place

    def clean(self) -> None:
        """Refuse water at the ramp without a draft."""
        if FeedPart.RAMP in self.parts and self.draft_m is None:
            raise ValidationError({"draft_m": _("Say for which draft, or leave the water at the ramp out.")})
