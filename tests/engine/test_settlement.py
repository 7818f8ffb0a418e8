"""Settlements: published figures, and the law that shares sum to what the buyer paid."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.engine.rules import (
    Commission,
    Discount,
    MarkUp,
    Medium,
    NoTax,
    Outlet,
    PaymentFee,
    Purchase,
    Rules,
    RuleSet,
    TaxAdded,
    TaxIncluded,
    TaxOnCommission,
)
from evenhang.engine.schedules import Flat
from evenhang.engine.settlement import recovering_price, settle


def rules_of(outlet: Outlet, **more: object) -> RuleSet:
    media = {"oil": Medium("Oil", "area", Flat(D(1)))}
    return RuleSet("m", Rules("M", "EUR", media, {"o": outlet}, ("o",), **more), {}, "0" * 64, date(2025, 1, 1))


def share(settled: object, party: str) -> str:
    return next(str(s.amount.amount) for s in settled.shares if s.party == party)


@pytest.mark.parametrize(("percent", "left"), [(30, "640.00"), (35, "580.00"), (40, "520.00"), (45, "460.00")])
def test_tax_on_commission_is_the_members_cost(percent: int, left: str) -> None:
    """net = P x (1 - c x (1 + v)) at P = 1,000 and v = 20 % (computed from a rule that was read)."""
    outlet = Outlet("O", Commission(D(percent)), tax_on_commission=TaxOnCommission(D(20)))
    assert str(settle(rules_of(outlet), "o", D(1000)).proceeds.amount) == left


@pytest.mark.parametrize(
    ("discount", "member", "outlet"),
    [
        (Discount("both"), "540.00", "360.00"),
        (Discount("split", D(50)), "550.00", "350.00"),
        (Discount("split", D(0)), "600.00", "300.00"),
        (Discount("split", D(100)), "500.00", "400.00"),
    ],
)
def test_who_bears_a_discount(discount: Discount, member: str, outlet: str) -> None:
    """10 % off 1,000 at 40 % commission (computed)."""
    settled = settle(rules_of(Outlet("O", Commission(D(40)), discount=discount)), "o", D(1000), D(10))
    assert (share(settled, "member"), share(settled, "outlet")) == (member, outlet)


@pytest.mark.parametrize(("percent", "tax"), [("5", "47.62"), ("5.5", "52.13"), ("13.5", "118.94"), ("20", "166.67"), ("25", "200.00")])
def test_tax_contained_in_a_price(percent: str, tax: str) -> None:
    """tax = gross x r / (100 + r), from 1,000.00 (UK VAT guidance for the fractions, read; figures computed)."""
    settled = settle(rules_of(Outlet("O", Commission(D(0))), tax=TaxIncluded(D(percent))), "o", D(1000))
    assert share(settled, "tax-office") == tax


def test_commission_downwards() -> None:
    """115 at 35 % -> 74.75 (read)."""
    assert str(settle(rules_of(Outlet("O", Commission(D(35)))), "o", D(115)).proceeds.amount) == "74.75"


@pytest.mark.parametrize(("percent", "outlet"), [("33", "24.81"), ("100", "50.00"), ("250", "71.43")])
def test_mark_up_on_net(percent: str, outlet: str) -> None:
    """m on net is m / (1 + m) of retail: 24.8, 50, 71.4 % (Artquest, "Gallery commission", read; shares computed)."""
    assert share(settle(rules_of(Outlet("O", MarkUp(D(percent)))), "o", D(100)), "outlet") == outlet


def test_the_floor_of_the_base_is_said() -> None:
    settled = settle(rules_of(Outlet("O", Commission(D(10)), discount=Discount("split", D(0)))), "o", D(100), D(50))
    assert (share(settled, "member"), "falls on the member" in settled.note) == ("50.00", True)


percents = st.decimals(D(0), D(40), places=2)
terms = st.one_of(st.builds(Commission, percents), st.builds(MarkUp, percents), st.builds(Purchase, st.decimals(D(10), D(90), places=2)))
outlets = st.builds(
    Outlet,
    title=st.just("O"),
    terms=terms,
    commission_base=st.sampled_from(["net", "gross"]),
    frame_first=st.booleans(),
    tax_on_commission=st.none() | st.builds(TaxOnCommission, percents, st.booleans()),
    payment_fee=st.none()
    | st.builds(PaymentFee, st.sampled_from(["member", "outlet", "house"]), st.decimals(D(0), D(5), places=2), st.just(D("0.25"))),
    discount=st.builds(Discount, st.sampled_from(["both", "split"]), percents, percents, st.sampled_from(["outlet", "member"])),
)
taxes = st.one_of(st.just(NoTax()), st.builds(TaxIncluded, percents), st.builds(TaxAdded, percents))


@given(outlets, taxes, percents, st.decimals(D(1), D(10**6), places=2), percents)
def test_shares_sum_to_what_the_buyer_paid(outlet: Outlet, tax: object, levy: D, listed: D, discount: D) -> None:
    settled = settle(rules_of(outlet, tax=tax, levy_percent=levy / 10), "o", listed, discount)
    assert sum(s.amount.amount for s in settled.shares) == settled.buyer_pays.amount


@given(st.decimals(D(0), D(60), places=1), taxes, st.decimals(D(1), D(500), places=2))
def test_a_recovered_cost_comes_back(commission: D, tax: object, cost: D) -> None:
    rules = rules_of(Outlet("O", Commission(commission)), tax=tax)
    added, _ = recovering_price(rules, cost, frame=False)
    before, after = (settle(rules, "o", D(1000) + more).proceeds.amount for more in (D(0), added))
    # Each settlement rounds tax and commission once: half a cent each, twice.
    assert after - before >= cost - D("0.02")
