"""Mended lists: clean when checked again, on the grid, the lowest raises by brute force, isotonic regression by another hand."""

from itertools import combinations, product

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression
from tests.engine.checks.shelf import FALLING, FINE, GRIDS, HOUSE, ON, TENS, UP, checked, entries_of, member, numbered, shelves, work
from tests.engine.checks.test_order import contradict

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.entries import Entry, relisted
from evenhang.engine.checks.mending import MendedList, least_change, raise_only
from evenhang.engine.checks.slack import grid_of
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.quote import price_work
from evenhang.engine.rounding import next_below, on_grid
from evenhang.engine.rules import Rounding

BOTH = ("raise-only", "least-change")


def mended(rounding: Rounding, works: list[CatalogueWork], kind: str) -> MendedList:
    return checked(member(rounding), *works, mend=(kind,)).mended[0]


def applied(works: list[CatalogueWork], change: MendedList) -> list[CatalogueWork]:
    prices = {c.id: c.mended.amount for c in change.changes}
    return [msgspec.structs.replace(w, price=GivenMoney(Amount(prices.get(w.id, w.price.amount)), "EUR")) for w in works]


@settings(deadline=None, max_examples=150)
@given(st.sampled_from(GRIDS), shelves(), st.sampled_from(BOTH))
def test_a_mended_list_checks_clean_but_for_the_unmendable(rounding: Rounding, works: list[CatalogueWork], kind: str) -> None:
    change = mended(rounding, works, kind)
    after = applied(works, change)
    entries = {entry.id: entry for entry in entries_of(member(rounding), after)}
    blamed = [pair for pair in combinations(entries.values(), 2) if contradict(*pair)]
    # Whatever contradicts still does so with a reserved work, and is listed.
    assert all("reserved" in (a.item.state, b.item.state) for a, b in blamed)
    listed = {name for stuck in change.unmendable for name in stuck.works}
    assert {large.id for a, b in blamed for large in [max(a, b, key=lambda e: e.key)] if a.key != b.key} <= listed
    assert bool(blamed) == bool(change.unmendable)
    assert all(stuck.reserved for stuck in change.unmendable)
    for item in after:
        assert item.state == "reserved" or on_grid(rounding, item.price.amount)
    assert all(entries[c.id].item.state != "reserved" for c in change.changes)
    # Where a reserved price off the grid leaves something unmendable, a second mending may still move what is beside it.
    assert change.unmendable or mended(rounding, after, kind).changes == ()


@settings(deadline=None, max_examples=100)
@given(st.sampled_from(GRIDS), shelves())
def test_raises_never_lower_a_price_and_sums_add_up(rounding: Rounding, works: list[CatalogueWork]) -> None:
    change = mended(rounding, works, "raise-only")
    assert all(c.mended.amount > c.listed.amount and c.way == "raise" for c in change.changes)
    assert change.raised.amount == sum(c.mended.amount - c.listed.amount for c in change.changes)
    assert (change.raises, change.cuts, change.taken_off.amount) == (len(change.changes), 0, 0)


@settings(deadline=None, max_examples=100)
@given(st.sampled_from(GRIDS), shelves(), st.sampled_from(BOTH))
def test_a_list_priced_by_its_rules_is_left_alone(rounding: Rounding, works: list[CatalogueWork], kind: str) -> None:
    rules = member(rounding)
    priced = [msgspec.structs.replace(w, price=GivenMoney(Amount(price_work(rules, w.work, ON).retail), "EUR")) for w in works]
    found = checked(rules, *priced, mend=(kind,))
    assert found.contradicting_pairs == 0
    assert found.mended[0].changes == found.mended[0].unmendable == ()


def clean(entries: list[Entry]) -> bool:
    return not any(contradict(a, b) for a, b in combinations(entries, 2))


@settings(deadline=None, max_examples=60)
@given(shelves(most=4, states=("for-sale",)))
def test_brute_force_finds_no_lower_raises(works: list[CatalogueWork]) -> None:
    """Every list of grid prices from the listed one up to the mended one, on a grid of tens: of the clean ones none is lower anywhere."""
    rules = member(TENS)
    grid = grid_of(TENS)
    before = entries_of(rules, works)
    after = {entry.id: entry for entry in raise_only(before, TENS)}
    ladders = []
    for entry in before:
        rungs = [after[entry.id].listed]
        while rungs[-1] - 10 >= entry.listed:
            rungs.append(rungs[-1] - 10)
        ladders.append(rungs[:9] if len(before) > 3 else rungs[:25])
    lists = [[relisted(e, p, grid) for e, p in zip(before, prices, strict=True)] for prices in product(*ladders)]
    assert [[e.listed for e in one] for one in lists if clean(one)] == [[after[e.id].listed for e in before]]


