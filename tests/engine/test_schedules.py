"""Schedules forward and back: worked by pencil, and laws over random tables."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.engine.money import money
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.schedules import (
    Band,
    Flat,
    Graduated,
    Point,
    Points,
    Power,
    Stepped,
    curve_of,
    falls_anywhere,
    largest_within,
    on_plateau,
    price_at,
)

STEPPED = curve_of(Stepped((Band(D("2"), D(1000)), Band(D("1.5")))))


@pytest.mark.parametrize(
    ("schedule", "measure", "price"),
    [
        # (50 + 50) x 0.3 x 10 = 300: a published linear rule (checks of size against price, read).
        (Flat(D("3")), "100", "300.00"),
        # 12 x 12 in at 6 an inch of height + width -> 144 (read).
        (Flat(D("6")), "24", "144.00"),
        # 10F at 5,000 is 500 a point, so 30P is 15,000 (glossary after Akoun, La cote de l'amateur, 2006, read).
        (Flat(D("500")), "30", "15000.00"),
        # By pencil: 1000 x 2 + 500 x 1.5.
        (Graduated((Band(D("2"), D(1000)), Band(D("1.5")))), "1500", "2750.00"),
        # By pencil: 1200 x 1.5 = 1800, below 1000 x 2 = 2000: the plateau.
        (Stepped((Band(D("2"), D(1000)), Band(D("1.5")))), "1200", "2000.00"),
        (Stepped((Band(D("2"), D(1000)), Band(D("1.5")))), "2000", "3000.00"),
        # By pencil: 400 x (4 / 1) ^ 0.5.
        (Power(D(400), D(1), D("0.5")), "4", "800.00"),
        # A given point comes back exactly, and the end segment goes on: exponent 0.5 throughout.
        (Points((Point(D(100), D(50)), Point(D(400), D(100)))), "400", "100.00"),
        (Points((Point(D(100), D(50)), Point(D(400), D(100)))), "1600", "200.00"),
    ],
)
def test_worked_prices(schedule: object, measure: str, price: str) -> None:
    assert str(money(price_at(curve_of(schedule), D(measure)), "EUR").amount) == price


def test_plateau_is_named_only_where_it_bites() -> None:
    assert [on_plateau(STEPPED, D(m)) for m in (900, 1000, 1200, 1333, 1334)] == [False, True, True, True, False]


def test_inverse_of_a_plateau_is_its_right_end() -> None:
    assert largest_within(STEPPED, D(2000), D(10**6)) == D("1333.333333")
    assert largest_within(STEPPED, D(2000), D(1200)) == D(1200)
    assert largest_within(curve_of(Flat(D(1), D(50))), D(49), D(100)) is None


def test_measure_0_is_refused_by_power() -> None:
    with pytest.raises(OutOfRange):
        price_at(curve_of(Power(D(400), D(1), D("0.5"))), D(0))


rates = st.decimals(D("0.01"), D(20), places=2)


@st.composite
def tables(draw: st.DrawFn) -> tuple[Band, ...]:
    ends = sorted(draw(st.sets(st.integers(1, 20_000), min_size=0, max_size=6)))
    return (*(Band(draw(rates), D(end)) for end in ends), Band(draw(rates)))


@given(tables(), st.sampled_from([Graduated, Stepped]), st.integers(1, 30_000), st.integers(1, 30_000))
def test_a_larger_work_is_never_cheaper(bands: tuple[Band, ...], kind: type, a: int, b: int) -> None:
    curve = curve_of(kind(bands))
    assert falls_anywhere(curve) is None
    low, high = sorted((D(a), D(b)))
    assert price_at(curve, low) <= price_at(curve, high)


@given(tables(), st.sampled_from([Graduated, Stepped]), st.integers(1, 100_000))
def test_inverse_is_the_largest_that_fits(bands: tuple[Band, ...], kind: type, budget: int) -> None:
    curve = curve_of(kind(bands))
    m = largest_within(curve, D(budget), D(50_000))
    if m is None:
        assert price_at(curve, D("0.000001")) > budget
    else:
        assert price_at(curve, m) <= budget
        assert m == 50_000 or price_at(curve, m + D("0.000002")) > budget


@given(tables(), st.integers(1, 30_000))
def test_stepped_is_the_dearest_of_its_bands(bands: tuple[Band, ...], m: int) -> None:
    """The trade's own definition: max over bands that start at or below m of rate x min(m, end)."""
    start, best = D(0), D(0)
    for band in bands:
        if start <= m:
            best = max(best, band.rate * (min(D(m), band.to) if band.to is not None else D(m)))
        start = band.to if band.to is not None else start
    assert price_at(curve_of(Stepped(bands)), D(m)) == best
