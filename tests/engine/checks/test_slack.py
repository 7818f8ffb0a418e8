"""How far rounding can carry a price: bounds against what rounding really does, and the lowest allowed price against a scan."""

from decimal import Decimal as D
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engine.checks.shelf import FALLING, GRIDS, HOUSE

from evenhang.engine.checks.slack import grid_of, lowest_allowed, slack_at
from evenhang.engine.rounding import next_above, on_grid, to_grid
from evenhang.engine.rules import Rounding

exact_prices = st.decimals(D("0.01"), D(2500), places=2)


@pytest.mark.parametrize(
    ("price", "slack"),
    [("5", "10"), ("10", "5"), ("195", "5"), ("200", "10"), ("990", "10"), ("1000", "50"), ("1050", "50"), ("3", "10"), ("198", "5")],
)
def test_slack_by_pencil(price: str, slack: str) -> None:
    """The step; twice the step at the lowest price, which may have been lifted a whole one while the other fell by half of one."""
    assert slack_at(grid_of(HOUSE), D(price)) == D(slack)


def test_at_a_limit_the_larger_step_holds() -> None:
    """98 is rounded to 100 by twenties, though fives begin there."""
    assert [slack_at(grid_of(FALLING), D(p)) for p in ("80", "100", "105", "200", "210")] == [20, 20, 5, 10, 10]


@given(st.sampled_from(GRIDS), exact_prices, exact_prices)
def test_rounding_never_carries_two_prices_further_apart_than_the_larger_slack(rounding: Rounding, low: D, high: D) -> None:
    low, high = sorted((low, high))
    grid = grid_of(rounding)
    first, second = to_grid(rounding, low), to_grid(rounding, high)
    assert (first - low) - (second - high) <= max(slack_at(grid, first), slack_at(grid, second))


@given(st.sampled_from(GRIDS[1:]), st.integers(1, 1300), st.integers(0, 1300))
def test_the_lowest_allowed_price_is_the_first_of_a_scan(rounding: Rounding, at_least: int, wanted: int) -> None:
    grid = grid_of(rounding)

    def bound(slack: D) -> D:
        return wanted - slack

    price = to_grid(rounding, D(at_least), "ROUND_CEILING")
    for _ in count():
        if price >= bound(slack_at(grid, price)):
            break
        price = next_above(rounding, price)
    found = lowest_allowed(grid, D(at_least), bound)
    assert found == price
    assert on_grid(rounding, found)
