"""Node factors and equilibrium arguments against xtide-data's, 1990 to 2060."""

import json
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from yard.tides.astronomy import FIRST_YEAR, LAST_YEAR, YearOutOfRange, longitudes, year_factors
from yard.tides.constituents import CONSTITUENTS, INDEX

REFERENCE = json.loads((Path(__file__).parents[1] / "reference" / "tides_node_factors.json").read_text())
YEARS = range(1990, 2061)
DEGREE = 1.0


@pytest.mark.parametrize("name", INDEX)
def test_factors_of_every_year(name: str) -> None:
    """f within 0.0002 and V0 + u within 0.01 degrees; M1 within 0.001 and 0.04."""
    f_tolerance, angle_tolerance = (0.001, 0.04 * DEGREE) if name == "M1" else (0.0002, 0.01 * DEGREE)
    f = np.array([year_factors(year).f[INDEX[name]] for year in YEARS])
    v0u_deg = np.array([year_factors(year).v0u_deg[INDEX[name]] for year in YEARS])
    turned = (v0u_deg - np.array(REFERENCE["v0u_deg"][name]) + 180) % 360 - 180
    assert len(REFERENCE["f"][name]) == len(YEARS)
    assert np.abs(f - REFERENCE["f"][name]).max() <= f_tolerance
    assert np.abs(turned).max() <= angle_tolerance


def test_every_speed_is_the_rate_of_its_argument() -> None:
    """Within 1e-6 degrees an hour. The trap is M1: its speed has p in it although its V has not."""
    at_1950 = datetime(1950, 1, 1, tzinfo=UTC)
    day = longitudes(at_1950), longitudes(datetime(1950, 1, 2, tzinfo=UTC))
    rates = np.array(
        [15.0] + [((getattr(day[1], x) - getattr(day[0], x) + 180) % 360 - 180) / 24 for x in ("s", "h", "p", "p1")]
    )
    for constituent in CONSTITUENTS:
        rate = float(np.array(constituent.v_terms[:5]) @ rates)
        missing = rates[3] if constituent.name == "M1" else 0.0
        assert rate + missing == pytest.approx(constituent.speed_deg_per_hour, abs=1e-6), constituent.name


@pytest.mark.parametrize("year", [FIRST_YEAR - 1, LAST_YEAR + 1])
def test_a_year_without_node_factors_is_refused(year: int) -> None:
    with pytest.raises(YearOutOfRange, match=f"year {year}"):
        year_factors(year)


def test_shared_factors_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        year_factors(2027).f[0] = 2.0
