"""Published figures on sales, each with its source: tax, commission, discounts, fees, wages. Arithmetic, not advice."""

from datetime import date
from decimal import Decimal as D

import pytest

from evenhang.engine.growth import growth
from evenhang.engine.money import to_minor
from evenhang.engine.rules import (
    Commission,
    Cost,
    Discount,
    Increase,
    MarkUp,
    Medium,
    Outlet,
    PaymentFee,
    Rules,
    RuleSet,
    TaxAdded,
    TaxIncluded,
    TaxOnCommission,
)
from evenhang.engine.sale import tax_in
from evenhang.engine.schedules import Flat
from evenhang.engine.settlement import Settlement, settle
from evenhang.engine.target import Target, find_target


def rules_of(outlet: Outlet, **more: object) -> RuleSet:
    media = {"oil": Medium("Oil", "area", Flat(D(1)))}
    return RuleSet("m", Rules("M", "EUR", media, {"o": outlet}, ("o",), **more), {}, "0" * 64, date(2025, 1, 1))


def at(percent: object, **terms: object) -> Outlet:
    return Outlet("O", Commission(D(str(percent))), **terms)


def share(settled: Settlement, party: str) -> str:
    return next(str(s.amount.amount) for s in settled.shares if s.party == party)


def closed(target: Target) -> D:
    """The closed form as it is published, half up to the cent."""
    return to_minor(D(target.closed_form), "EUR")


@pytest.mark.parametrize(("percent", "part", "whole"), [("20", 1, 6), ("5", 1, 21), ("17.5", 7, 47)])
def test_tax_fractions(percent: str, part: int, whole: int) -> None:
    """20 % is 1/6, 5 % is 1/21, 17.5 % is 7/47 of the gross price (UK VAT guidance, read)."""
    assert tax_in(TaxIncluded(D(percent)), D(whole)) == part


@pytest.mark.parametrize(("gross", "percent", "tax"), [("60", "20", "10.00"), ("80", "5", "3.81"), ("235", "17.5", "35.00")])
def test_tax_contained(gross: str, percent: str, tax: str) -> None:
    """60 at 20 % -> 10.00; 80 at 5 % -> 3.81; net 200, tax 35, gross 235 at 17.5 % (UK VAT guidance, read)."""
    assert share(settle(rules_of(at(0), tax=TaxIncluded(D(percent))), "o", D(gross)), "tax-office") == tax


def test_tax_added() -> None:
    """Net 200, tax 35, gross 235 at 17.5 % (UK VAT guidance, read), the other way round."""
    settled = settle(rules_of(at(0), tax=TaxAdded(D("17.5"))), "o", D(200))
    assert (share(settled, "tax-office"), str(settled.buyer_pays.amount), share(settled, "member")) == ("35.00", "235.00", "200.00")


@pytest.mark.parametrize(
    ("percent", "tax"),
    [("5", "47.62"), ("5.5", "52.13"), ("7", "65.42"), ("10", "90.91"), ("13.5", "118.94"), ("20", "166.67"), ("23", "186.99"),
     ("25", "200.00")],
)  # fmt: skip
def test_tax_contained_in_a_thousand(percent: str, tax: str) -> None:
    """tax = gross x r / (100 + r), from 1,000.00 gross (computed)."""
    assert share(settle(rules_of(at(0), tax=TaxIncluded(D(percent))), "o", D(1000)), "tax-office") == tax


TAX_ON_COMMISSION = [("30", "640.00", "1562.50"), ("35", "580.00", "1724.14"), ("40", "520.00", "1923.08"), ("45", "460.00", "2173.91")]


@pytest.mark.parametrize(("percent", "left", "price"), TAX_ON_COMMISSION)
def test_tax_on_commission_is_the_members_cost(percent: str, left: str, price: str) -> None:
    """net = P x (1 - c x (1 + v)), v = 20 %: what 1,000 leaves, and the closed-form price that leaves 1,000
    (computed from a rule that was read)."""
    rules = rules_of(at(percent, tax_on_commission=TaxOnCommission(D(20))))
    assert str(settle(rules, "o", D(1000)).proceeds.amount) == left
    assert closed(find_target(rules, "proceeds", D(1000))) == D(price)


