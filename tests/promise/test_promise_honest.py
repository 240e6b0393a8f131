"""Groups of like chances, and the score interval against published values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.promise.honest import EDGES, groups, wilson


@pytest.mark.parametrize(
    ("kept", "count", "low", "high"),
    [
        # Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3 (score), 95 %; the values are from memory
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_score_interval_is_the_published_one(kept: int, count: int, low: float, high: float) -> None:
    assert wilson(kept, count, z=1.959964) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


def test_all_and_none_kept_lie_in_their_own_interval() -> None:
    for count in range(1, 200):
        assert wilson(count, count)[1] == 1.0
        assert wilson(0, count)[0] == 0.0


def test_dates_fall_into_the_group_of_their_chance() -> None:
    found = groups([(0.4, False), (0.9, True), (0.86, False), (1.0, True), (0.95, True)])
    assert [(each.from_chance, each.count, each.kept) for each in found] == [(0.0, 1, 0), (0.85, 2, 1), (0.95, 2, 2)]
    assert found[1].said == pytest.approx(0.88)


def test_no_share_and_no_chance_are_refused() -> None:
    with pytest.raises(ValueError, match="no share"):
        wilson(0, 0)
    with pytest.raises(ValueError, match="between 0 and 1"):
        groups([(1.2, True)])


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), max_size=60))
def test_every_date_is_in_one_group_and_its_share_in_its_interval(pairs: list[tuple[float, bool]]) -> None:
    found = groups(pairs)
    assert sum(each.count for each in found) == len(pairs)
    assert sum(each.kept for each in found) == sum(kept for _, kept in pairs)
    for each in found:
        assert each.low <= each.share <= each.high
        assert EDGES[0] <= each.from_chance <= each.said <= each.to_chance <= EDGES[-1]
