"""What a price means for its member, by pencil."""

from datetime import date
from decimal import Decimal as D

from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.outcome import Outcome, outcome_of
from evenhang.engine.quote import price_work, settle_everywhere
from evenhang.engine.rules import Commission, Cost, Earning, Medium, Outlet, Rules, RuleSet
from evenhang.engine.schedules import Flat
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work, WorkCost


def outcome(treatment: str) -> Outcome:
    outlets = {"door": Outlet("Door", Commission(D(0))), "hall": Outlet("Hall", Commission(D(40)))}
    costs = {"frame": Cost("Frame", treatment)}  # type: ignore[arg-type]  # one of the four, as a parameter
    media = {"oil": Medium("Oil", "area", Flat(D(1)))}
    rules = Rules("M", "EUR", media, outlets, ("door", "hall"), costs=costs, earning=Earning(D(30), D(10)))
    made = RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))
    frame = WorkCost("frame", GivenMoney(Amount("60"), "EUR"))
    price = price_work(made, Work("oil", size=Size(Amount("20"), "cm", Amount("20")), costs=(frame,), hours=Amount("10")), date(2025, 1, 1))
    return outcome_of(made, price, settle_everywhere(made, price))


def test_at_cost_looks_fair_and_is_not() -> None:
    """460 asked: the hall keeps 40 % of the frame's 60 too, so 24 leak; 276 - 60 = 216 for ten hours."""
    found = outcome("at_cost")
    assert [(leak.code, leak.outlet, str(leak.amount.amount)) for leak in found.leaks] == [("frame", "hall", "24.00")]
    assert (found.worst_outlet, str(found.worst_yield_per_hour.amount)) == ("hall", "21.60")
    assert (found.target_met, found.floor_met) == (False, True)


def test_a_recovered_cost_does_not_leak() -> None:
    """60 / 0.6 = 100 charged, 500 asked: 300 - 60 = 240."""
    found = outcome("recovered")
    assert found.leaks == ()
    assert str(found.worst_earnings.amount) == "240.00"
