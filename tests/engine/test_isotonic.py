"""Pooling adjacent violators against scipy, and the places that are held."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from evenhang.engine.isotonic import Place, mean_of, pool_adjacent_violators


def fitted(places: list[Place]) -> list[D]:
    return [block.value for block in pool_adjacent_violators(places) for _ in range(block.start, block.end)]


@given(st.lists(st.lists(st.decimals(0, 100, places=2), min_size=1, max_size=4), min_size=1, max_size=25))
def test_weighted_regression_is_scipys(groups: list[list[D]]) -> None:
    reference = isotonic_regression([float(sum(g)) / len(g) for g in groups], weights=[len(g) for g in groups]).x
    assert [float(v) for v in fitted([mean_of(g) for g in groups])] == pytest.approx(list(reference), abs=1e-9)


@given(st.lists(st.decimals(0, 100, places=1), min_size=1, max_size=12), st.data())
def test_a_held_place_is_one_of_endless_weight(values: list[D], data: st.DataObject) -> None:
    """scipy with a weight of a hundred million in its stead."""
    at = data.draw(st.integers(0, len(values) - 1))
    places = [Place(D(0), 1, v) if i == at else mean_of([v]) for i, v in enumerate(values)]
    reference = isotonic_regression([float(v) for v in values], weights=[1e8 if i == at else 1 for i in range(len(values))]).x
    assert [float(v) for v in fitted(places)] == pytest.approx(list(reference), abs=1e-4)


def test_held_places_that_fall_are_refused() -> None:
    with pytest.raises(ValueError, match="fall"):
        pool_adjacent_violators([Place(D(0), 1, D(9)), Place(D(0), 1, D(8))])
