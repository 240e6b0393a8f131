"""What a maker's data sheet says of the air in which a product may be put on, over the limits of a kind of work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from yard.speech import _
from yard.weather.limits import Limits

STATED = ("min_temp_c", "max_temp_c", "below_rh", "min_dew_spread_c")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductLimits:
    """Off one data sheet; None where it states none. Temperatures in Celsius, humidity in per cent.

    min_temp_c, max_temp_c: lowest and highest at which it may be put on. below_rh: humidity must be under this.
    min_dew_spread_c: least temperature less dew point.
    """

    name: str
    source: str
    min_temp_c: float | None = None
    max_temp_c: float | None = None
    below_rh: float | None = None
    min_dew_spread_c: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip() or not self.source.strip():
            raise ValueError("a product's limits name the product and the sheet")
        if self.min_temp_c is not None and self.max_temp_c is not None and self.max_temp_c <= self.min_temp_c:
            raise ValueError(f"{self.name}: the warmest it may be put on lies below the coldest")

    @property
    def states_none(self) -> bool:
        return all(getattr(self, name) is None for name in STATED)


def with_products(limits: Limits, products: Iterable[ProductLimits], *, own: Mapping[str, float]) -> Limits:
    """The limits of a kind of work in which these products are put on.

    What a sheet states stands in the place of a default: the maker knows the product. Of two sheets, and of a sheet
    and what the yard has set itself (own: by the name of the limit), the stricter holds.
    """
    stating = [product for product in products if not product.states_none]
    if not stating:
        return limits
    said: dict[str, float] = {}
    for name in STATED:
        values = [value for product in stating if (value := getattr(product, name)) is not None]
        if not values:
            continue
        values += [own[name]] if own.get(name) is not None else []
        said[name] = max(values) if name.startswith("min_") else min(values)
    sheets = "; ".join(f"{product.name}: {product.source}" for product in stating)
    firm = limits.firm_dew_spread_c
    if firm is not None and said.get("min_dew_spread_c", 0.0) > firm:
        firm = said["min_dew_spread_c"]
    return replace(
        limits,
        min_temp_c=said.get("min_temp_c", limits.min_temp_c),
        max_temp_c=said.get("max_temp_c", limits.max_temp_c),
        below_rh=said.get("below_rh", limits.below_rh),
        min_dew_spread_c=said.get("min_dew_spread_c", limits.min_dew_spread_c),
        firm_dew_spread_c=firm,
        source=_("{sheets}; else {source}").format(sheets=sheets, source=_(limits.source)),
    )
