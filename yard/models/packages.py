"""Work packages: what an owner can order, as data. Ordering copies them (yard.services.order_package)."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models.checks import is_crew, is_day_of_year, is_list_of_names, is_parts, whole_quarters
from yard.models.kinds import BoatAt, JobKind, ProductKind, WaterNeed, WeatherClass
from yard.models.places import PlaceKind
from yard.models.spoken import Spoken
from yard.models.versioned import Versioned


class FactKind(models.TextChoices):
    """Kinds of fact that work waits for."""

    APPROVAL = "approval", gettext_lazy("approval")
    DEPOSIT = "deposit", gettext_lazy("deposit")
    CLOTH = "cloth", gettext_lazy("cloth or material")
    PERMIT = "permit", gettext_lazy("permit")
    DATA_SHEET = "data_sheet", gettext_lazy("product data sheet")
    DRAFT = "draft", pgettext_lazy("of a boat", "draft")
    TACKLE_SET = "tackle_set", gettext_lazy("tackle set")
    OTHER = "other", gettext_lazy("other")


class Light(models.TextChoices):
    """Whether a job of a package needs daylight, where that is other than its kind says."""

    AS_ITS_KIND = "", gettext_lazy("as its kind of job")
    NEEDED = "needed", gettext_lazy("in daylight")
    NOT_NEEDED = "not_needed", gettext_lazy("at any hour")


class Package(Versioned):
    """A package of work, such as spring commissioning or a halyard. What it was before: PackageEdition."""

    class When(models.TextChoices):
        SPRING = "spring", gettext_lazy("spring")
        AUTUMN = "autumn", gettext_lazy("autumn")
        ANY = "any", gettext_lazy("any time")

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    summary = models.TextField(blank=True)
    when = models.CharField(max_length=6, choices=When, default=When.ANY)
    needs_boat = models.BooleanField(default=True, help_text=gettext_lazy("not for a walk-in without a boat on file"))
    archived = models.BooleanField(default=False)

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class PackageEdition(Spoken):
    """A package as it stood from made_at on, whole. content: as yard.services.package_files.PackageFile.

    origin: shipped, or the yard's own. An order remembers the edition that it was copied from.
    """

    class Origin(models.TextChoices):
        SHIPPED = "shipped", gettext_lazy("as shipped")
        YARD = "yard", gettext_lazy("the yard's own")

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="editions")
    number = models.PositiveIntegerField()
    content = models.JSONField()
    origin = models.CharField(max_length=7, choices=Origin)
    reason = models.CharField(max_length=200)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="package_editions"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["package_id", "-number"]
        constraints = [models.UniqueConstraint(fields=["package", "number"], name="package_edition_once")]

    def __str__(self) -> str:
        return _("{package}, edition {number}").format(package=self.package, number=self.number)


class PackageOption(models.Model):
    """A choice in a package: it brings the jobs, links, facts and stays that name it."""

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="options")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    on_by_default = models.BooleanField(default=False)
    on_if_planked = models.BooleanField(default=False, help_text=gettext_lazy("on by default for a planked hull"))
    sequence = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["package_id", "sequence", "id"]
        constraints = [models.UniqueConstraint(fields=["package", "key"], name="package_option_once")]

    def __str__(self) -> str:
        return f"{self.package}: {self.name}"


class PackageJob(Spoken):
    """A job of a package. Empty overrides mean: as its kind says. source: where its hours come from.

    waits_for_open: keys of job kinds; the job follows every open job of these kinds of the same boat's other orders.
    split_of: the part of a long outdoor job before its break point.
    """

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="jobs")
    key = models.SlugField(max_length=40)
    kind = models.ForeignKey(JobKind, on_delete=models.PROTECT, related_name="package_jobs")
    name = models.CharField(max_length=80)
    sequence = models.PositiveSmallIntegerField(default=0)
    option = models.ForeignKey(PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="jobs")
    split_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.CASCADE, related_name="later_parts")
    waits_for_open = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    water_need = models.CharField(max_length=13, choices=WaterNeed, blank=True)
    weather_class = models.CharField(max_length=8, choices=WeatherClass, blank=True)
    light = models.CharField(max_length=10, choices=Light, blank=True)
    on_fixed_date = models.BooleanField(
        default=False, help_text=gettext_lazy("starts at the order's fixed road or ferry date")
    )
    finish_by = models.CharField(
        max_length=5, blank=True, validators=[is_day_of_year], help_text=gettext_lazy("a day of each year, as 11-15")
    )
    cautions = models.TextField(blank=True)
    source = models.CharField(max_length=300)

    class Meta:
        ordering = ["package_id", "sequence", "id"]
        constraints = [models.UniqueConstraint(fields=["package", "key"], name="package_job_once")]

    def __str__(self) -> str:
        return f"{self.package}: {self.name}"


class PackageWay(Spoken):
    """One way of doing a job: how long, by whom, where. The planner picks one; the first is the usual one.

    crew: [{skill, level, count}]. place_kinds: one unit of each. parts: where they differ from the kind's.
    boat_at: where she must lie to be worked on so.
    """

    job = models.ForeignKey(PackageJob, on_delete=models.CASCADE, related_name="ways")
    sequence = models.PositiveSmallIntegerField(default=0)
    duration_min = models.PositiveIntegerField(validators=[whole_quarters])
    crew = models.JSONField(default=list, blank=True, validators=[is_crew])
    place_kinds = models.JSONField(default=list, blank=True, validators=[is_list_of_names])
    boat_at = models.CharField(max_length=7, choices=BoatAt, blank=True)
    parts = models.JSONField(default=list, blank=True, validators=[is_parts])

    class Meta:
        ordering = ["job_id", "sequence", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "sequence"], name="package_way_once"),
            models.CheckConstraint(condition=Q(duration_min__gt=0), name="package_way_takes_time"),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.duration_min} min"


class PackageLink(Spoken):
    """One job after another, with the clock time that must, and at most may, lie between. source: whose figure.

    option: laid only with that option; unless_option: only without it. only_if_covers_gate: only where the order
    says that covers gate the delivery. product_kind: the wait is read off a product data sheet once there is one.
    """

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="links")
    before = models.ForeignKey(PackageJob, on_delete=models.CASCADE, related_name="links_after")
    after = models.ForeignKey(PackageJob, on_delete=models.CASCADE, related_name="links_before")
    min_wait_min = models.PositiveIntegerField(default=0)
    max_wait_min = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    product_kind = models.CharField(max_length=7, choices=ProductKind, blank=True)
    source = models.CharField(max_length=300, blank=True)
    option = models.ForeignKey(PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="links")
    unless_option = models.ForeignKey(
        PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="links_without"
    )
    only_if_covers_gate = models.BooleanField(default=False)

    class Meta:
        ordering = ["package_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["before", "after"], name="package_link_once"),
            models.CheckConstraint(condition=~Q(before=F("after")), name="package_link_joins_two"),
            models.CheckConstraint(
                condition=Q(max_wait_min=None) | Q(max_wait_min__gte=F("min_wait_min")), name="package_link_waits"
            ),
        ]

    def __str__(self) -> str:
        return _("{before} before {after}").format(before=self.before.key, after=self.after.key)


class PackageFact(Spoken):
    """A fact that jobs of the package wait for; expected default_days after ordering, as a marked guess."""

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="facts")
    key = models.SlugField(max_length=40)
    kind = models.CharField(max_length=10, choices=FactKind)
    name = models.CharField(max_length=80)
    of_boat = models.BooleanField(default=False, help_text=gettext_lazy("one fact for all open orders of the boat"))
    default_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text=gettext_lazy("empty: unknown until told")
    )
    source = models.CharField(max_length=300, blank=True)
    option = models.ForeignKey(PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="facts")
    jobs = models.ManyToManyField(PackageJob, related_name="facts")

    class Meta:
        ordering = ["package_id", "id"]
        constraints = [models.UniqueConstraint(fields=["package", "key"], name="package_fact_once")]

    def __str__(self) -> str:
        return f"{self.package}: {self.name}"


class PackageStay(Spoken):
    """A place that stays taken between two jobs; by night: each night from the day of the one to that of the other."""

    package = models.ForeignKey(Package, on_delete=models.CASCADE, related_name="stays")
    from_job = models.ForeignKey(PackageJob, on_delete=models.CASCADE, related_name="stays_from")
    until_job = models.ForeignKey(PackageJob, on_delete=models.CASCADE, related_name="stays_until")
    place_kind = models.CharField(max_length=12, choices=PlaceKind)
    counted_by_night = models.BooleanField(default=False)
    option = models.ForeignKey(PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="stays")
    unless_option = models.ForeignKey(
        PackageOption, null=True, blank=True, on_delete=models.CASCADE, related_name="stays_without"
    )

    class Meta:
        ordering = ["package_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["from_job", "until_job", "place_kind"], name="package_stay_once"),
            models.CheckConstraint(condition=~Q(from_job=F("until_job")), name="package_stay_joins_two"),
        ]

    def __str__(self) -> str:
        return _("{place_kind} from {from_job} until {until_job}").format(
            place_kind=self.get_place_kind_display(), from_job=self.from_job.key, until_job=self.until_job.key
        )
