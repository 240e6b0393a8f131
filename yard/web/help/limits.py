"""The weather that outdoor work bears by default, in words: read off the limits themselves, so that help cannot lag."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.weather.limits import LIMITS, Limits, WorkKind

WORK = {
    WorkKind.SAILS_AND_COVERS: gettext_lazy("sails and covers"),
    WorkKind.PATTERN: gettext_lazy("patterning"),
    WorkKind.MAST: gettext_lazy("masts and lifting"),
    WorkKind.AFLOAT: gettext_lazy("afloat"),
    WorkKind.COATING: gettext_lazy("paint and varnish"),
    WorkKind.WASH: gettext_lazy("washing"),
}


@dataclass(frozen=True, slots=True)
class LimitLine:
    work: str
    wind: str
    besides: str
    source: str


def limit_lines(*, fahrenheit: bool) -> tuple[LimitLine, ...]:
    """fahrenheit: temperatures of a yard that works in feet."""
    return tuple(
        LimitLine(str(WORK[kind]), _wind(of), "; ".join(_besides(of, fahrenheit)) or _("nothing"), _(of.source))
        for kind, of in LIMITS.items()
    )


def _wind(of: Limits) -> str:
    figures = (of.wind_kn, of.gust_kn)
    return ", ".join(number_format(f"{kn:g}") for kn in figures if kn is not None) if None not in figures else "–"


def _besides(of: Limits, fahrenheit: bool) -> list[str]:
    def warm(celsius: float) -> str:
        return f"{round(celsius * 1.8 + 32)} °F" if fahrenheit else f"{round(celsius)} °C"

    def spread(kelvin: float) -> str:
        return f"{round(kelvin * 1.8)} °F" if fahrenheit else f"{number_format(f'{kelvin:g}')} °C"

    found = [_("a dry hour")] if of.dry else []
    if of.min_dew_spread_c is not None:
        found.append(_("air {spread} above its dew point").format(spread=spread(of.min_dew_spread_c)))
    if of.above_temp_c is not None:
        found.append(_("warmer than {warm}").format(warm=warm(of.above_temp_c)))
    if of.min_temp_c is not None and of.max_temp_c is not None:
        found.append(_("{low} to {high}").format(low=warm(of.min_temp_c), high=warm(of.max_temp_c)))
    if of.below_rh is not None:
        found.append(_("under {share} % humidity").format(share=number_format(f"{of.below_rh:g}")))
    if of.warm_after_h:
        found.append(_("as warm for {hours} h after").format(hours=of.warm_after_h))
    if of.thunder_after_h is not None:
        found.append(_("no thunder"))
    return found
