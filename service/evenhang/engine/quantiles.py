"""Quantiles of exact decimals.

Knows nothing of what is counted.
"""

from collections.abc import Sequence
from decimal import Decimal

from evenhang.engine.money import HUNDRED, exact


@exact
def quantile(values: Sequence[Decimal], percent: Decimal) -> Decimal:
    """The quantile below which `percent` of the sorted `values` lie: Hyndman and Fan (1996), type 7, unrounded.

    Between the two values around the place (n - 1) x percent / 100 it runs in a straight line. ValueError for no values.
    """
    if not values:
        raise ValueError("no values, no quantile")
    place = (len(values) - 1) * percent / HUNDRED
    low = int(place)
    high = min(low + 1, len(values) - 1)
    return values[low] + (place - low) * (values[high] - values[low])
