"""Published figures of commission as a consignment list shows them, each with its source. Arithmetic, not advice."""

from datetime import date
from decimal import Decimal as D

import pytest

from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.consignment import consign
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import Commission, MarkUp, Medium, Outlet, Rules, RuleSet
from evenhang.engine.schedules import Flat

ON = date(2026, 5, 1)


def listed(terms: Commission | MarkUp, price: str) -> tuple[str, str]:
    """What the outlet and the member get of a work at that price."""
    rules = Rules("M", "EUR", {"oil": Medium("Oil", "area", Flat(D(1)))}, {"o": Outlet("O", terms)}, ("o",))
    made = RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))
    row = consign(made, lambda _: made, "o", (ConsignedWork("x", GivenMoney(Amount(price), "EUR")),), (), ON).works[0]
    assert row.outlet_share
    assert row.proceeds
    return str(row.outlet_share.amount), str(row.proceeds.amount)


@pytest.mark.parametrize(
    ("price", "percent", "left"),
    [
        ("115", "35", "74.75"),  # printed so (read)
        ("541.67", "40", "325.00"),  # an illustrator's published note (read): 325 wanted at 40 %
        ("17.14", "30", "12.00"),  # craft&design magazine, 2007 (read): 12 wanted at 30 %
        ("800", "50", "400.00"),  # printed so (read): 400 wanted at 50 %
    ],
)
def test_commission(price: str, percent: str, left: str) -> None:
    assert listed(Commission(D(percent)), price)[1] == left


@pytest.mark.parametrize(("percent", "share"), [("33", "248.12"), ("100", "500.00"), ("250", "714.29")])
def test_a_mark_up_as_a_share_of_the_price(percent: str, share: str) -> None:
    """m on net is m / (1 + m) of retail: 33 % -> 24.8 %, 100 % -> 50 %, 250 % -> 71.4 % (range in Artquest, "Gallery commission",
    read; shares computed)."""
    assert listed(MarkUp(D(percent)), "1000")[0] == share
