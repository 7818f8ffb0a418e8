"""Theil-Sen and modified z-scores against scipy and against all pairs."""

import statistics
import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import theilslopes

from evenhang.engine.robust import inversions, modified_z_scores, theil_sen

# Few different values, so that ties of x, of y and of whole slopes come up all the time.
coarse = st.lists(st.tuples(st.integers(0, 12), st.integers(-8, 8)), min_size=2, max_size=60)
smooth = st.lists(st.tuples(st.floats(0, 10, width=32), st.floats(-5, 5, width=32)), min_size=2, max_size=60)


@settings(deadline=None, max_examples=150)
@given(coarse | smooth)
def test_the_slope_is_scipys(points: list[tuple[float, float]]) -> None:
    """scipy.stats.theilslopes, which writes out every pair."""
    x, y = [float(a) for a, _ in points], [float(b) for _, b in points]
    found = theil_sen(x, y)
    if len(set(x)) == 1:
        assert found is None
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # of its confidence interval, which is not compared
        reference = theilslopes(y, x)
    assert found is not None
    assert found[0] == pytest.approx(reference.slope, rel=1e-9, abs=1e-12)
    assert found[1] == pytest.approx(reference.intercept, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("n", [1_000, 2_001])
def test_longer_lists_bisect(n: int) -> None:
    """Enough points that the slopes are not simply written out, spread by a multiplicative sequence without chance."""
    noise = [(i * 7919 % n) / n - 0.5 for i in range(n)]
    x = [(i * 104729 % n) / 50 for i in range(n)]
    y = [0.7 * a + b * (4 if i % 9 == 0 else 0.3) for i, (a, b) in enumerate(zip(x, noise, strict=True))]
    found = theil_sen(x, y)
    assert found is not None
    assert found[0] == pytest.approx(theilslopes(y, x).slope, rel=1e-12)


def test_points_on_one_line_and_one_slope_for_all_pairs() -> None:
    """Half a million slopes, all the same: the bisection ends at neighbouring floats."""
    x = [float(i) for i in range(1_000)]
    found = theil_sen(x, [3 * a + 1 for a in x])
    assert found == pytest.approx((3.0, 1.0))


@given(st.permutations(range(30)))
def test_inversions_are_counted(order: list[int]) -> None:
    assert inversions(order) == sum(order[i] > order[j] for i in range(30) for j in range(i + 1, 30))


def test_inversions_across_chunks() -> None:
    n = 5_000
    assert inversions(range(n - 1, -1, -1)) == n * (n - 1) // 2


def test_no_spread_no_scores() -> None:
    assert modified_z_scores([2.0, 2.0, 2.0, 9.0]) is None
    with pytest.raises(ValueError, match="no values"):
        modified_z_scores([])


@given(st.lists(st.floats(-100, 100, width=32), min_size=1, max_size=20))
def test_scores_are_centred_on_the_median(values: list[float]) -> None:
    scores = modified_z_scores(values)
    assert scores is None or statistics.median(scores) == pytest.approx(0, abs=1e-9)
