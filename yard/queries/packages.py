"""Reads of work packages."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, QuerySet

from yard.models import Package, PackageFact, PackageJob, PackageLink, PackageOption, PackageStay


@dataclass(frozen=True)
class PackageContent:
    """Everything that a package says, each family in the package's own order."""

    package: Package
    options: tuple[PackageOption, ...]
    jobs: tuple[PackageJob, ...]
    links: tuple[PackageLink, ...]
    facts: tuple[PackageFact, ...]
    stays: tuple[PackageStay, ...]


def package_content(package: Package) -> PackageContent:
    """A package whole, with kinds, ways and options at hand. Seven queries, however many jobs."""
    return PackageContent(
        package=package,
        options=tuple(package.options.order_by("sequence", "id")),
        jobs=tuple(
            package.jobs.select_related("kind", "option", "split_of")
            .prefetch_related("ways")
            .order_by("sequence", "id")
        ),
        links=tuple(package.links.select_related("option", "unless_option").order_by("id")),
        facts=tuple(package.facts.select_related("option").prefetch_related("jobs").order_by("id")),
        stays=tuple(package.stays.select_related("option", "unless_option").order_by("id")),
    )


def packages_in_use() -> QuerySet[Package]:
    """Packages that can be ordered, by name, with `job_count`. One query."""
    return Package.objects.filter(archived=False).annotate(job_count=Count("jobs")).order_by("name", "id")
