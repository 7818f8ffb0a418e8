"""How far rounding can carry a price from its rule, and the lowest grid price that a bound allows.

Knows nothing of works. Where costs were taken off a price, a difference counts only beyond this slack.
"""

from bisect import bisect_right
from collections.abc import Callable
from decimal import ROUND_CEILING, Decimal

from msgspec import Struct

from evenhang.engine.money import EXACT, ZERO
from evenhang.engine.rules import Rounding

TWO = Decimal(2)


class GridRange(Struct, frozen=True):
    """Grid prices from `first` up to `end` (exclusive, None for no end) that share a step and a slack."""

    first: Decimal
    step: Decimal
    slack: Decimal
    end: Decimal | None


Grid = tuple[GridRange, ...]


def grid_of(rounding: Rounding) -> Grid:
    """The ranges of a grid, each limit a range of its own.

    The slack is the step. At a limit it is the larger of the two steps that meet there; the lowest price of all may have
    been lifted from near 0, a whole step, while another falls by half of one: twice the step.
    """
    lowest = rounding.steps[0].step
    out: list[GridRange] = []
    start, under = ZERO, ZERO
    for step in rounding.steps:
        first = max(start, lowest)
        edge = max(step.step, under, TWO * lowest if first == lowest else ZERO)
        if step.below is None or first < step.below:
            out.append(GridRange(first, step.step, edge, first + step.step))
            if step.below is None or first + step.step < step.below:
                out.append(GridRange(first + step.step, step.step, step.step, step.below))
        if step.below is not None:
            start, under = step.below, step.step
    return tuple(out)


def slack_at(grid: Grid, price: Decimal) -> Decimal:
    """The slack of a price, on the grid or not."""
    return grid[max(0, bisect_right(grid, price, key=lambda r: r.first) - 1)].slack


def lowest_allowed(grid: Grid, at_least: Decimal, bound: Callable[[Decimal], Decimal]) -> Decimal:
    """The lowest grid price that is at least `at_least` and at least `bound` of its own slack.

    Range by range: in the next one the step, and so the slack, may be larger and the bound lower.
    """
    for reach in grid:
        if reach.end is not None and reach.end <= at_least:
            continue
        wanted = max(at_least, reach.first, bound(reach.slack))
        price = EXACT.multiply(EXACT.divide(wanted, reach.step).to_integral_value(ROUND_CEILING), reach.step)
        if reach.end is None or price < reach.end:
            return price
    raise AssertionError("the last range of a grid has no end")
