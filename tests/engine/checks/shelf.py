"""A small member and its works, for tests of the checks that a pencil can follow: one unit of price per cm2."""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal as D
from functools import partial
from typing import Any

from hypothesis import strategies as st

from evenhang.engine.checks.catalogue import CatalogueWork, EditionNumber
from evenhang.engine.checks.check import Checked, check_catalogue
from evenhang.engine.checks.entries import Entry, read_entry
from evenhang.engine.checks.findings import Finding
from evenhang.engine.checks.slack import grid_of
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import (
    BudgetBand,
    Commission,
    Cost,
    Earning,
    Exchange,
    Medium,
    Outlet,
    Rounding,
    Rules,
    RuleSet,
    Step,
    TaxOnCommission,
)
from evenhang.engine.schedules import Flat
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work, WorkCost

ON = date(2026, 5, 1)
FINE = Rounding((Step(D("0.01")),))
TENS = Rounding((Step(D(10)),))
HOUSE = Rounding((Step(D(5), D(200)), Step(D(10), D(1000)), Step(D(50))))
UP = Rounding((Step(D(5), D(500)), Step(D(20))), "up")
FALLING = Rounding((Step(D(20), D(100)), Step(D(5), D(200)), Step(D(10))))  # allowed: each limit is a multiple of its neighbours' steps
GRIDS = (FINE, TENS, HOUSE, UP, FALLING)


def member(rounding: Rounding = FINE, **more: Any) -> RuleSet:
    """Sells at its own door, in a hall that keeps 40 %, and in yen at 160 to the euro; frames go on at cost."""
    outlets = {
        "door": Outlet("Door", Commission(D(0))),
        "hall": Outlet("Hall", Commission(D(40)), tax_on_commission=TaxOnCommission(D(0))),
        "abroad": Outlet("Abroad", Commission(D(20)), currency="JPY"),
    }
    base: dict[str, Any] = {
        "costs": {"frame": Cost("Frame", "at_cost"), "paint": Cost("Paint", "absorbed")},
        "fx": {"JPY": Exchange(D(160), date(2025, 1, 1), Rounding((Step(D(500)),)))},
        "earning": Earning(D(30), D(20)),
        "rounding": rounding,
        "bands": (BudgetBand("small", D(100)), BudgetBand("large")),
    }
    rules = Rules("M", "EUR", {"oil": Medium("Oil", "area", Flat(D(1)))}, outlets, tuple(outlets), **{**base, **more})
    return RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))


def work(
    name: str, height: str, price: str, width: str = "10", frame: str | None = None, hours: str | None = None, **more: Any
) -> CatalogueWork:
    """An oil of height x width cm at a price, with a frame at that cost."""
    costs = () if frame is None else (WorkCost("frame", GivenMoney(Amount(frame), "EUR")),)
    made = Work("oil", size=Size(Amount(height), "cm", Amount(width)), costs=costs, hours=Amount(hours) if hours else None)
    return CatalogueWork(name, made, GivenMoney(Amount(price), "EUR"), **more)


def numbered(name: str, number: int, price: str, **more: Any) -> CatalogueWork:
    return work(name, "20", price, edition=EditionNumber("Run", number), **more)


def checked(rules: RuleSet, *works: CatalogueWork, rules_on: Callable[[date], RuleSet] | None = None, **more: Any) -> Checked:
    return check_catalogue(rules, rules_on or (lambda _: rules), works, ON, **more)


def found(rules: RuleSet, code: str, *works: CatalogueWork, **more: Any) -> list[Finding]:
    """The findings of one code, without the notes on what could not be looked for."""
    return [f for f in checked(rules, *works, **more).findings if f.code == code]


def entries_of(rules: RuleSet, works: Sequence[CatalogueWork]) -> list[Entry]:
    read = partial(read_entry, rules, lambda _: rules, grid_of(rules.rounding("EUR")))
    return [read(item, at, ON) for at, item in enumerate(works)]


@st.composite
def shelves(
    draw: st.DrawFn, most: int = 8, framed: bool = True, states: tuple[str, ...] = ("for-sale", "for-sale", "reserved")
) -> list[CatalogueWork]:
    """Works of few sizes and prices, so that they get in one another's way."""
    frames = st.sampled_from([None, None, "7.50", "33.00"]) if framed else st.none()
    rows = draw(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 60), frames, st.sampled_from(states)), min_size=1, max_size=most))
    cents = draw(st.sampled_from(["{}.00", "{}0.00", "{}5.00", "{}7.25"]))
    return [work(f"w{i}", str(size), cents.format(price), frame=frame, state=state) for i, (size, price, frame, state) in enumerate(rows)]
