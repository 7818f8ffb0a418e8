"""Published figures of statistics and of price against size, each with its source."""

from decimal import Decimal as D
from math import log

import pytest
from scipy.stats import theilslopes
from tests.engine.checks.shelf import checked, member, work

from evenhang.engine.isotonic import mean_of, pool_adjacent_violators
from evenhang.engine.robust import OUTLYING, modified_z_scores, theil_sen

# A painter's own price list: Mathematics Stack Exchange, question 647378, CC BY-SA (read). Area in cm2, price.
AREAS = (400, 1849, 2107, 2907, 5600, 9801, 12000, 24000, 35000, 50000)
PRICES = (15000, 30000, 30000, 35000, 45000, 50000, 55920, 95000, 125000, 150000)


def test_isotonic_regression() -> None:
    """scipy.optimize.isotonic_regression's documentation, after Busing, J. Stat. Software 102 (2022) (read)."""
    given = "1.5 1.0 4.0 6.0 5.7 5.0 7.8 9.0 7.5 9.5 9.0"
    blocks = pool_adjacent_violators(mean_of([D(v)]) for v in given.split())
    values = [float(b.value) for b in blocks for _ in range(b.start, b.end)]
    assert values == pytest.approx([1.25, 1.25, 4, 5.56666667, 5.56666667, 5.56666667, 7.8, 8.25, 8.25, 9.25, 9.25])


def test_modified_z_scores() -> None:
    """0.6745 (x - median) / MAD, an outlier beyond 3.5: Iglewicz and Hoaglin, 1993; the scores computed."""
    scores = modified_z_scores([1.0, 1.1, 0.9, 1.05, 0.95, 1.0, 3.0])
    assert scores == pytest.approx([0, 1.349, -1.349, 0.6745, -0.6745, 0, 26.98])
    assert OUTLYING == 3.5


def test_theil_sen() -> None:
    """scipy.stats.theilslopes: slope 2, intercept 0, where least squares says 6 and -9.3333 (computed)."""
    x, y = [1.0, 2, 3, 4, 5, 6], [2.0, 4, 6, 8, 10, 40]
    assert theil_sen(x, y) == pytest.approx((2, 0))
    assert theil_sen(x, y) == pytest.approx(tuple(theilslopes(y, x)[:2]))


def test_theil_sen_of_a_painters_price_list() -> None:
    """Exponent 0.47380996, intercept 6.54527088 on logs (computed with scipy 1.17.1)."""
    found = theil_sen([log(a) for a in AREAS], [log(p) for p in PRICES])
    assert found == pytest.approx((0.47380996, 6.54527088), abs=1e-8)


def test_a_painters_price_list_hangs_together() -> None:
    """The list is non-decreasing already, and no modified z-score of its residuals passes 3.5 (computed)."""
    works = [work(f"a{a}", str(D(a) / 10), str(p)) for a, p in zip(AREAS, PRICES, strict=True)]
    found = checked(member(), *works, mend=("raise-only", "least-change"))
    assert not {"larger-for-less", "same-size-different-price", "odd-unit-rate"} & {f.code for f in found.findings}
    assert "odd-unit-rate" not in {f.about for f in found.findings}
    assert [m.changes for m in found.mended] == [(), ()]


def test_one_price_of_it_a_third_stands_out() -> None:
    """The same list with one price cut to a third, computed here: exactly that one is odd, and the larger one asks less."""
    prices = [p if a != 12000 else 18640 for a, p in zip(AREAS, PRICES, strict=True)]
    found = checked(member(), *(work(f"a{a}", str(D(a) / 10), str(p)) for a, p in zip(AREAS, prices, strict=True)))
    assert [f.works for f in found.findings if f.code == "odd-unit-rate"] == [("a12000",)]
    assert [f.works for f in found.findings if f.code == "larger-for-less"] == [("a9801", "a12000")]
