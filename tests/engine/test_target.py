"""Targets: the answer passes, the price below fails, and nothing lower passes, under any terms."""

from decimal import Decimal as D

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.engine.terms import rule_sets, rules_of

from evenhang.engine.money import ZERO
from evenhang.engine.reach import proceeds_lines
from evenhang.engine.refusals import Missing, OutOfRange, Unknown, Unreachable
from evenhang.engine.rounding import next_above, next_below, on_grid
from evenhang.engine.rules import Commission, Discount, Outlet, PaymentFee, Purchase, Rounding, RuleSet, Step
from evenhang.engine.sale import costs_in, listed_in, sell
from evenhang.engine.target import LARGEST, find_target


def passes(rules: RuleSet, price: D, kind: str, wanted: D, discount: D, costs: dict[str, D], hours: D, names: tuple[str, ...]) -> bool:
    """Run forward by the trade's own definition: figures divided by the rate, unrounded, in every outlet."""
    for name in names:
        own = costs_in(rules, costs, name)
        sold = sell(rules, name, listed_in(rules, name, price), discount, own.frame)
        figure = sold.proceeds - (ZERO if kind == "proceeds" else own.total)
        if figure < wanted * rules.rate(sold.currency) * (hours if kind == "yield" else 1):
            return False
    return True


money = st.decimals(D("0.01"), D(900), places=2)


@settings(max_examples=100, deadline=None)
@given(
    rule_sets(), st.sampled_from(["proceeds", "earnings", "yield"]), money, st.just(D(0)) | st.decimals(D(0), D(60), places=1),
    st.dictionaries(st.sampled_from(["frame", "mount"]), st.decimals(D(0), D(300), places=2)), st.decimals(D("0.5"), D(30), places=1),
    st.booleans(),
)  # fmt: skip
def test_the_answer_passes_and_no_lower_price_on_the_grid_does(
    rules: RuleSet, kind: str, wanted: D, discount: D, costs: dict[str, D], hours: D, everywhere: bool
) -> None:
    names = rules.rules.sells_in if everywhere else ("a",)
    frames = {name: costs_in(rules, costs, name).frame for name in names}
    # A discount can leave too little of each further unit; that is asked below.
    assume(all(line.slope > D("0.03") for name in names for line in proceeds_lines(rules, name, discount, frames[name])))
    found = find_target(rules, kind, wanted, None if everywhere else "a", discount, costs, hours)
    asked = (kind, wanted, discount, costs, hours, names)
    price = found.price.amount
    rounding = rules.rounding("EUR")
    assert on_grid(rounding, price)
    assert passes(rules, price, *asked)
    assert all(r.reached for r in found.reached)
    below = next_below(rounding, price)
    assert (found.price_below.amount if found.price_below else None) == below
    assert below is None or not all(r.reached for r in found.reached_below)
    for _ in range(400):  # on a grid of cents about four times the bound on rounding
        if below is None:
            break
        assert not passes(rules, below, *asked), f"{below} passes below {price}"
        below = next_below(rounding, below)


