"""A folder of package files, read and checked together."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import msgspec
from django.utils.translation import gettext as _

from yard.services.package_faults import kind_faults, package_faults, twice
from yard.services.package_files import KindsFile, PackageFile, PackageFileInvalid, Strict

KINDS_FILE = "kinds.toml"
File = TypeVar("File", bound=Strict)


@dataclass(frozen=True)
class Folder:
    """All files of a folder, read and checked together."""

    kinds: KindsFile
    packages: tuple[PackageFile, ...]


def read_folder(folder: Path, place_kinds: Sequence[str]) -> Folder:
    """Read kinds.toml and every other .toml file of the folder, in the order of their names.

    place_kinds: the kinds of place that a way or a stay may name.
    Raises PackageFileInvalid with every fault of every file.
    """
    if not (folder / KINDS_FILE).is_file():
        raise PackageFileInvalid(
            [
                _("{folder}: there is no {file}; it lists the skills and kinds of job.").format(
                    folder=folder, file=KINDS_FILE
                )
            ]
        )
    kinds = _read(folder / KINDS_FILE, KindsFile)
    paths = sorted(path for path in folder.glob("*.toml") if path.name != KINDS_FILE)
    packages = tuple(_read(path, PackageFile) for path in paths)
    faults = [f"{KINDS_FILE}: {fault}" for fault in kind_faults(kinds)]
    for path, package in zip(paths, packages, strict=True):
        faults += [f"{path.name}: {fault}" for fault in package_faults(package, kinds, place_kinds)]
    faults += twice("package", [package.package.key for package in packages])
    if faults:
        raise PackageFileInvalid(faults)
    return Folder(kinds, packages)


def _read(path: Path, form: type[File]) -> File:
    try:
        return msgspec.convert(tomllib.loads(path.read_text(encoding="utf-8")), form)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, msgspec.ValidationError) as error:
        raise PackageFileInvalid([f"{path.name}: {error}"]) from error