one_step = st.tuples(st.sampled_from([FINE, TENS]), shelves(most=7, states=("for-sale",)))
many_steps = st.tuples(st.sampled_from([HOUSE, UP, FALLING]), shelves(most=7, framed=False, states=("for-sale",)))


@settings(deadline=None, max_examples=100)
@given(one_step | many_steps)
def test_no_single_raise_can_be_a_step_smaller(case: tuple[Rounding, list[CatalogueWork]]) -> None:
    """Where steps differ and costs do too this is not promised: a higher price has more slack, so that one raise can spare another."""
    rounding, works = case
    grid = grid_of(rounding)
    before = {entry.id: entry for entry in entries_of(member(rounding), works)}
    after = raise_only(before.values(), rounding)
    for i, entry in enumerate(after):
        lower = next_below(rounding, entry.listed)
        if lower is not None and lower >= before[entry.id].listed:
            assert not clean([*after[:i], relisted(entry, lower, grid), *after[i + 1 :]])


@settings(deadline=None, max_examples=100)
@given(shelves(most=12, framed=False, states=("for-sale",)))
def test_least_change_is_isotonic_regression(works: list[CatalogueWork]) -> None:
    """scipy.optimize.isotonic_regression over the sizes, each weighed by its works: equal to half a cent."""
    entries = entries_of(member(FINE), works)
    sizes = sorted({entry.key for entry in entries})
    by_size = [[float(e.art) for e in entries if e.key == size] for size in sizes]
    reference = isotonic_regression([sum(v) / len(v) for v in by_size], weights=[len(v) for v in by_size]).x
    for entry in least_change(entries, FINE):
        assert float(entry.listed) == pytest.approx(reference[sizes.index(entry.key)], abs=0.0051)


def test_a_reserved_work_holds_those_around_it() -> None:
    """30 reserved at 200 between 20 at 260 and 40 at 150: raises lift the large one to 260, and 20 against 30 cannot be mended."""
    works = [work("s", "20", "260.00"), work("r", "30", "200.00", state="reserved"), work("l", "40", "150.00")]
    raised = mended(TENS, works, "raise-only")
    assert [(c.id, str(c.mended.amount)) for c in raised.changes] == [("l", "260.00")]
    assert [(u.works, u.reserved) for u in raised.unmendable] == [(("s", "r"), ("r",))]
    least = mended(TENS, works, "least-change")
    assert {c.id: str(c.mended.amount) for c in least.changes} == {"s": "200.00", "l": "200.00"}
    assert least.unmendable == ()


def test_two_reserved_works_that_contradict_are_listed() -> None:
    works = [work("a", "20", "260.00", state="reserved"), work("b", "30", "200.00", state="reserved"), work("c", "40", "300.00")]
    for kind in BOTH:
        change = mended(TENS, works, kind)
        assert (change.changes, [u.works for u in change.unmendable]) == ((), [("a", "b")])


def test_later_numbers_follow_an_edition_that_is_raised() -> None:
    """The print of 20 cm2 is raised to the 150 of a smaller work; number 3 asked 130 and must not fall behind, number 5 asked 160."""
    works = [work("w", "10", "150.00"), numbered("n1", 1, "120.00"), numbered("n3", 3, "130.00"), numbered("n5", 5, "160.00")]
    change = mended(TENS, works, "raise-only")
    assert {c.id: str(c.mended.amount) for c in change.changes} == {"n1": "150.00", "n3": "150.00"}


def test_numbers_that_nobody_compares_are_brought_to_the_grid_all_the_same() -> None:
    works = [numbered("n1", 1, "120.00"), numbered("n2", 2, "121.00"), numbered("s", 3, "122.00", state="sold")]
    changed = {kind: {c.id: str(c.mended.amount) for c in mended(TENS, works, kind).changes} for kind in BOTH}
    assert changed == {"raise-only": {"n2": "130.00"}, "least-change": {"n2": "120.00"}}
