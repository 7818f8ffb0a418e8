"""Statistics of small samples that one odd work cannot upset: slopes with their band, quantiles, shares with their intervals.

Knows nothing of works or money. Floats are allowed here: what is proposed as a price goes back through decimals.
"""

from collections.abc import Sequence
from math import log, sqrt
from statistics import NormalDist, median

from msgspec import Struct

_LEAST, _MOST = log(1e-4), log(1e12)
_Z95 = NormalDist().inv_cdf(0.975)


class Slope(Struct, frozen=True):
    """A Theil-Sen slope with its 95 % band."""

    slope: float
    low: float
    high: float


def pair_slopes(x: Sequence[float], y: Sequence[float]) -> list[float]:
    """The slopes between any two points of different x."""
    out = []
    for i, (xi, yi) in enumerate(zip(x, y, strict=True)):
        out += [(yj - yi) / (xj - xi) for xj, yj in zip(x[i + 1 :], y[i + 1 :]) if xj != xi]
    return out


def banded_slope(x: Sequence[float], y: Sequence[float]) -> Slope:
    """The median of the pairwise slopes, with Sen's 95 % band (Sen, J. Am. Stat. Assoc. 63, 1968), ties counted.

    Where ties leave no spread to go by, the band is all slopes. ValueError where no two points differ in x.
    """
    slopes = sorted(pair_slopes(x, y))
    if not slopes:
        raise ValueError("no two points differ in x")
    n = len(x)
    spread = (n * (n - 1) * (2 * n + 5) - _tied(x) - _tied(y)) / 18
    reach = _Z95 * sqrt(spread) if spread >= 0 else len(slopes)
    upper = min(round((len(slopes) + reach) / 2), len(slopes) - 1)
    lower = max(round((len(slopes) - reach) / 2) - 1, 0)
    return Slope(median(slopes), slopes[lower], slopes[upper])


def _tied(values: Sequence[float]) -> int:
    counts: dict[float, int] = {}
    for value in values:
        counts[value] = counts.get(value, 0) + 1
    return sum(k * (k - 1) * (2 * k + 5) for k in counts.values())


def quantile(values: Sequence[float], share: float) -> float:
    """The quantile by Hyndman and Fan's type 7 (The American Statistician 50, 1996): a straight line between the two neighbours."""
    ordered = sorted(values)
    at = round(share * (len(ordered) - 1), 12)  # a third of nine is three
    low = int(at)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (at - low) * (ordered[high] - ordered[low])


def mid_rank_percent(values: Sequence[float], own: float) -> float:
    """Where `own` stands among `values`, in percent: those below, and half of those equal."""
    below, equal = sum(value < own for value in values), sum(value == own for value in values)
    return 100 * (below + equal / 2) / len(values)


def wilson(hits: int, tries: int) -> tuple[float, float]:
    """The 95 % score interval of a share (Wilson, J. Am. Stat. Assoc. 22, 1927), without continuity correction; `tries` over 0."""
    share, z2 = hits / tries, _Z95 * _Z95
    middle = (share + z2 / (2 * tries)) / (1 + z2 / tries)
    half = _Z95 / (1 + z2 / tries) * sqrt(share * (1 - share) / tries + z2 / (4 * tries * tries))
    return (0.0 if hits == 0 else middle - half), (1.0 if hits == tries else middle + half)


def not_falling(values: Sequence[float], weights: Sequence[float]) -> list[float]:
    """The nearest values (weighted least squares) that never fall: neighbours that do are pooled to their weighted mean."""
    pools: list[tuple[float, float, int]] = []
    for value, weight in zip(values, weights, strict=True):
        pools.append((value, weight, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (left, lw, ln), (right, rw, rn) = pools[-2:]
            pools[-2:] = [((left * lw + right * rw) / (lw + rw), lw + rw, ln + rn)]
    return [value for value, _, count in pools for _ in range(count)]


def can_be_price(logarithm: float) -> bool:
    """Whether a price is what a line through logarithms leads to: not below any coin, and of no more than twelve digits."""
    return _LEAST < logarithm < _MOST
