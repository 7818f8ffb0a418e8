"""Positions: prices brought to one size, percentiles, quantiles and sell-through, by pencil and against scipy."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from evenhang.demo import RULES
from evenhang.engine.comparables import Comparable
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.position import OwnWork, Positions, find_positions
from evenhang.engine.refusals import Missing, OutOfRange, Refusal, Unknown
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work
from evenhang.rulebook.book import load_book

ON = date(2026, 5, 1)
OIL = load_book(RULES).in_force("alder-lane", ON)


def size(area: int) -> Size:
    """An oblong of so many cm2."""
    return Size(Amount(area), "cm", Amount(1))


def seen(id: str, area: int, price: str, sold: bool | None = None, currency: str = "EUR") -> Comparable:
    return Comparable(id, size(area), GivenMoney(Amount(price), currency), "a fair abroad", sold=sold)


def mine(area: int, price: str | None, id: str = "own") -> OwnWork:
    return OwnWork(id, Work("oil", size=size(area)), GivenMoney(Amount(price), "EUR") if price else None)


def positions(own: list[OwnWork], others: list[Comparable], exponent: str | None = None) -> Positions:
    return find_positions(OIL, "oil", own, others, D(exponent) if exponent is not None else None, ON)


FIVE = [
    seen("a", 400, "100", True),
    seen("b", 400, "200", True),
    seen("c", 1600, "600", False),
    seen("d", 400, "400"),
    seen("e", 100, "250"),
]


def test_by_pencil() -> None:
    """At exponent 0.5 an area four times as large asks twice as much: at 400 cm2 the five ask 100, 200, 300, 400 and 500. An own 300 has
    two below and half of itself: 2.5 of 5, 50 %. Type 7: 10 % lies 0.4 of the way from 100 to 200, 25 % is the second."""
    (own,) = positions([mine(400, "300")], FIVE, "0.5").own
    assert [str(row.at_own_size.amount) for row in own.brought] == ["100.00", "200.00", "300.00", "400.00", "500.00"]
    assert (own.percentile, own.to_median_percent, own.compared) == ("50", "0", 5)
    assert [(q.percent, str(q.price.amount)) for q in own.quantiles] == [
        (10, "140.00"), (25, "200.00"), (50, "300.00"), (75, "400.00"), (90, "460.00")]  # fmt: skip
    # Thirds end at 233.33 and 366.67: two, one, two. Both of the lower sold, the middle one did not, of the upper nothing is known.
    assert [(t.name, str(t.from_price.amount), str(t.to_price.amount), t.known, t.sold_count, t.sold_percent) for t in own.thirds] == [
        ("lower", "100.00", "200.00", 2, 2, "100"),
        ("middle", "300.00", "300.00", 1, 0, "0"),
        ("upper", "400.00", "500.00", 0, 0, None),
    ]
    # Wilson, 2 of 2: 2 / (2 + 3.8415) = 34.24 % to 100 %; 0 of 1: 0 to 3.8415 / 4.8415 = 79.35 %.
    assert [(t.sold_low_percent, t.sold_high_percent) for t in own.thirds] == [("34.24", "100"), ("0", "79.35"), (None, None)]


def test_the_exponent_is_fitted_to_the_comparables() -> None:
    others = [seen(str(a), a, str(round(7 * a**0.6, 2))) for a in (100, 400, 900, 1600, 2500)]
    found = positions([mine(400, None)], others)
    assert float(found.exponent) == pytest.approx(0.6, abs=0.001)
    assert found.exponent_from.startswith("fitted to 5 comparables of 5 sizes")
    # Without a price the rules' own: 400 cm2 x 0.24 = 96 -> 95.
    assert str(found.own[0].price.amount) == "95.00"
    assert "not sale prices" in found.caution


def test_currencies_by_pinned_rates_and_a_missing_one_keeps_its_row() -> None:
    """160.25 JPY are one EUR: 32,050 JPY are 200. There is no rate for USD."""
    others = [seen("a", 400, "32050", currency="JPY"), seen("b", 400, "100", currency="USD"), seen("c", 400, "300"), seen("c", 400, "301"),
              seen("d", 400, "0"), Comparable("e", Size(Amount("9"), "cm"), GivenMoney(Amount("9"), "EUR"), "a list")]  # fmt: skip
    found = positions([mine(400, "250")], others, "1")
    assert [(row.id, str(row.converted.amount)) for row in found.own[0].brought] == [("a", "200.00"), ("c", "300.00")]
    assert [(row.id, row.reason.pointer, row.reason.code) for row in found.left_out_comparables] == [
        ("b", "#/comparables/1/price/currency", "unknown-name"),
        ("c", "#/comparables/3/id", "contradictory-request"),
        ("d", "#/comparables/4/price/amount", "out-of-range"),
        ("e", "#/comparables/5/size/width", "missing-figure"),
    ]


def test_a_bad_own_work_keeps_its_row() -> None:
    own = [mine(400, "250"), mine(400, "250"), OwnWork("x", Work("drawing", size=size(4))), OwnWork("y", Work("oil")),
           OwnWork("z", Work("oil", size=size(4)), GivenMoney(Amount("1"), "JPY"))]  # fmt: skip
    found = positions(own, FIVE, "0.5")
    assert [row.id for row in found.own] == ["own"]
    assert [(row.id, row.reason.pointer) for row in found.left_out_own] == [
        ("own", "#/own/1/id"), ("x", "#/own/2/work/medium"), ("y", "#/own/3/work/size"), ("z", "#/own/4/price/currency")]  # fmt: skip


def test_sizes_too_far_apart_are_not_compared() -> None:
    (own,) = positions([mine(1, "9")], [seen("a", 1000, "100"), seen("b", 1001, "100")], "2").own
    assert [(row.at_own_size and str(row.at_own_size.amount), row.reason and row.reason.code) for row in own.brought] == [
        ("0.00", None), (None, "out-of-range")]  # fmt: skip
    (none,) = positions([mine(1, "9")], [seen("b", 1001, "100")], "2").own
    assert (none.compared, none.percentile, none.thirds) == (0, None, ())


@pytest.mark.parametrize(
    ("medium", "others", "exponent", "refusal", "pointer"),
    [
        ("lead", FIVE, "1", Unknown, "/medium"),
        ("oil", FIVE[:4], None, Missing, "/exponent"),
        ("oil", [seen(str(i), 400 + i % 2, "9") for i in range(9)], None, Missing, "/exponent"),
        ("oil", [seen(str(i), 100 * i, str(900 - i)) for i in range(1, 7)], None, OutOfRange, "/exponent"),
        ("oil", FIVE, "2.01", OutOfRange, "/exponent"),
    ],
)
def test_refusals(medium: str, others: list[Comparable], exponent: str | None, refusal: type[Refusal], pointer: str) -> None:
    with pytest.raises(refusal) as declined:
        find_positions(OIL, medium, [mine(400, "1")], others, D(exponent) if exponent else None, ON)
    assert declined.value.pointer == pointer


def test_media_without_a_size_are_refused() -> None:
    rules = load_book(RULES).in_force("weftanderel", ON)
    with pytest.raises(OutOfRange) as declined:
        find_positions(rules, "loom-study", [mine(400, "1")], FIVE, D(1), ON)
    assert declined.value.pointer == "/medium"


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 3000), st.sampled_from([True, False, None])), min_size=1, max_size=40), st.integers(1, 3000))
def test_at_one_size_all_is_scipys(rows: list[tuple[int, bool | None]], price: int) -> None:
    others = [seen(str(i), 400, str(p), sold) for i, (p, sold) in enumerate(rows)]
    (own,) = positions([mine(400, str(price))], others, "0.7").own
    asked = [p for p, _ in rows]
    assert float(own.percentile) == pytest.approx(stats.percentileofscore(asked, price, kind="mean"), abs=0.006)
    assert [float(q.price.amount) for q in own.quantiles] == pytest.approx(
        [stats.scoreatpercentile(asked, q.percent) for q in own.quantiles], abs=0.0051
    )
    assert sum(third.known for third in own.thirds) == sum(sold is not None for _, sold in rows)
    assert sum(third.sold_count for third in own.thirds) == sum(sold is True for _, sold in rows)
    assert all(a.to_price.amount < b.from_price.amount for a, b in zip(own.thirds, own.thirds[1:]))
    for third in own.thirds:
        if third.known:
            band = stats.binomtest(third.sold_count, third.known).proportion_ci(0.95, method="wilson")
            got = (float(third.sold_low_percent), float(third.sold_high_percent))
            assert got == pytest.approx((100 * band.low, 100 * band.high), abs=0.006)


def test_a_price_at_the_end_of_a_third_belongs_to_the_lower_one() -> None:
    """Of 100 200 300 400 a third lies at the second, two thirds at the third."""
    (own,) = positions([mine(400, "1")], [seen(p, 400, p) for p in ("100", "200", "300", "400")], "1").own
    assert [(str(t.from_price.amount), str(t.to_price.amount)) for t in own.thirds] == [
        ("100.00", "200.00"), ("300.00", "300.00"), ("400.00", "400.00")]  # fmt: skip
