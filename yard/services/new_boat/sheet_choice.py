"""What was chosen on a sheet: whether it can be, and what it comes to. No database."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

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
        *(f"“{key}” is not on the sheet “{sheet.sheet.name}” any more: leave it out." for key in unknown),
        *_groups(sheet, chosen),
        *_excluded(known, chosen),
        *_needed(known, chosen),
    )


def _groups(sheet: SheetFile, chosen: Collection[OptionValue]) -> Iterator[str]:
    for group in sheet.sheet.one_of:
        offered = [each.name for each in sheet.option if each.group == group]
        taken = [each.name for each in chosen if each.group == group]
        if not taken and offered:
            yield f"Nothing is chosen for “{group}”: take one of {_or(offered)}."
        if len(taken) > 1:
            yield f"{_and(taken)} are both chosen for “{group}”: keep one of them."


def _excluded(known: Mapping[str, OptionValue], chosen: Collection[OptionValue]) -> Iterator[str]:
    """Either of two may say it; it is told once."""
    told = set()
    keys = {each.key for each in chosen}
    for each in chosen:
        for other in each.excludes:
            pair = frozenset((each.key, other))
            if other in keys and pair not in told:
                told.add(pair)
                yield f"“{each.name}” cannot be with “{known[other].name}”: take one of the two off."


def _needed(known: Mapping[str, OptionValue], chosen: Collection[OptionValue]) -> Iterator[str]:
    keys = {each.key for each in chosen}
    for each in chosen:
        for other in each.needs:
            if other not in keys and other in known:
                yield f"“{each.name}” needs “{known[other].name}”: take that too, or leave “{each.name}” out."


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
                f"“{row.name}”, brings: the package has no option “{key}”; it has {_or(sorted(options))}."
                for key in row.brings
                if key not in options
            ),
            *_hours(row, jobs),
            *(
                f"“{row.name}”, materials: {line.material} needs a quantity above nothing."
                for line in row.materials
                if line.quantity < 1
            ),
        )
    )


def _doubled(sheet: SheetFile, row: OptionValue) -> Iterator[str]:
    if sum(each.key == row.key for each in sheet.option) > 1:
        yield f"“{row.name}”: the key “{row.key}” stands twice on the sheet; give one of them another."


def _relations(known: Mapping[str, OptionValue], row: OptionValue) -> Iterator[str]:
    for what, keys in (("excludes", row.excludes), ("needs", row.needs)):
        for key in keys:
            if key == row.key:
                yield f"“{row.name}”, {what}: it names itself; take that out."
            elif key not in known:
                yield f"“{row.name}”, {what}: no option of this sheet has the key “{key}”."
    for key in set(row.needs) & set(row.excludes):
        yield f"“{row.name}” both needs and excludes “{known[key].name if key in known else key}”: keep one."


def _hours(row: OptionValue, jobs: Mapping[str, str]) -> Iterator[str]:
    for line in row.hours:
        if line.job not in jobs:
            yield f"“{row.name}”, hours: the package has no job “{line.job}”; it has {_or(sorted(jobs))}."
        elif line.minutes % 15:
            yield f"“{row.name}”, hours of “{line.job}”: give whole quarters of an hour."


def _or(names: Collection[str]) -> str:
    said = [f"“{name}”" for name in names]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} or {said[-1]}" if said else "none"


def _and(names: Collection[str]) -> str:
    said = [f"“{name}”" for name in names]
    return f"{', '.join(said[:-1])} and {said[-1]}"
