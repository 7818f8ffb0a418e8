"""Sets: the discount by pencil, spread without a lost cent, never more than the single prices, and who bears it."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.engine.terms import rule_sets, rules_of

from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.refusals import NotOffered
from evenhang.engine.rules import Commission, Discount, MarkUp, Outlet, Rounding, RuleSet, SetDiscount, SetTerms, Step
from evenhang.engine.sets import PricedSet, SetWork, percent_off, price_set, settle_set
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work, WorkCost

ON = date(2026, 5, 1)
TENS = Rounding((Step(D(10)),))
TERMS = SetTerms((SetDiscount(2, D(5)), SetDiscount(4, D(10))))
DOOR = Outlet("Door", Commission(D(0)))


def with_sets(made: RuleSet, terms: SetTerms | None) -> RuleSet:
    return RuleSet("m", replace(made.rules, sets=terms), {}, "0" * 64, date(2025, 1, 1))


def sheets(*prices: str, hours: str | None = None, frame: str | None = None) -> list[SetWork]:
    """Works of these areas, at 1 a cm2."""
    costs = (WorkCost("frame", GivenMoney(Amount(frame), "EUR")),) if frame else ()
    worked = Amount(hours) if hours else None
    return [SetWork(f"w{i}", Work("oil", size=Size(Amount(p), "cm", Amount("1")), costs=costs, hours=worked)) for i, p in enumerate(prices)]


def spread(made: PricedSet) -> list[tuple[str, str]]:
    return [(str(row.discount.amount), str(row.price_in_set.amount)) for row in made.offer.works]


def test_the_cent_left_over_goes_to_the_largest_remainder() -> None:
    """5 % of 301.00 are 15.05: 100 x 15.05 / 301 = 5 exactly, 101 x 0.05 = 5.05. 5 % of 100.10 are 5.005, so 5.01: 1.6683 each
    of 33.36..., the two cents left over to the first of the largest remainders."""
    assert spread(price_set(with_sets(rules_of(DOOR), TERMS), sheets("100", "100", "101"), ON)) == [
        ("5.00", "95.00"), ("5.00", "95.00"), ("5.05", "95.95")]  # fmt: skip
    made = price_set(with_sets(rules_of(DOOR), TERMS), sheets("33.37", "33.37", "33.36"), ON)
    # 33.37 x 5.01 / 100.10 = 1.67017, 33.36 x 5.01 / 100.10 = 1.66967: 1.67, 1.67, 1.66 and one cent left, to the last.
    assert spread(made) == [("1.67", "31.70"), ("1.67", "31.70"), ("1.67", "31.69")]
    assert (str(made.offer.singly.amount), str(made.offer.price.amount), made.offer.note) == ("100.10", "95.09", "")


@pytest.mark.parametrize(("works", "percent"), [(1, 0), (2, 5), (3, 5), (4, 10), (50, 10)])
def test_the_discount_by_count(works: int, percent: int) -> None:
    assert percent_off(TERMS, works) == percent


def test_too_few_for_a_discount_says_so() -> None:
    offer = price_set(with_sets(rules_of(DOOR), SetTerms((SetDiscount(3, D(5)),))), sheets("100", "100"), ON).offer
    assert (offer.price, str(offer.discount.amount), "from 3 together" in offer.note) == (offer.singly, "0.00", True)


@pytest.mark.parametrize(("prices", "price"), [(("280", "100"), "360"), (("100", "30"), "120"), (("20", "10"), "30"), (("10", "10"), "20")])
def test_on_the_grid_and_never_dearer_than_singly(prices: tuple[str, str], price: str) -> None:
    """361 to 360; 123.50 to 120; 28.50 to 30; 19 to 20. The last two get nothing off: no grid price lies nearer below."""
    terms = replace(TERMS, total_on_grid=True)
    offer = price_set(with_sets(rules_of(DOOR, rounding=TENS), terms), sheets(*prices), ON).offer
    assert offer.price.amount == D(price) <= offer.singly.amount
    assert "on the grid" in offer.note


def test_a_grid_that_would_lift_the_set_is_held_down() -> None:
    """Below 200 by tens, then by fifties: 190 and 190 are 380; 5 % off are 361, to 350. At 2 % 372.40 would be 350 too,
    and 170 and 160 at 1 % are 326.70, to 350: more than the 330 singly; the grid price below is 300."""
    grid = Rounding((Step(D(10), D(200)), Step(D(50))))
    terms = SetTerms((SetDiscount(2, D(1)),), total_on_grid=True)
    assert price_set(with_sets(rules_of(DOOR, rounding=grid), terms), sheets("170", "160"), ON).offer.price.amount == 300


def test_who_bears_it() -> None:
    """400 at 10 % off and 40 % commission, as published for 1,000 (computed): both 360 x 0.6 = 216; the member alone 360 - 160 = 200."""
    gallery = Outlet("Gallery", Commission(D(40)), discount=Discount("both"))
    for own, left in ((False, "216.00"), (True, "200.00")):
        terms = SetTerms((SetDiscount(2, D(10)),), members_own=own)
        made = with_sets(rules_of(gallery), terms)
        (settled,) = settle_set(made, price_set(made, sheets("300", "100"), ON))
        assert (str(settled.buyer_pays.amount), str(settled.proceeds.amount)) == ("360.00", left)


def test_one_sale_with_all_costs_and_hours() -> None:
    """100 and 24 of frame each, 5 % off 248 is 12.40: 235.60 less 48 is 187.60; in eight hours 23.45."""
    made = with_sets(rules_of(DOOR), TERMS)
    (settled,) = settle_set(made, price_set(made, sheets("100", "100", hours="4", frame="24"), ON))
    assert [str(x.amount) for x in (settled.earnings, settled.yield_per_hour)] == ["187.60", "23.45"]
    untimed = [*sheets("100", hours="4"), replace(sheets("100")[0], id="other")]
    assert settle_set(made, price_set(made, untimed, ON))[0].yield_per_hour is None


def test_where_the_outlet_adds_its_share_the_discount_is_its_affair() -> None:
    """60 % on net: 200 leaves 125, whatever is taken off."""
    made = with_sets(rules_of(Outlet("Fair", MarkUp(D(60)))), TERMS)
    assert str(settle_set(made, price_set(made, sheets("100", "100"), ON))[0].proceeds.amount) == "125.00"


def test_a_work_without_a_price_keeps_the_others_and_leaves_the_set_without_one() -> None:
    bad = [replace(sheets("100")[0], id="x", work=Work("fresco")), *sheets("100", "50"), sheets("70")[0]]
    made = price_set(with_sets(rules_of(DOOR), TERMS), bad, ON)
    rows = made.offer.works
    assert [row.reason and (row.reason.code, row.reason.pointer) for row in rows] == [
        ("unknown-name", "#/works/0/work/medium"), None, None, ("contradictory-request", "#/works/3/id")]  # fmt: skip
    assert [row.price and str(row.price.amount) for row in rows] == [None, "100.00", "50.00", None]
    assert (made.offer.price, made.offer.outlets, made.prices) == (None, (), ())


def test_no_terms_no_set() -> None:
    with pytest.raises(NotOffered):
        price_set(rules_of(DOOR), sheets("100", "100"), ON)


set_terms = st.builds(
    lambda a, b, own, grid: SetTerms((SetDiscount(2, min(a, b)), SetDiscount(4, max(a, b))), own, grid),
    st.decimals(D(0), D(90), places=2), st.decimals(D(0), D(90), places=2), st.booleans(), st.booleans(),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(rule_sets(), set_terms, st.lists(st.decimals(D(1), D(5000), places=2), min_size=2, max_size=8), st.sampled_from([None, "41.50"]))
def test_laws_of_sets(made: RuleSet, terms: SetTerms, areas: list[D], frame: str | None) -> None:
    rules = with_sets(made, terms)
    priced = price_set(rules, sheets(*map(str, areas), frame=frame), ON)
    offer = priced.offer
    for whole, part in (("singly", "price"), ("discount", "discount"), ("price", "price_in_set")):
        assert sum(getattr(row, part).amount for row in offer.works) == getattr(offer, whole).amount
    assert all(0 <= row.price_in_set.amount <= row.price.amount for row in offer.works)
    assert 0 < offer.price.amount <= offer.singly.amount
    for row in offer.works:  # each work gives up its share, to the cent
        assert abs(row.discount.amount - offer.discount.amount * row.price.amount / offer.singly.amount) < D("0.01")
    for settled, outlet in zip(settle_set(rules, priced), offer.outlets, strict=True):
        steps = {step.code: step.amount.amount for step in settled.steps}
        assert (steps["listed"], steps["discount"], steps["sale"]) == (
            outlet.singly.amount, outlet.discount.amount, outlet.price.amount)  # fmt: skip
        assert sum(share.amount.amount for share in settled.shares) == settled.buyer_pays.amount
