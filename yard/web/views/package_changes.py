"""Packages changed: added, its jobs, options, facts and places, archived, and the way back."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import Package, PackageEdition
from yard.services import change_package as verbs
from yard.services.change_package import Changed, NothingChanged, Outcome, Refused, SomebodyWasQuicker
from yard.services.package_editions import shipped
from yard.services.package_edits import broken_in_two, job_of, moved, sheet_of, with_head, with_job, without_job
from yard.services.package_files import PackageFile
from yard.services.package_rows import content_of
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version, writer_of
from yard.web.packages.changed_words import editions_of
from yard.web.packages.job_form import Known, Sheet
from yard.web.packages.job_lines import job_lines
from yard.web.packages.part_forms import PARTS, HeadForm, PartRows
from yard.web.request import YardRequest

Edit = Callable[[PackageFile], PackageFile]
PACKAGES = Package.objects.all()


@require("edit_facts", post="edit_facts")
def package_new(request: YardRequest) -> HttpResponseBase:
    form = HeadForm(request.POST or None)
    if form.is_valid():
        match verbs.add_package(form.cleaned_data["name"], form.cleaned_data["summary"], writer=writer_of(request)):
            case Changed(package):
                messages.success(request, _("{package} is on file: give it its jobs.").format(package=package.name))
                return redirect("package_change", pk=package.pk)
            case Refused(faults):
                for fault in faults:
                    form.add_error(None, fault)
    return render(request, "packages/new.html", {"form": form}, status=422 if form.errors else 200)


@require("edit_facts", post="edit_facts")
def package_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """The package with all its parts and its history; what is sent is its head."""
    package = found(PACKAGES, pk=pk)
    file = content_of(package)
    form = HeadForm(request.POST or None, initial={name: getattr(package, name) for name in HeadForm.base_fields})
    told: Outcome | None = None
    if form.is_valid():
        told = _do(request, pk, lambda file: with_head(file, form.head(file.package.key)), _("name or use changed"))
        if isinstance(told, Changed | NothingChanged):
            return redirect("package_change", pk=pk)
    context = {
        "package": told.stored if isinstance(told, SomebodyWasQuicker) else package,
        "file": file,
        "jobs": job_lines(file),
        "form": form,
        "told": _told(told),
        "editions": editions_of(package),
        "is_shipped": package.key in shipped(),
        "as_shipped": shipped().get(package.key) == file,
        "parts": [(key, kind.title, len(kind.rows(file))) for key, kind in PARTS.items()],
    }
    return render(request, "packages/change.html", context, status=_status(told, bad=bool(form.errors)))


@require("edit_facts", post="edit_facts")
def package_job(request: YardRequest, pk: int, key: str = "") -> HttpResponseBase:
    """One job of it, or a new one."""
    package = found(PACKAGES, pk=pk)
    file = content_of(package)
    if key and key not in {job.key for job in file.job}:
        raise Http404("the package has no such job")
    sheet = Sheet(request.POST or None, known=known_of(file, key), sheet=sheet_of(file, key) if key else None)
    told: Outcome | None = None
    if request.method == "POST" and sheet.is_valid():
        said = sheet.said()
        told = _do(
            request,
            pk,
            lambda file: with_job(file, said),
            (_("{job} changed") if key else _("{job} added")).format(job=said.job.name),
        )
        if isinstance(told, Changed | NothingChanged):
            return redirect("package_change", pk=pk)
    context = {
        "package": told.stored if isinstance(told, SomebodyWasQuicker) else package,
        "job": job_of(file, key) if key else None,
        "sheet": sheet,
        "told": _told(told),
    }
    return render(request, "packages/job.html", context, status=_status(told, bad=sheet.bad))


@require("edit_facts", post="edit_facts")
def package_part(request: YardRequest, pk: int, part: str) -> HttpResponseBase:
    """Its options, facts or places that stay taken, all rows at once."""
    package = found(PACKAGES, pk=pk)
    if part not in PARTS:
        raise Http404("a package has no such part")
    file = content_of(package)
    form = PartRows(request.POST or None, PARTS[part], file, known_of(file, ""))
    told: Outcome | None = None
    if request.method == "POST" and form.is_valid():
        told = _do(request, pk, form.edit(), str(PARTS[part].reason))
        if isinstance(told, Changed | NothingChanged):
            return redirect("package_change", pk=pk)
    shown = told.stored if isinstance(told, SomebodyWasQuicker) else package
    context = {"package": shown, "part": form.kind, "rows": form.rows, "told": _told(told)}
    bad = request.method == "POST" and not form.is_valid()
    return render(request, "packages/part.html", context, status=_status(told, bad=bad))


@require(post="edit_facts")
def package_job_act(request: YardRequest, pk: int, key: str, act: str) -> HttpResponseBase:
    """A job moved up or down in the list, broken in two, or taken out."""
    package = found(PACKAGES, pk=pk)
    jobs = {job.key: job.name for job in content_of(package).job}
    acts: dict[str, tuple[Edit, str]] = {
        "up": (lambda file: moved(file, key, -1), _("{job} moved up")),
        "down": (lambda file: moved(file, key, 1), _("{job} moved down")),
        "break": (lambda file: broken_in_two(file, key), _("{job} broken in two")),
        "remove": (lambda file: without_job(file, key), _("{job} taken out")),
    }
    if key not in jobs or act not in acts:
        raise Http404("the package has no such job")
    edit, done = acts[act]
    _say(request, _do(request, pk, edit, done.format(job=jobs[key])))
    return redirect("package_change", pk=pk)


@require(post="edit_facts")
def package_put_back(request: YardRequest, pk: int, number: int) -> HttpResponseBase:
    package = found(PACKAGES, pk=pk)
    found(PackageEdition.objects.filter(package=package), number=number)
    _say(request, verbs.put_back(pk, number, seen_version=seen_version(request), writer=writer_of(request)))
    return redirect("package_change", pk=pk)


@require(post="edit_facts")
def package_as_shipped(request: YardRequest, pk: int) -> HttpResponseBase:
    found(PACKAGES, pk=pk)
    _say(request, verbs.as_shipped(pk, seen_version=seen_version(request), writer=writer_of(request)))
    return redirect("package_change", pk=pk)


@require(post="edit_facts")
def package_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    found(PACKAGES, pk=pk)
    archived = request.POST.get("archived") == "yes"
    _say(request, verbs.archive_package(pk, archived, seen_version=seen_version(request), writer=writer_of(request)))
    return redirect("package_change", pk=pk)


def known_of(file: PackageFile, without: str) -> Known:
    return Known(
        jobs=[(job.key, job.name) for job in file.job if job.key != without],
        options=[(option.key, option.name) for option in file.option],
        facts=[(fact.key, fact.name) for fact in file.fact],
    )


def _do(request: YardRequest, pk: int, edit: Edit, reason: str) -> Outcome:
    """Change it; what is done is said, what is not the page tells beside what was typed."""
    why = request.POST.get("why", "").strip()
    words = f"{reason}: {why}" if why else reason
    told = verbs.change_package(pk, edit, seen_version=seen_version(request), reason=words, writer=writer_of(request))
    if isinstance(told, Changed | NothingChanged):
        _say(request, told)
    return told


def _say(request: YardRequest, told: Outcome) -> None:
    match told:
        case Changed(package):
            messages.success(
                request,
                _("{package} is changed. Orders that are taken keep what they have.").format(package=package.name),
            )
        case NothingChanged(package):
            messages.success(request, _("{package} stood so already.").format(package=package.name))
        case Refused(faults):
            messages.error(request, " ".join((_("Nothing was changed."), *faults)))
        case SomebodyWasQuicker(package):
            messages.error(
                request,
                _("Nothing was changed: somebody else changed {package} meanwhile. Look again.").format(
                    package=package.name
                ),
            )


def _told(told: Outcome | None) -> dict[str, object]:
    """What the page says of a change that was not made."""
    match told:
        case Refused(faults):
            return {"faults": faults}
        case SomebodyWasQuicker(stored):
            return {"quicker": stored.editions.select_related("made_by").order_by("-number").first()}
    return {}


def _status(told: Outcome | None, *, bad: bool) -> int:
    return 409 if isinstance(told, SomebodyWasQuicker) else 422 if bad or isinstance(told, Refused) else 200
