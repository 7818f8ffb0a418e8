"""Quantiles against a published row, and in their order."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.engine.quantiles import quantile


@pytest.mark.parametrize(("percent", "value"), [(5, 16), (25, 20), (40, 29), (50, 35), (75, 40), (95, 48), (0, 15), (100, 50)])
def test_hyndman_and_fan_type_7(percent: int, value: int) -> None:
    """Hyndman and Fan (1996), type 7, of 15 20 35 40 50."""
    assert quantile([D(v) for v in (15, 20, 35, 40, 50)], D(percent)) == value


def test_one_value_is_every_quantile_and_none_has_none() -> None:
    assert quantile([D(3)], D(95)) == 3
    with pytest.raises(ValueError, match="no values"):
        quantile([], D(50))


@given(st.lists(st.integers(-1000, 1000), min_size=1, max_size=30).map(sorted), st.integers(0, 100), st.integers(0, 100))
def test_between_the_ends_and_never_falling(values: list[int], a: int, b: int) -> None:
    exact = [D(v) for v in values]
    low, high = (quantile(exact, D(p)) for p in sorted((a, b)))
    assert exact[0] <= low <= high <= exact[-1]
