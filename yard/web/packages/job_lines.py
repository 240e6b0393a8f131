"""The jobs of a package as lines of its page, kinds and options by their names."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.models import JobKind
from yard.services.package_files import Job, PackageFile


@dataclass(frozen=True, slots=True)
class JobLine:
    """kind: what its kind of work is called; comes: always, or the option that it comes with."""

    job: Job
    kind: str
    comes: str


def job_lines(file: PackageFile) -> tuple[JobLine, ...]:
    """One query."""
    kinds = dict(JobKind.objects.values_list("key", "name"))
    options = {option.key: option.name for option in file.option}
    return tuple(
        JobLine(
            job,
            kinds.get(job.kind, job.kind),
            _("with “{option}”").format(option=options.get(job.option, job.option)) if job.option else _("always"),
        )
        for job in file.job
    )
