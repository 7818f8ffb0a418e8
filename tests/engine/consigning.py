"""Works left at outlets, and statements over them, for the tests of consignments."""

from datetime import date
from decimal import Decimal as D
from typing import Any

from hypothesis import strategies as st

from evenhang.demo import RULES
from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.consignment import Consignment, consign
from evenhang.engine.dues import OutletPayment
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import RuleSet
from evenhang.rulebook.book import load_book

ON = date(2026, 5, 1)
APRIL = date(2026, 4, 20)
BOOK = load_book(RULES)


def euro(amount: object, currency: str = "EUR") -> GivenMoney:
    return GivenMoney(Amount(str(amount)), currency)


def work(name: str, price: object, currency: str = "EUR", **more: Any) -> ConsignedWork:
    return ConsignedWork(name, euro(price, currency), **more)


def state_of(rules: RuleSet, *works: ConsignedWork, payments: tuple[OutletPayment, ...] = (), on: date = ON) -> Consignment:
    return consign(rules, lambda _: rules, "a", works, payments, on)


def demo(member: str, outlet: str, *works: ConsignedWork, on: date = ON) -> Consignment:
    return consign(BOOK.in_force(member, on), lambda day: BOOK.in_force(member, day), outlet, works, (), on)


def figures(entry: Any, *fields: str) -> list[str | None]:
    return [None if getattr(entry, field) is None else str(getattr(entry, field).amount) for field in fields]


def dues(found: Consignment) -> dict[str, list[str]]:
    return {due.party: [str(due.due.amount), str(due.paid.amount), str(due.balance.amount)] for due in found.dues}


LIST = ("listed", "outlet_share", "proceeds", "due")


prices = st.decimals(D(1), D(9999), places=0)


@st.composite
def consigned(draw: st.DrawFn) -> list[ConsignedWork]:
    out = []
    for i in range(draw(st.integers(0, 6))):
        kind = draw(st.sampled_from(["there", "sold", "returned"]))
        days = {"sold": {"sold_on": APRIL}, "returned": {"returned_on": APRIL}}.get(kind, {})
        off = {"discount_percent": Amount(str(draw(st.integers(0, 60))))} if kind == "sold" and draw(st.booleans()) else {}
        out.append(work(f"w{i}", draw(prices), **days, **off))
    return out
