"""Boats, their owners and moorings, and where each boat is.

Heights and depths in metres at the station's datum; lengths in metres; dates are days of the yard's calendar.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from yard.models.checks import (
    beam_in_range,
    displacement_in_range,
    draft_in_range,
    latitude_in_range,
    length_in_range,
    longitude_in_range,
    mast_in_range,
)
from yard.models.spoken import Spoken
from yard.models.versioned import Versioned


class Boat(Versioned):
    """A boat in the yard's care. draft_m empty means unknown: what needs water is then not planned."""

    class Kind(models.TextChoices):
        SAIL = "sail", gettext_lazy("sailing boat")
        MOTOR = "motor", gettext_lazy("motor boat")
        OPEN = "open", gettext_lazy("open boat")
        MULTIHULL = "multihull", gettext_lazy("multihull")
        OTHER = "other", gettext_lazy("other")

    class InAStorm(models.TextChoices):
        """The owner's standing instruction when a storm is forecast."""

        ASK = "ask", gettext_lazy("ask first")
        HAUL = "haul", gettext_lazy("haul her")
        STRIP = "strip", gettext_lazy("strip sails and canvas")
        DOUBLE = "double", gettext_lazy("double the pendants")

    ref = models.SlugField(max_length=30, unique=True)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.SAIL)
    design = models.CharField(max_length=80, blank=True, help_text=gettext_lazy("builder and model"))
    sail_number = models.CharField(max_length=20, blank=True)
    length_m = models.FloatField(validators=length_in_range)
    beam_m = models.FloatField(validators=beam_in_range)
    draft_m = models.FloatField(null=True, blank=True, validators=draft_in_range)
    displacement_kg = models.FloatField(null=True, blank=True, validators=displacement_in_range)
    mast_height_m = models.FloatField(
        null=True, blank=True, validators=mast_in_range, help_text=gettext_lazy("above the water, mast stepped")
    )
    planked = models.BooleanField(
        default=False, help_text=gettext_lazy("takes up after launching, in slings or on the trailer")
    )
    in_a_storm = models.CharField(max_length=6, choices=InAStorm, default=InAStorm.ASK)
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    merged_into = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        editable=False,
        on_delete=models.SET_NULL,
        related_name="merged_from",
        help_text=gettext_lazy("the one that she was found to be"),
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "id"]
        indexes = [models.Index(fields=["archived", "name"], name="boat_afloat_or_not")]
        constraints = [
            models.CheckConstraint(condition=Q(length_m__gt=0) & Q(length_m__lte=60), name="boat_length_in_range"),
            models.CheckConstraint(condition=Q(beam_m__gt=0) & Q(beam_m__lte=15), name="boat_beam_in_range"),
            models.CheckConstraint(
                condition=Q(draft_m=None) | (Q(draft_m__gt=0) & Q(draft_m__lte=12)),
                name="boat_draft_in_range",
                violation_error_message=gettext_lazy("A draft over 12 m does not float here: was it typed in feet?"),
            ),
            models.CheckConstraint(
                condition=Q(displacement_kg=None) | Q(displacement_kg__gt=0), name="boat_displacement_above_nothing"
            ),
            models.CheckConstraint(
                condition=Q(mast_height_m=None) | Q(mast_height_m__gt=0), name="boat_mast_above_nothing"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Owner(Versioned):
    """A person the yard writes to or calls about a boat.

    other_phones: one a line, the number first, then whose it is or when it is answered.
    """

    class Prefers(models.TextChoices):
        CALL = "call", gettext_lazy("a call")
        TEXT = "text", gettext_lazy("a text message")
        EMAIL = "email", gettext_lazy("an e-mail")
        LETTER = "letter", gettext_lazy("a letter")

    class Language(models.TextChoices):
        """Language tags of BCP 47; "" where nobody asked."""

        ENGLISH = "en", gettext_lazy("English")
        SPANISH = "es", gettext_lazy("Spanish")
        PORTUGUESE = "pt", gettext_lazy("Portuguese")
        FRENCH = "fr", gettext_lazy("French")
        GERMAN = "de", gettext_lazy("German")
        DUTCH = "nl", gettext_lazy("Dutch")
        ITALIAN = "it", gettext_lazy("Italian")
        POLISH = "pl", gettext_lazy("Polish")
        CHINESE = "zh", gettext_lazy("Chinese")
        OTHER = "und", gettext_lazy("another: see the notes")

    ref = models.SlugField(
        max_length=30, blank=True, help_text=gettext_lazy("the yard's own, by which lists are matched")
    )
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    other_phones = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True)
    language = models.CharField(max_length=3, choices=Language, blank=True)
    prefers = models.CharField(max_length=6, choices=Prefers, default=Prefers.CALL)
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    merged_into = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        editable=False,
        on_delete=models.SET_NULL,
        related_name="merged_from",
        help_text=gettext_lazy("the one that this one was found to be"),
    )
    boats = models.ManyToManyField(Boat, through="BoatOwner", related_name="owners")
    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(fields=["ref"], condition=~Q(ref=""), name="owner_ref_once")]

    def __str__(self) -> str:
        return self.name