@settings(max_examples=100, deadline=None)
@given(rule_sets(), st.decimals(D(1), D(900), places=2), st.decimals(D(60), D(100), places=1), st.decimals(D(0), D(300), places=2))
def test_what_is_called_unreachable_no_price_reaches(rules: RuleSet, wanted: D, discount: D, frame: D) -> None:
    asked = ("earnings", wanted, discount, {"frame": frame}, D(1), rules.rules.sells_in)
    try:
        found = find_target(rules, "earnings", wanted, None, discount, {"frame": frame})
    except Unreachable:
        price = D(10)
        while price < LARGEST:
            assert not passes(rules, price, *asked)
            price = D(int(price * D("1.07")) // 50 * 50 + 50)
    else:
        assert passes(rules, found.price.amount, *asked)


def door(**terms: object) -> Outlet:
    return Outlet("Door", terms.pop("terms", Commission(D(0))), **terms)


def test_already_met_by_the_lowest_price_on_the_grid() -> None:
    rules = rules_of(door(), rounding=Rounding((Step(D(5)),)))
    found = find_target(rules, "proceeds", D("4.20"))
    assert (str(found.price.amount), found.price_below, found.reached_below) == ("5.00", None, ())
    assert find_target(rules, "proceeds", ZERO).price.amount == 5


def test_the_frame_first_floor_is_met_where_it_holds() -> None:
    """90 % commission on what is over the frame's 100: up to 100 all is the member's, beyond it a tenth. 110 needs 200."""
    rules = rules_of(door(terms=Commission(D(90)), frame_first=True))
    prices = [find_target(rules, "proceeds", D(w), None, ZERO, {"frame": D(100)}).price.amount for w in (40, 100, 110)]
    assert prices[:2] == [40, 100]
    assert D("199.90") < prices[2] <= 200  # a commission rounded down by half a cent is worth five cents of price


def test_the_worst_outlet_sets_the_price_and_compares_in_the_members_currency() -> None:
    """640 / 0.8 = 800 at home; abroad half the price reaches the member, 1,280. But 1,280 x 160.25 = 205,120 is 205,000 yen on
    the grid of 500 and leaves 102,500 / 160.25 = 639.63; 1,290 is 206,500 yen and leaves 644.31."""
    rules = rules_of(door(terms=Commission(D(20))), door(terms=Purchase(D(50)), currency="JPY"), rounding=Rounding((Step(D(10)),)))
    found = find_target(rules, "proceeds", D(640))
    assert (found.outlet, str(found.price.amount), found.closed_form) == ("b", "1290.00", "1280")
    assert [(r.outlet, str(r.listed.amount), r.figure[:6], r.reached) for r in found.reached_below] == [
        ("a", "1280.00", "1024", True), ("b", "205000", "639.62", False)]  # fmt: skip
    assert [r.figure[:6] for r in found.reached] == ["1032", "644.30"]


def test_costs_hours_and_fixed_fee() -> None:
    """20 an hour for 8 hours and a frame of 40 are 200; with a fee of 1.50 and 25 % commission (200 + 1.50) / 0.75 = 268.67."""
    rules = rules_of(door(terms=Commission(D(25)), payment_fee=PaymentFee("member", fixed=D("1.50"))))
    found = find_target(rules, "yield", D(20), "a", ZERO, {"frame": D(40)}, D(8))
    assert found.closed_form == "268.666667"
    assert "(200 + 1.5) / 0.75 = 268.666667" in found.working
    assert found.reached[0].figure == "20"


def test_a_discount_is_part_of_the_sale_asked_about() -> None:
    """10 % off, borne by the outlet alone at 40 %: the member keeps 60 % of the listed price all the same."""
    rules = rules_of(door(terms=Commission(D(40)), discount=Discount("split", ZERO)))
    assert find_target(rules, "proceeds", D(600), None, D(10)).closed_form == "1000"


@pytest.mark.parametrize(
    ("kind", "wanted", "outlet", "discount", "hours", "refusal", "pointer"),
    [
        ("yield", "10", None, "0", None, Missing, "/hours"),
        ("proceeds", "10", "z", "0", None, Unknown, "/outlet"),
        ("proceeds", "10", None, "101", None, OutOfRange, "/discount_percent"),
        ("proceeds", "10", None, "100", None, Unreachable, "/wanted"),
        ("proceeds", "999999999999", None, "0", None, Unreachable, "/wanted"),
        ("yield", "999999999999", None, "0", "100000", Unreachable, "/wanted"),
    ],
)
def test_refusals(kind: str, wanted: str, outlet: str | None, discount: str, hours: str | None, refusal: type, pointer: str) -> None:
    rules = rules_of(door(terms=Commission(D(40))))
    with pytest.raises(refusal) as declined:
        find_target(rules, kind, D(wanted), outlet, D(discount), {}, D(hours) if hours else None)
    assert declined.value.pointer == pointer


def test_a_search_that_rounding_hides_is_declined_in_time() -> None:
    """Of each further unit 0.0001 reaches the member: on a grid of cents rounding alone spans a hundred thousand prices."""
    with pytest.raises(Unreachable, match="rounding hides"):
        find_target(rules_of(door(terms=Commission(D("99.99")))), "proceeds", D(100))


def test_next_above_is_the_grid_walked() -> None:
    assert next_above(Rounding((Step(D(5), D(200)), Step(D(10)))), D(200)) == 210
