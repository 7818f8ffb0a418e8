"""Who is owed what of the money that came in: the member first, payments taken off, and the laws under any terms."""

from datetime import date
from decimal import Decimal as D

from hypothesis import given
from hypothesis import strategies as st
from tests.engine.consigning import APRIL, ON, consigned, dues, euro, figures, prices, state_of, work
from tests.engine.terms import rule_sets, rules_of

from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.dues import ORDER, OutletPayment
from evenhang.engine.rules import Commission, MarkUp, Outlet, PaymentFee, Purchase, RuleSet, TaxIncluded


def test_who_is_paid_first_of_a_part() -> None:
    """1,100 with 10 % tax, 40 %, 5 % levy, a fee of 22 the house bears: 550, tax 100, collective 28, provider 22, outlet 400.

    The member first (California Civil Code, s. 1738.6(d), read), then the others in the order of the statement.
    """
    rules = rules_of(Outlet("O", Commission(D(40)), payment_fee=PaymentFee("house", D(2))), tax=TaxIncluded(D(10)), levy_percent=D(5))
    for received, wanted in [
        ("500.00", ["500.00", "0.00", "0.00", "0.00"]),
        ("600.00", ["550.00", "50.00", "0.00", "0.00"]),
        ("660.00", ["550.00", "100.00", "10.00", "0.00"]),
        ("690.00", ["550.00", "100.00", "28.00", "12.00"]),
        ("1100.00", ["550.00", "100.00", "28.00", "22.00"]),
    ]:
        found = state_of(rules, work("x", 1100, sold_on=APRIL, received=euro(received)))
        assert [figures(due, "due")[0] for due in found.dues] == wanted
        assert [due.rank for due in found.dues] == [1, 2, 3, 4]
        assert figures(found.works[0], "received", "due", "proceeds") == [received, wanted[0], "550.00"]
    assert (found.paid_first.place, found.paid_first.known) == ("California", "read")
    assert "1738.6" in found.paid_first.source


def test_payments_and_the_balance() -> None:
    """600 owed: 250 and 400 paid are 50 too much; a levy of 20 goes to the collective, of which 5 are paid."""
    rules = rules_of(Outlet("O", Commission(D(38))), levy_percent=D(2))
    paid = (OutletPayment(APRIL, euro(250)), OutletPayment(ON, euro(400)), OutletPayment(ON, euro(5), "collective"))
    found = state_of(rules, work("x", 1000, sold_on=APRIL), payments=paid)
    assert dues(found)["member"] == ["600.00", "650.00", "-50.00"]
    assert dues(found)["collective"] == ["20.00", "5.00", "15.00"]


def test_a_payment_that_does_not_count_says_why() -> None:
    rules = rules_of(Outlet("O", Commission(D(40))))
    paid = (
        OutletPayment(ON, euro(5, "JPY")),
        OutletPayment(date(2026, 5, 2), euro(5)),
        OutletPayment(ON, euro("5.001")),
        OutletPayment(ON, euro(7)),
    )
    found = state_of(rules, work("x", 1000, sold_on=APRIL), payments=paid)
    assert [row.reason and row.reason.pointer for row in found.payments] == [
        "#/payments/0/amount/currency", "#/payments/1/paid_on", "#/payments/2/amount/amount", None,
    ]  # fmt: skip
    assert dues(found)["member"] == ["600.00", "7.00", "593.00"]


def test_a_negative_share_of_the_outlet_shortens_nobody() -> None:
    """No commission and a fee of 30 that the outlet bears: with all paid, member 1,000 and provider 30 are due."""
    rules = rules_of(Outlet("O", MarkUp(D(0)), payment_fee=PaymentFee("outlet", D(3))))
    found = state_of(rules, work("x", 1000, sold_on=APRIL))
    assert (dues(found)["member"][0], dues(found)["payment-provider"][0]) == ("1000.00", "30.00")
    assert figures(found.works[0], "outlet_share") == ["-30.00"]


@given(rule_sets(), consigned())
def test_with_all_paid_everybody_is_due_its_share(rules: RuleSet, works: list[ConsignedWork]) -> None:
    sold = [item for item in works if item.state == "sold"]
    found = state_of(rules, *sold)
    for due in found.dues:
        shares = (share.amount.amount for row in found.works for share in row.shares if share.party == due.party)
        assert due.due.amount == sum(shares, D(0))


@given(rule_sets(), prices, st.decimals(D(0), D(1), places=3), st.decimals(D(0), D(1), places=3))
def test_of_a_part_the_member_is_paid_first_and_more_never_means_less(rules: RuleSet, price: D, one: D, other: D) -> None:
    whole = state_of(rules, work("x", price, sold_on=APRIL)).works[0]
    if isinstance(rules.rules.outlets["a"].terms, Purchase) or whole.buyer_pays is None or whole.proceeds is None:
        return
    unit = D(1).scaleb(whole.buyer_pays.amount.as_tuple().exponent)
    outcomes = []
    for part in sorted((one, other)):
        received = (whole.buyer_pays.amount * part).quantize(unit)
        found = state_of(rules, work("x", price, sold_on=APRIL, received=euro(received, rules.outlet_currency("a"))))
        amounts = {due.party: due.due.amount for due in found.dues}
        assert amounts["member"] >= min(whole.proceeds.amount, received)
        outcomes.append([amounts[party] for party in ORDER])
    assert all(less <= more for less, more in zip(*outcomes, strict=True))
