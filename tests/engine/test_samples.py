"""Statistics in plain Python against scipy, and against published figures."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from evenhang.engine.samples import banded_slope, mid_rank_percent, not_falling, quantile, wilson

floats = st.integers(-2000, 2000).map(lambda i: i / 100)
few = st.integers(0, 6).map(float)  # many ties


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(floats | few, floats | few), min_size=3, max_size=40))
def test_theil_sen_is_scipys(points: list[tuple[float, float]]) -> None:
    x, y = (list(side) for side in zip(*points, strict=True))
    assume(len(set(x)) > 1)
    with np.errstate(invalid="ignore"):  # scipy gives no band where ties leave no spread
        ours, theirs = banded_slope(x, y), stats.theilslopes(y, x, 0.95)
    assert ours.slope == pytest.approx(theirs.slope, rel=1e-9, abs=1e-9)
    assume(not np.isnan(theirs.low_slope))
    assert (ours.slope, ours.low, ours.high) == pytest.approx((theirs.slope, theirs.low_slope, theirs.high_slope), rel=1e-9, abs=1e-9)


def test_theil_sen_published() -> None:
    """x 1..6, y 2 4 6 8 10 40: slope 2, where least squares gives 6 (computed with scipy)."""
    assert banded_slope([1, 2, 3, 4, 5, 6], [2, 4, 6, 8, 10, 40]).slope == 2


def test_without_two_sizes_there_is_no_slope() -> None:
    with pytest.raises(ValueError, match="no two points"):
        banded_slope([1, 1, 1], [1, 2, 3])


@pytest.mark.parametrize(("share", "value"), [(0.05, 16), (0.25, 20), (0.4, 29), (0.5, 35), (0.75, 40), (0.95, 48), (0, 15), (1, 50)])
def test_type_7_quantiles_published(share: float, value: float) -> None:
    """Hyndman and Fan type 7, of 15 20 35 40 50 (computed by its definition)."""
    assert quantile([50, 20, 15, 40, 35], share) == pytest.approx(value)


@settings(max_examples=100, deadline=None)
@given(st.lists(floats, min_size=1, max_size=30), st.floats(0, 1))
def test_quantiles_are_numpys(values: list[float], share: float) -> None:
    assert quantile(values, share) == pytest.approx(np.quantile(values, share, method="linear"), abs=1e-9)


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_is_scipys(shares: tuple[int, int]) -> None:
    theirs = stats.binomtest(*shares).proportion_ci(0.95, method="wilson")
    assert wilson(*shares) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


def test_wilson_by_pencil() -> None:
    """5 of 10 with z = 1.96, z2 = 3.8416: 0.5 and 1.96 / 1.38416 x sqrt(0.025 + 0.0096) = 0.2634."""
    assert wilson(5, 10) == pytest.approx((0.2366, 0.7634), abs=5e-5)


def test_not_falling_published() -> None:
    """Isotonic regression (scipy docs; Busing, J. Stat. Software 102, 2022)."""
    given_values = [1.5, 1.0, 4.0, 6.0, 5.7, 5.0, 7.8, 9.0, 7.5, 9.5, 9.0]
    assert not_falling(given_values, [1] * 11) == pytest.approx([1.25, 1.25, 4, *[16.7 / 3] * 3, 7.8, 8.25, 8.25, 9.25, 9.25])


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(floats, st.integers(1, 5)), min_size=1, max_size=20))
def test_not_falling_is_scipys(rows: list[tuple[float, int]]) -> None:
    values, weights = [row[0] for row in rows], [row[1] for row in rows]
    assert not_falling(values, weights) == pytest.approx(list(optimize.isotonic_regression(values, weights=weights).x), abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(st.lists(few, min_size=1, max_size=30), few)
def test_mid_rank_is_scipys(values: list[float], own: float) -> None:
    assert mid_rank_percent(values, own) == pytest.approx(stats.percentileofscore(values, own, kind="mean"))
