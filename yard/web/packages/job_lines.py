"""The jobs of a package as lines of its page, kinds and options by their names."""

from __future__ import annotations

from dataclasses import dataclass

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
            f"with “{options.get(job.option, job.option)}”" if job.option else "always",
        )
        for job in file.job
    )
