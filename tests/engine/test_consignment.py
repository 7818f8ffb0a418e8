"""Consignments: each kind of terms worked with a pencil, and the laws of their sums under any terms."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from tests.engine.consigning import APRIL, LIST, ON, consigned, demo, dues, euro, figures, state_of, work
from tests.engine.terms import rule_sets, rules_of

from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.consignment import ConsignmentSum
from evenhang.engine.money import Amount
from evenhang.engine.refusals import Unknown
from evenhang.engine.rules import Commission, Outlet, RuleSet, TaxOnCommission
from evenhang.engine.works import WorkCost


def test_the_list_that_goes_with_the_works() -> None:
    """40 % of 1,000 and of 250: 400 and 100 to the outlet, 600 and 150 to the member; nothing is owed before a sale."""
    found = state_of(rules_of(Outlet("The gallery", Commission(D(40)))), work("x", 1000, left_on=ON), work("y", 250))
    assert [figures(row, *LIST) for row in found.works] == [["1000.00", "400.00", "600.00", "0.00"], ["250.00", "100.00", "150.00", "0.00"]]
    assert figures(found.sums[0], *LIST) == ["1250.00", "500.00", "750.00", "0.00"]
    assert (found.title, found.terms, found.terms_percent, found.currency) == ("The gallery", "commission", "40", "EUR")
    assert dues(found)["member"] == ["0.00", "0.00", "0.00"]


def test_the_frame_leaves_the_base_where_the_terms_say_so() -> None:
    """940 with 10 % tax is 854.55 net, less the frame of 61: 45 % of 793.55 is 357.10; 20 % on it, 2 % levy (demo's rules)."""
    frame = (WorkCost("frame", euro(61)),)
    found = demo("alder-lane", "quay-gallery", work("x", 940, costs=frame))
    assert figures(found.works[0], *LIST) == ["940.00", "357.10", "408.94", "0.00"]


def test_sold_returned_and_still_there() -> None:
    """The published discount: 10 % on 1,000 at 40 %, both by the same percentage -> 540 / 360 (computed)."""
    rules = rules_of(Outlet("O", Commission(D(40))))
    found = state_of(
        rules, work("x", 1000, sold_on=APRIL, discount_percent=Amount("10")), work("y", 250, returned_on=APRIL), work("z", 300)
    )
    assert [row.state for row in found.works] == ["sold", "returned", "there"]
    assert [total.works for total in found.sums] == [1, 1, 1]
    assert figures(found.works[0], "discount", "buyer_pays", *LIST) == ["100.00", "900.00", "1000.00", "360.00", "540.00", "540.00"]
    assert figures(found.works[1], "listed", "proceeds", "due") == ["250.00", None, None]
    assert dues(found)["member"] == ["540.00", "0.00", "540.00"]


def test_a_mark_up_outlet() -> None:
    """The fair abroad (demo): 940 -> 150,635 -> 151,000 in steps of 1,000; / 1.6 = 94,375, less 2 % of 151,000 = 3,020: 91,355."""
    found = demo("alder-lane", "lantern-fair", work("x", 940), work("y", 151000, "JPY", sold_on=APRIL))
    assert (found.terms, found.terms_percent, found.currency) == ("mark-up", "60", "JPY")
    assert [figures(row, "listed", "proceeds") for row in found.works] == [["151000", "91355"]] * 2
    assert dues(found)["member"] == ["91355", "0", "91355"]


def test_an_outlet_that_buys_outright_owes_at_once() -> None:
    """58 % of what is net of 20 % tax (demo): 240 -> 116 less 4 levy; 120 -> 58 less 2. Sold or not, both are owed; 60 came back."""
    found = demo(
        "bracken-gouge", "museum-counter", work("x", 240, sold_on=APRIL), work("y", 120), work("z", 60, returned_on=APRIL)
    )  # fmt: skip
    assert [figures(row, "proceeds", "due") for row in found.works] == [["112.00", "112.00"], ["56.00", "56.00"], [None, None]]
    assert dues(found)["member"] == ["168.00", "0.00", "168.00"]
    assert dues(found)["collective"] == ["6.00", "0.00", "6.00"]
    assert dues(found)["tax-office"] == ["40.00", "0.00", "40.00"], "of the sold one alone"
    assert any("buys outright" in note for note in found.notes)


def test_recoverable_tax_on_the_commission_is_said() -> None:
    """20 % on a commission of 400 comes back to the member: owed 600, and a sentence that 80 may be kept until then."""
    rules = rules_of(Outlet("O", Commission(D(40)), tax_on_commission=TaxOnCommission(D(20), recoverable=True)))
    found = state_of(rules, work("x", 1000, sold_on=APRIL), work("y", 1000))
    assert dues(found)["member"][0] == "600.00"
    assert any("80.00 EUR" in note for note in found.notes)


def test_sold_works_go_by_the_rules_of_their_day() -> None:
    """The museum paid 55 % until April 2026, then 58 %: of 240 with 40 tax, 110 or 116, less the levy of 4 (demo)."""
    found = demo("bracken-gouge", "museum-counter", work("x", 240, sold_on=date(2026, 3, 31)), work("y", 240, sold_on=date(2026, 4, 1)))
    assert [figures(row, "proceeds") for row in found.works] == [["106.00"], ["112.00"]]
    assert len({row.rules_digest for row in found.works}) == 2


def test_a_statement_after_the_outlet_was_given_up() -> None:
    """The summer tent ended with March 2026 (demo): what it sold is still settled, what is still there has a reason."""
    found = demo("muddlefern", "summer-tent", work("x", 220, sold_on=date(2026, 3, 30)), work("y", 220), work("z", 220, sold_on=APRIL))
    assert (found.title, found.left_out) == ("The summer tent", 2)
    assert figures(found.works[0], "proceeds") == ["146.00"]  # 200 net less 25 % and 2 %
    assert [row.reason and row.reason.pointer for row in found.works] == [None, "#/outlet", "#/outlet"]
    with pytest.raises(Unknown) as refusal:
        demo("muddlefern", "summer-tent", work("y", 220))
    assert refusal.value.pointer == "/outlet"


@given(rule_sets(), consigned())
def test_sums_are_sums_of_rows_and_shares_sum_to_what_is_paid(rules: RuleSet, works: list[ConsignedWork]) -> None:
    found = state_of(rules, *works)
    assert found.left_out == 0
    for total in found.sums:
        rows = [row for row in found.works if row.state == total.state]
        for field in ConsignmentSum.__struct_fields__[2:]:
            amounts = [getattr(row, field).amount for row in rows if getattr(row, field) is not None]
            assert getattr(total, field).amount == sum(amounts, D(0))
    for row in found.works:
        if row.buyer_pays is not None:
            assert sum((share.amount.amount for share in row.shares), D(0)) == row.buyer_pays.amount
    assert found.dues[0].due.amount == sum((total.due.amount for total in found.sums), D(0))


@given(rule_sets(), consigned())
def test_the_order_of_the_works_changes_no_sum(rules: RuleSet, works: list[ConsignedWork]) -> None:
    one, other = state_of(rules, *works), state_of(rules, *reversed(works))
    assert (one.sums, one.dues) == (other.sums, other.dues)