class BoatOwner(Versioned):
    """Who owns a boat from when to when, [starts_on, ends_on); several may own her at once."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="ownerships")
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="ownerships")
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    told_first = models.BooleanField(default=False, help_text=gettext_lazy("the one who is called first"))
    insurance_expires_on = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat_id", "-told_first", "starts_on", "id"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "owner", "starts_on"], name="boat_owner_once"),
            models.UniqueConstraint(
                fields=["boat"],
                condition=Q(told_first=True, ends_on=None),
                name="boat_owner_told_first_once",
                violation_error_message=gettext_lazy("Another owner of this boat is already the one called first."),
            ),
            models.CheckConstraint(
                condition=Q(ends_on=None) | Q(ends_on__gt=F("starts_on")), name="boat_owner_ends_after_start"
            ),
        ]

    def __str__(self) -> str:
        return _("{owner} of {boat}").format(owner=self.owner, boat=self.boat)


class Mooring(Versioned):
    """A mooring: where it lies, how deep, its tackle, and whose permit it is.

    depth_m_at_datum: charted depth at the mooring; route_shoalest_m_at_datum: the least on the way to it
    (negative where it dries); underside_m_above_datum: the lowest bridge or wire over the way.
    chain_spread_m and pendant_m with her length overall give the swing radius. tackle: what is known of it in words;
    its parts with their dates are rows of their own (TacklePart). exposure: to which winds and seas it lies open.
    """

    class Bottom(models.TextChoices):
        MUD = "mud", gettext_lazy("mud")
        SAND = "sand", gettext_lazy("sand")
        CLAY = "clay", gettext_lazy("clay")
        GRAVEL = "gravel", gettext_lazy("gravel")
        ROCK = "rock", gettext_lazy("rock")
        WEED = "weed", gettext_lazy("weed")

    ref = models.SlugField(max_length=30, unique=True)
    latitude = models.FloatField(null=True, blank=True, validators=latitude_in_range)
    longitude = models.FloatField(null=True, blank=True, validators=longitude_in_range)
    position_note = models.CharField(max_length=200, blank=True)
    exposure = models.CharField(max_length=200, blank=True)
    bottom = models.CharField(max_length=6, choices=Bottom, blank=True)
    depth_m_at_datum = models.FloatField(null=True, blank=True)
    route_shoalest_m_at_datum = models.FloatField(null=True, blank=True)
    underside_m_above_datum = models.FloatField(null=True, blank=True)
    tackle = models.TextField(blank=True)
    tackle_set_on = models.DateField(null=True, blank=True, help_text=gettext_lazy("this season, ticked by a person"))
    tackle_inspected_on = models.DateField(null=True, blank=True)
    tackle_inspection_due_on = models.DateField(null=True, blank=True)
    chain_spread_m = models.FloatField(null=True, blank=True)
    pendant_m = models.FloatField(null=True, blank=True)
    permit_boat = models.ForeignKey(
        Boat, null=True, blank=True, on_delete=models.SET_NULL, related_name="permit_moorings"
    )
    permit_number = models.CharField(max_length=40, blank=True)
    permit_expires_on = models.DateField(null=True, blank=True)
    temporary = models.BooleanField(
        default=False, help_text=gettext_lazy("the yard's own, lent while a mooring is not ready")
    )
    notes = models.TextField(blank=True)
    archived = models.BooleanField(default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["ref", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude=None) | (Q(latitude__gte=-90) & Q(latitude__lte=90)), name="mooring_latitude"
            ),
            models.CheckConstraint(
                condition=Q(longitude=None) | (Q(longitude__gte=-180) & Q(longitude__lte=180)),
                name="mooring_longitude",
            ),
            models.CheckConstraint(
                condition=(Q(chain_spread_m=None) | Q(chain_spread_m__gte=0))
                & (Q(pendant_m=None) | Q(pendant_m__gte=0)),
                name="mooring_swing_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return _("mooring {ref}").format(ref=self.ref)


class Whereabouts(Spoken):
    """Where a boat is from a moment on; her latest row is true now. Rows are added, not changed.

    position: in a row of the store, 1 stands innermost; a boat with a higher number stands in her way.
    """

    class Kind(models.TextChoices):
        STORE_ROW = "store_row", gettext_lazy("in the store")
        SHED = "shed", gettext_lazy("in a shed")
        APRON = "apron", gettext_lazy("on the apron")
        SLINGS = "slings", gettext_lazy("in the slings")
        TRAILER = "trailer", gettext_lazy("on the trailer")
        BERTH = "berth", gettext_lazy("at a berth")
        MOORING = "mooring", gettext_lazy("on a mooring")
        AWAY = "away", gettext_lazy("away")

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="whereabouts")
    kind = models.CharField(max_length=9, choices=Kind)
    place = models.ForeignKey("yard.Place", null=True, blank=True, on_delete=models.PROTECT, related_name="boats_seen")
    mooring = models.ForeignKey(Mooring, null=True, blank=True, on_delete=models.PROTECT, related_name="boats_seen")
    position = models.PositiveSmallIntegerField(null=True, blank=True)
    since = models.DateTimeField()
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="boats_placed"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = gettext_lazy("whereabouts")
        ordering = ["boat_id", "-since", "-id"]
        indexes = [models.Index(fields=["place", "since"], name="whereabouts_place")]
        constraints = [
            models.UniqueConstraint(fields=["boat", "since"], name="whereabouts_one_at_a_time"),
            models.CheckConstraint(
                condition=Q(kind="mooring", mooring__isnull=False, place__isnull=True)
                | Q(kind="away", mooring__isnull=True, place__isnull=True)
                | (~Q(kind__in=["mooring", "away"]) & Q(mooring__isnull=True, place__isnull=False)),
                name="whereabouts_names_where",
                violation_error_message=gettext_lazy("Say which mooring, which place, or away."),
            ),
            models.CheckConstraint(
                condition=Q(kind="store_row", position__isnull=False, position__gte=1)
                | (~Q(kind="store_row") & Q(position__isnull=True)),
                name="whereabouts_position_in_row",
                violation_error_message=gettext_lazy(
                    "A boat in the store has a place in the row, 1 innermost; elsewhere none."
                ),
            ),
        ]

    def __str__(self) -> str:
        return _("{boat} {kind} since {since}").format(
            boat=self.boat, kind=self.get_kind_display(), since=f"{self.since:%Y-%m-%d}"
        )
