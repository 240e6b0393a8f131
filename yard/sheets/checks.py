"""What must hold between the fields of one row, in the trade's words. Limits are common practice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from yard.sheets.columns import Value
from yard.speech import _

Said = tuple[str, str, str]
"""The key of the column, what is wrong, and the remedy."""


def row_faults(name: str, values: Mapping[str, Value]) -> Iterator[Said]:
    """What is wrong between the fields of a row of this list, as it would stand on file."""
    match name:
        case "boats":
            yield from _boat(values)
        case "orders":
            yield from _order(values)
        case "inventory":
            yield from _thing(values)
        case "places":
            yield from _place(values)
        case "people":
            yield from _licences(values)
            if values.get("contractor") and values.get("hours"):
                yield (
                    "hours",
                    _("a contractor has no usual hours"),
                    _("leave them empty: agreed dates stand on the person's page"),
                )


def _place(values: Mapping[str, Value]) -> Iterator[Said]:
    """A workboat's running and a row's measures belong to nothing else."""
    kind = values.get("kind")
    running = {
        "seats": _("seats"),
        "runs_min": _("how long she runs"),
        "charge_min": _("how long a charge takes"),
        "charged_at": _("a time at which she is charged"),
    }
    if kind != "workboat":
        for key, what in running.items():
            if values.get(key) is not None:
                yield (
                    key,
                    _("{what}, of what is no workboat").format(what=what),
                    _("give the kind workboat, or leave it empty"),
                )
    elif values.get("runs_min") is not None and values.get("charge_min") is None:
        yield "charge_min", _("how long she runs, but not how long a charge takes"), _("give both, or neither")
    elif values.get("runs_min") is None:
        for key in ("charge_min", "charged_at"):
            if values.get(key) is not None:
                yield "runs_min", _("a charge, but not how long she runs on it"), _("give both, or neither")
                break
    if kind not in ("store_row", "spar_rack"):
        for key, what in (("row_length_m", _("a length of row")), ("headroom_m", _("headroom"))):
            if values.get(key) is not None:
                yield (
                    key,
                    _("{what}, of what is no row of the store and no rack").format(what=what),
                    _("correct the kind, or leave it empty"),
                )


def _licences(values: Mapping[str, Value]) -> Iterator[Said]:
    """A licence is for something that the person can do."""
    skills, licences = values.get("skills"), values.get("licences")
    has = {one.rpartition(" ")[0] for one in skills} if isinstance(skills, list | tuple) else set()
    for one in licences if isinstance(licences, list | tuple) else ():
        key = one.partition(",")[0].partition(":")[0]
        if key not in has:
            yield (
                "licences",
                _("a licence for {key}, which is no skill of this person").format(key=key),
                _("give the skill as well"),
            )


def _boat(values: Mapping[str, Value]) -> Iterator[Said]:
    length, beam, draft = (values.get(key) for key in ("length_m", "beam_m", "draft_m"))
    if isinstance(length, float) and isinstance(beam, float) and beam > length:
        yield "beam_m", _("her beam is more than her length"), _("are the two swapped, or is one in another unit?")
    if isinstance(length, float) and isinstance(draft, float) and draft > length / 2:
        yield "draft_m", _("she would draw more than half her length"), _("look at the unit and the point")


def _order(values: Mapping[str, Value]) -> Iterator[Said]:
    earliest, wanted, latest = (values.get(f"{key}_date") for key in ("earliest", "wanted", "latest"))
    if not values.get("boat") and not values.get("walk_in_name"):
        yield "boat", _("neither a boat nor a walk-in is named"), _("name the boat, or who walked in")
    if values.get("options") and not values.get("package"):
        yield "options", _("options, of no package"), _("name the package too, or leave the cell empty")
    if isinstance(earliest, str) and isinstance(latest, str) and latest < earliest:
        yield "latest_date", _("the latest date lies before the earliest"), _("are the two swapped?")
    if isinstance(wanted, str) and isinstance(earliest, str) and wanted < earliest:
        yield "wanted_date", _("the wanted date lies before the earliest"), _("correct one of the two")
    if isinstance(wanted, str) and isinstance(latest, str) and wanted > latest:
        yield "wanted_date", _("the wanted date lies after the latest"), _("correct one of the two")


def _thing(values: Mapping[str, Value]) -> Iterator[Said]:
    if not values.get("boat") and not values.get("order"):
        yield "boat", _("nobody's thing"), _("name the boat, or the walk-in's order")
    if values.get("condition") and not values.get("where"):
        yield "condition", _("dry or damp, but not where"), _("say where it is")
    for key, what in (("luff_m", _("a luff")), ("line_m", _("a length of drying line"))):
        if values.get(key) and values.get("kind") != "sail":
            yield key, _("{what}, of what is no sail").format(what=what), _("give the kind sail, or leave it empty")
