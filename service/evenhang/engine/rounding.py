"""Rounding a price to the member's grid, and walking that grid.

Knows nothing of works. Steps are by price range; the loader has seen to it that each limit is a
multiple of the steps on both sides of it, so that rounding to a limit stays on the grid.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from evenhang.engine.money import EXACT
from evenhang.engine.rules import Rounding


def step_at(rounding: Rounding, amount: Decimal) -> Decimal:
    """The step that holds at `amount`."""
    return next(s.step for s in rounding.steps if s.below is None or amount < s.below)


def to_grid(rounding: Rounding, amount: Decimal, how: str | None = None) -> Decimal:
    """`amount` on the grid by the rule's own direction (or `how`, a decimal rounding mode), never 0 or below."""
    step = step_at(rounding, amount)
    mode = how or (ROUND_CEILING if rounding.direction == "up" else ROUND_HALF_UP)
    rounded = EXACT.multiply(EXACT.divide(amount, step).to_integral_value(mode), step)
    return rounded if rounded > 0 else rounding.steps[0].step


def on_grid(rounding: Rounding, amount: Decimal) -> bool:
    """Whether a price lies on the grid."""
    return amount > 0 and EXACT.remainder(amount, step_at(rounding, amount)) == 0


def at_or_above(rounding: Rounding, amount: Decimal) -> Decimal:
    """The lowest grid price that is not below `amount`."""
    return to_grid(rounding, amount, ROUND_CEILING)


def at_or_below(rounding: Rounding, amount: Decimal) -> Decimal | None:
    """The highest grid price that is not above `amount`; None below the first step."""
    down = to_grid(rounding, amount, ROUND_FLOOR)
    return down if down <= amount else None


def next_above(rounding: Rounding, price: Decimal) -> Decimal:
    """The grid price after `price`, itself on the grid."""
    return price + step_at(rounding, price)


def next_below(rounding: Rounding, price: Decimal) -> Decimal | None:
    """The grid price before `price`, itself on the grid; None for the lowest one."""
    # A limit belongs to the range above it, so the step down from it is the one below.
    under = next(s.step for s in rounding.steps if s.below is None or price <= s.below)
    return price - under if price > under else None