def test_passing_and_failing_just_below_does_not_prove_the_least() -> None:
    """At 40 % with 20 % on it, 1,923.06 already passes and 1,923.07 fails again (computed); 1,923.08 passes with a failing one below."""
    rules = rules_of(at(40, tax_on_commission=TaxOnCommission(D(20))))
    passing = {price: settle(rules, "o", D(price)).proceeds.amount >= 1000 for price in ("1923.05", "1923.06", "1923.07", "1923.08")}
    assert passing == {"1923.05": False, "1923.06": True, "1923.07": False, "1923.08": True}
    found = find_target(rules, "proceeds", D(1000))
    assert (str(found.price.amount), str(found.price_below and found.price_below.amount)) == ("1923.06", "1923.05")


@pytest.mark.parametrize(
    ("net", "percent", "price", "forward"), [(325, 40, "541.67", "541.66"), (12, 30, "17.14", "17.14"), (400, 50, "800.00", "800.00")]
)
def test_the_price_for_a_wanted_net(net: int, percent: int, price: str, forward: str) -> None:
    """net / (1 - c): 325 at 40 % -> 541.67 (an illustrator's published note, read); 12 at 30 % -> 17.14 (craft&design magazine,
    2007, read); 400 at 50 % -> 800.00 (read). Forward, with the commission rounded, 541.66 already leaves 325.00 (computed)."""
    rules = rules_of(at(percent))
    found = find_target(rules, "proceeds", D(net))
    assert (closed(found), str(found.price.amount)) == (D(price), forward)
    assert settle(rules, "o", D(net) * (100 + percent) / 100).proceeds.amount < net  # the classic error: net x (1 + c)


def test_commission_downwards() -> None:
    """115 at 35 % -> 74.75 (read)."""
    assert str(settle(rules_of(at(35)), "o", D(115)).proceeds.amount) == "74.75"


@pytest.mark.parametrize(("percent", "part"), [("33", "24.8"), ("100", "50.0"), ("250", "71.4")])
def test_mark_up_on_net(percent: str, part: str) -> None:
    """m on net is m / (1 + m) of retail: 24.8, 50, 71.4 % (range 33 to 100 % in Artquest, "Gallery commission", read; shares computed)."""
    outlet = D(share(settle(rules_of(Outlet("O", MarkUp(D(percent)))), "o", D(1000)), "outlet"))
    assert str((outlet / 10).quantize(D("0.1"))) == part


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
    settled = settle(rules_of(at(40, discount=discount)), "o", D(1000), D(10))
    assert (share(settled, "member"), share(settled, "outlet")) == (member, outlet)


@pytest.mark.parametrize(("first", "left"), [(False, "600.00"), (True, "640.00")])
def test_the_frame_in_or_out_of_the_base(first: bool, left: str) -> None:
    """Practice differs; an exhibition agreement of Green & Stone, London, leaves the frame out (read). 1,000 with a frame of 100 at
    40 % (computed): 1,000 - 400, or 1,000 - 40 % of 900."""
    rules = rules_of(at(40, frame_first=first), costs={"frame": Cost("Frame", "absorbed", frame=True)})
    assert str(settle(rules, "o", D(1000), costs={"frame": D(100)}).proceeds.amount) == left


@pytest.mark.parametrize(
    ("net", "percent", "fixed", "price", "forward"),
    [("100", "2.9", "0.30", "103.30", "103.30"), ("1000", "2.9", "0.30", "1030.18", "1030.17"), ("250", "1.5", "0.20", "254.01", "254.01")],
)
def test_a_fee_of_a_percentage_and_a_fixed_part(net: str, percent: str, fixed: str, price: str, forward: str) -> None:
    """(N + f) / (1 - p), half up (computed); forward the fee is rounded, and 1,030.17 already leaves 1,000 (computed)."""
    rules = rules_of(at(0, payment_fee=PaymentFee("member", D(percent), D(fixed))))
    found = find_target(rules, "proceeds", D(net))
    assert (closed(found), str(found.price.amount)) == (D(price), forward)


def test_hours_at_a_wage() -> None:
    """Scottish Artists Union 2021: 23.00 an hour, 23.00 x 4 h = 92.00 printed (read)."""
    assert str(find_target(rules_of(at(0)), "yield", D(23), hours=D(4)).price.amount) == "92.00"


def test_half_day_grown_by_years() -> None:
    """CARFAC half day, Canada: 316 in 2020, 2 % a year to 2023, then 8 %: printed 362 for 2024 (read); 362.17 computed unrounded."""
    grown = 316 * growth(Increase(date(2020, 1, 1), D(2), {"2024": D(8)}), date(2024, 1, 1))
    assert str(grown.quantize(D("0.01"))) == "362.17"
