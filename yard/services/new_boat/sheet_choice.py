"""What was chosen on a sheet: whether it can be, and what it comes to. No database."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from yard.services.new_boat.sheet_values import OptionValue, SheetFile


@dataclass(frozen=True)
class Sums:
    """price: in the yard's money. minutes: more than the package's own, by job. materials: by name.

    brings: options of the package that are turned on.
    """

    price: Decimal
    minutes: Mapping[str, int]
    materials: Mapping[str, int]
    brings: frozenset[str]
    chosen: tuple[OptionValue, ...]


def faults_of(sheet: SheetFile, keys: Collection[str]) -> tuple[str, ...]:
    """Why these options cannot be together, in sentences that name both and say what to do; () where they can."""
    known = sheet.by_key()
    chosen = [known[key] for key in known if key in keys]
    unknown = sorted(set(keys) - known.keys())
    return (
        *(
            _("“{key}” is not on the sheet “{sheet}” any more: leave it out.").format(key=key, sheet=sheet.sheet.name)
            for key in unknown
        ),
        *_groups(sheet, chosen),
        *_excluded(known, chosen),
        *_needed(known, chosen),
    )


def _groups(sheet: SheetFile, chosen: Collection[OptionValue]) -> Iterator[str]:
    for group in sheet.sheet.one_of:
        offered = [each.name for each in sheet.option if each.group == group]
        taken = [each.name for each in chosen if each.group == group]
        if not taken and offered:
            yield _("Nothing is chosen for “{group}”: take one of {offered}.").format(group=group, offered=_or(offered))
        if len(taken) > 1:
            yield _("{taken} are both chosen for “{group}”: keep one of them.").format(taken=_and(taken), group=group)


def _excluded(known: Mapping[str, OptionValue], chosen: Collection[OptionValue]) -> Iterator[str]:
    """Either of two may say it; it is told once."""
    told = set()
    keys = {each.key for each in chosen}
    for each in chosen:
        for other in each.excludes:
            pair = frozenset((each.key, other))
            if other in keys and pair not in told:
                told.add(pair)
                yield _("“{one}” cannot be with “{other}”: take one of the two off.").format(
                    one=each.name, other=known[other].name
                )


def _needed(known: Mapping[str, OptionValue], chosen: Collection[OptionValue]) -> Iterator[str]:
    keys = {each.key for each in chosen}
    for each in chosen:
        for other in each.needs:
            if other not in keys and other in known:
                yield _("“{one}” needs “{other}”: take that too, or leave “{one}” out.").format(
                    one=each.name, other=known[other].name
                )


def sums_of(sheet: SheetFile, keys: Collection[str]) -> Sums:
    """What the base and these options come to; whether they can be together is asked of `faults_of`."""
    chosen = tuple(each for each in sheet.option if each.key in keys)
    minutes: Counter[str] = Counter()
    materials: Counter[str] = Counter({each.material: each.quantity for each in sheet.sheet.base_materials})
    for each in chosen:
        for line in each.hours:
            minutes[line.job] += line.minutes
        for used in each.materials:
            materials[used.material] += used.quantity
    return Sums(
        price=sum((each.price for each in chosen), sheet.sheet.base_price),
        minutes={key: value for key, value in minutes.items() if value},
        materials=dict(materials),
        brings=frozenset(key for each in chosen for key in each.brings),
        chosen=chosen,
    )


def faults_in_sheet(sheet: SheetFile, *, jobs: Mapping[str, str], options: Collection[str]) -> tuple[str, ...]:
    """What is wrong with a sheet itself. jobs: keys of the package's jobs, with the option each comes with, "" none."""
    known = sheet.by_key()
    return tuple(
        words
        for row in sheet.option
        for words in (
            *_doubled(sheet, row),
            *_relations(known, row),
            *(
                _("“{option}”, brings: the package has no option “{key}”; it has {options}.").format(
                    option=row.name, key=key, options=_or(sorted(options))
                )
                for key in row.brings
                if key not in options
            ),
            *_hours(row, jobs),
            *(
                _("“{option}”, materials: {material} needs a quantity above nothing.").format(
                    option=row.name, material=line.material
                )
                for line in row.materials
                if line.quantity < 1
            ),
        )
    )


def _doubled(sheet: SheetFile, row: OptionValue) -> Iterator[str]:
    if sum(each.key == row.key for each in sheet.option) > 1:
        yield _("“{option}”: the key “{key}” stands twice on the sheet; give one of them another.").format(
            option=row.name, key=row.key
        )


def _relations(known: Mapping[str, OptionValue], row: OptionValue) -> Iterator[str]:
    for what, keys in ((_("excludes"), row.excludes), (_("needs"), row.needs)):
        for key in keys:
            if key == row.key:
                yield _("“{option}”, {what}: it names itself; take that out.").format(option=row.name, what=what)
            elif key not in known:
                yield _("“{option}”, {what}: no option of this sheet has the key “{key}”.").format(
                    option=row.name, what=what, key=key
                )
    for key in set(row.needs) & set(row.excludes):
        yield _("“{option}” both needs and excludes “{other}”: keep one.").format(
            option=row.name, other=known[key].name if key in known else key
        )


def _hours(row: OptionValue, jobs: Mapping[str, str]) -> Iterator[str]:
    for line in row.hours:
        if line.job not in jobs:
            yield _("“{option}”, hours: the package has no job “{job}”; it has {jobs}.").format(
                option=row.name, job=line.job, jobs=_or(sorted(jobs))
            )
        elif line.minutes % 15:
            yield _("“{option}”, hours of “{job}”: give whole quarters of an hour.").format(
                option=row.name, job=line.job
            )


def _or(names: Collection[str]) -> str:
    said = [f"“{name}”" for name in names]
    if len(said) < 2:
        return said[0] if said else _("none")
    return _("{first} or {last}").format(first=", ".join(said[:-1]), last=said[-1])


def _and(names: Collection[str]) -> str:
    said = [f"“{name}”" for name in names]
    return _("{first} and {last}").format(first=", ".join(said[:-1]), last=said[-1])
