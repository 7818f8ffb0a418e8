"""Robust statistics: the Theil-Sen line and the modified z-score.

Knows nothing of prices. Statistics may use binary floats; nothing here is money.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence
from statistics import median

OUTLYING = 3.5  # Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993): beyond this a value is labelled an outlier
_SCALE = 0.6745  # the 75 % point of the standard normal distribution, as they write it
_CHUNK = 1024


def modified_z_scores(values: Sequence[float], least_mad: float = 0.0) -> list[float] | None:
    """0.6745 (x - median) / MAD for each value; None where the MAD is not over `least_mad`: then nothing can be told.

    Iglewicz and Hoaglin, 1993. ValueError for no values.
    """
    if not values:
        raise ValueError("no values, no scores")
    middle = median(values)
    mad = median(abs(value - middle) for value in values)
    return None if mad <= least_mad else [_SCALE * (value - middle) / mad for value in values]


def theil_sen(x: Sequence[float], y: Sequence[float]) -> tuple[float, float] | None:
    """Slope and intercept: the median of the slopes of all pairs, and the line through the two medians. None without two different x.

    Theil (1950), Sen (1968): pairs of equal x have no slope. Exact, yet never all pairs: a slope b is above as many others as
    there are pairs that y - b x puts in the other order, so the median is found by bisection on counts of inversions, and the
    last few thousand slopes are written out. n log n for each count, of which there are about log n.
    """
    order = sorted(range(len(x)), key=lambda i: (x[i], y[i]))
    xs, ys = [x[i] for i in order], [y[i] for i in order]
    places = _places(xs)
    pairs = len(xs) * (len(xs) - 1) // 2 - sum(n * (n - 1) // 2 for n in _runs(places))
    if pairs == 0:
        return None
    low, high = (pairs - 1) // 2, pairs // 2
    slope = _slope_at(xs, ys, places, low)
    if high != low:
        slope = (slope + _slope_at(xs, ys, places, high)) / 2
    return slope, median(ys) - slope * median(xs)


def _places(xs: list[float]) -> list[int]:
    """The rank of each x, equal for equal ones."""
    out = [0] * len(xs)
    for i in range(1, len(xs)):
        out[i] = out[i - 1] + (xs[i] != xs[i - 1])
    return out


def _runs(places: list[int]) -> list[int]:
    counts = [0] * (places[-1] + 1 if places else 0)
    for place in places:
        counts[place] += 1
    return counts


def _slope_at(xs: list[float], ys: list[float], places: list[int], rank: int) -> float:
    """The slope of that rank (from 0) among the slopes of all pairs of different x."""
    under, over = _bracket(xs, ys, places, rank)
    most = 4 * len(xs)
    n_under, n_over = _count(xs, ys, places, under), _count(xs, ys, places, over)
    while n_over - n_under > most:
        middle = under + (over - under) / 2
        if middle in (under, over):
            return over  # neighbouring floats: all slopes in between are one
        n_middle = _count(xs, ys, places, middle)
        if n_middle <= rank:
            under, n_under = middle, n_middle
        else:
            over, n_over = middle, n_middle
    slopes = sorted((ys[j] - ys[i]) / (xs[j] - xs[i]) for i, j in _pairs_between(xs, ys, places, under, over))
    return slopes[rank - n_under]


def _bracket(xs: list[float], ys: list[float], places: list[int], rank: int) -> tuple[float, float]:
    """Two slopes, the first with at most `rank` slopes up to it and the second with more: widened from those of a few pairs."""
    half = len(xs) // 2
    some = sorted((ys[i + half] - ys[i]) / (xs[i + half] - xs[i]) for i in range(len(xs) - half) if xs[i + half] != xs[i])
    some = some or [0.0]
    under, over = some[len(some) * 2 // 5], some[len(some) * 3 // 5]
    width = max(over - under, abs(over), 1.0) * 1e-3
    while _count(xs, ys, places, under) > rank:
        under, width = under - width, width * 4
    while _count(xs, ys, places, over) <= rank:
        over, width = over + width, width * 4
    return under, over


def _arranged(xs: list[float], ys: list[float], places: list[int], slope: float) -> list[int]:
    """The points by y - slope x; where that is equal the larger x first, so that a pair of exactly this slope counts as turned round."""
    rest = [b - slope * a for a, b in zip(xs, ys, strict=True)]
    return sorted(range(len(xs)), key=lambda i: (rest[i], -places[i], i))


def _count(xs: list[float], ys: list[float], places: list[int], slope: float) -> int:
    """How many slopes are at most `slope`."""
    return inversions(_arranged(xs, ys, places, slope))


def inversions(order: Sequence[int]) -> int:
    """How many pairs stand the wrong way round; chunk by chunk, so that no insertion moves much."""
    total = 0
    before: list[int] = []
    for start in range(0, len(order), _CHUNK):
        chunk: list[int] = []
        seen = len(before)
        for value in order[start : start + _CHUNK]:
            total += seen - bisect_left(before, value) + len(chunk) - bisect_right(chunk, value)
            insort(chunk, value)
        before = sorted(before + chunk)  # two rising runs: merged in one pass
    return total


def _pairs_between(xs: list[float], ys: list[float], places: list[int], under: float, over: float) -> list[tuple[int, int]]:
    """The pairs whose slope is over `under` and at most `over`: those that the two arrangements put differently."""
    first = _arranged(xs, ys, places, under)
    rank = [0] * len(xs)
    for place, i in enumerate(_arranged(xs, ys, places, over)):
        rank[i] = place
    out: list[tuple[int, int]] = []
    seen: list[tuple[int, int]] = []
    for i in first:
        at = bisect_left(seen, (rank[i], -1))
        out += [(min(i, j), max(i, j)) for _, j in seen[at:]]
        seen.insert(at, (rank[i], i))
    return out
