import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference import weather_drying as reference
from yard.weather.drying import CORNER_LAYERS, drying_hours, drying_rate_g_per_m2_h, planned_drying_days
from yard.weather.humidity import (
    dew_point_c,
    relative_humidity,
    saturation_kpa,
    saturation_slope_kpa_per_c,
)


@pytest.mark.parametrize(("temp_c", "kpa"), reference.SATURATION_KPA)
def test_saturation_pressure_agrees_with_fao_56(temp_c, kpa):
    assert saturation_kpa(temp_c) == pytest.approx(kpa, abs=0.001)


@pytest.mark.parametrize(("temp_c", "rh", "dew_c"), reference.DEW_POINTS)
def test_dew_points(temp_c, rh, dew_c):
    assert dew_point_c(temp_c, rh) == pytest.approx(dew_c, abs=0.05)


@given(st.floats(-20, 40), st.floats(1, 100))
def test_dew_point_and_humidity_are_each_others_inverse(temp_c, rh):
    dew_c = dew_point_c(temp_c, rh)
    assert dew_c <= temp_c + 1e-9
    assert relative_humidity(temp_c, dew_c) == pytest.approx(rh)


@given(st.floats(-20, 40))
def test_the_slope_is_that_of_the_saturation_pressure(temp_c):
    numeric = (saturation_kpa(temp_c + 0.001) - saturation_kpa(temp_c - 0.001)) / 0.002
    assert saturation_slope_kpa_per_c(temp_c) == pytest.approx(numeric, rel=1e-6)


@pytest.mark.parametrize(("temp_c", "rh", "wind_m_s", "rate"), reference.DRYING_RATES)
def test_drying_rates(temp_c, rh, wind_m_s, rate):
    assert drying_rate_g_per_m2_h(temp_c, rh, wind_m_s) == pytest.approx(rate, abs=0.05)


@given(st.floats(-10, 60), st.floats(0, 99), st.floats(0, 10))
def test_drier_and_windier_air_dries_faster(temp_c, rh, wind_m_s):
    rate = drying_rate_g_per_m2_h(temp_c, rh, wind_m_s)
    assert rate >= drying_rate_g_per_m2_h(temp_c, rh + 1, wind_m_s)
    assert rate <= drying_rate_g_per_m2_h(temp_c, rh, wind_m_s + 1)


def test_a_corner_of_eight_layers_takes_the_one_to_three_days_of_practice():
    """18 h at 15 C and 60 %, 62 h at 8 C and 85 %: the trade's "1 to 3 days" (common practice)."""
    mild = drying_hours(drying_rate_g_per_m2_h(15, 60), layers=CORNER_LAYERS)
    raw = drying_hours(drying_rate_g_per_m2_h(8, 85), layers=CORNER_LAYERS)
    assert mild == pytest.approx(18, abs=0.5)
    assert raw == pytest.approx(62, abs=0.5)


def test_days_planned_by_humidity():
    assert [planned_drying_days(rh) for rh in (0, 59.9, 60, 79.9, 80, 100)] == [1, 1, 2, 2, 3, 3]


def test_what_cannot_be_is_refused():
    assert drying_rate_g_per_m2_h(15, 100) == 0
    with pytest.raises(ValueError, match="full of water"):
        drying_hours(0)
    with pytest.raises(ValueError, match="cannot be"):
        drying_hours(60, layers=0)
    with pytest.raises(ValueError, match="out of range"):
        drying_rate_g_per_m2_h(15, 101)
    with pytest.raises(ValueError, match="0 to 100"):
        planned_drying_days(-1)
    with pytest.raises(ValueError, match="over 0"):
        dew_point_c(15, 0)
