"""Sorted passes against all pairs, on small lists: the same count, the nearest dearer one, and everything explained."""

from decimal import Decimal as D
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs
from tests.engine.checks.shelf import GRIDS, entries_of, member, shelves, work

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.entries import Entry, threshold
from evenhang.engine.checks.order import disorder
from evenhang.engine.rules import Rounding


def contradict(a: Entry, b: Entry) -> bool:
    """The definition, for two works: the smaller asks more, or one size asks differently, beyond the slack."""
    small, large = (a, b) if a.key <= b.key else (b, a)
    difference = small.art - large.art
    return (abs(difference) if small.key == large.key else difference) > threshold(a, b)


@settings(deadline=None, max_examples=150)
@given(st.sampled_from(GRIDS), shelves(most=12))
def test_all_pairs_say_the_same(rounding: Rounding, works: list[CatalogueWork]) -> None:
    entries = entries_of(member(rounding), works)
    pairs = [pair for pair in combinations(entries, 2) if contradict(*pair)]
    found = disorder(entries)
    assert found.pairs == len(pairs)
    dearer: dict[str, list[Entry]] = {}
    for a, b in pairs:
        if a.key != b.key:
            small, large = (a, b) if a.key < b.key else (b, a)
            dearer.setdefault(large.id, []).append(small)
    # For each work that asks less than a smaller one, exactly one pair: the nearest such one in size, the dearest of that size.
    assert {i.after.id: (i.before.key, i.before.art) for i in found.inversions} == {
        large: max((small.key, small.art) for small in smalls) for large, smalls in dearer.items()
    }
    assert {u.entries[0].key for u in found.uneven} == {a.key for a, b in pairs if a.key == b.key}


def test_a_frame_hides_what_two_unframed_works_show() -> None:
    """100, 104 framed at 4 (art 100), 105, 109 at one size by tens: frames allow 10, but 105 and 109 both have none."""
    entries = entries_of(member(GRIDS[1]), [work("a", "20", "104.00", frame="4.00"), work("b", "20", "105.00"), work("c", "20", "109.00")])
    found = disorder(entries)
    assert [tuple(e.id for e in u.entries) for u in found.uneven] == [("a", "b", "c")]
    assert found.pairs == 1


def test_a_nearer_work_with_more_slack_does_not_hide_one_further_down() -> None:
    """The framed one of 30 cm2 asks 104 for the art, within 10 of 95; the unframed one of 20 cm2 asks 100, and that counts."""
    works = [work("small", "2", "100.00"), work("framed", "3", "137.00", frame="33.00"), work("large", "4", "95.00")]
    (inversion,) = disorder(entries_of(member(GRIDS[1]), works)).inversions
    assert (inversion.before.id, inversion.after.id) == ("small", "large")


def test_a_hundred_thousand_works_each_cheaper_than_the_one_before() -> None:
    """4,999,950,000 pairs contradict, and 99,999 of them say so: each work with the next smaller one."""
    n = 100_000
    (first,) = entries_of(member(), [work("w", "1", "1.00")])
    entries = [structs.replace(first, key=D(i), art=D(n - i)) for i in range(n)]
    found = disorder(entries)
    assert found.pairs == n * (n - 1) // 2
    assert len(found.inversions) == n - 1
    assert all(i.after.key - i.before.key == 1 for i in found.inversions)
