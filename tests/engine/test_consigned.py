"""One consigned work: every way in which its row can be wrong, one at a time, without harm to the others."""

from datetime import date
from decimal import Decimal as D

import pytest
from tests.engine.consigning import APRIL, ON, demo, euro, state_of, work
from tests.engine.terms import rules_of

from evenhang.engine.consigned import ConsignedWork
from evenhang.engine.consignment import consign
from evenhang.engine.money import Amount
from evenhang.engine.rules import Commission, Outlet, Purchase
from evenhang.engine.works import WorkCost

BAD = [
    (work("x", 10), "contradictory-request", "/id"),
    (work("b1", 10, sold_on=APRIL, returned_on=APRIL), "contradictory-request", "/returned_on"),
    (work("b2", 10, sold_on=date(2026, 5, 2)), "contradictory-request", "/sold_on"),
    (work("b3", 10, returned_on=date(2026, 5, 2)), "contradictory-request", "/returned_on"),
    (work("b4", 10, left_on=date(2026, 5, 2)), "contradictory-request", "/left_on"),
    (work("b5", 10, left_on=ON, sold_on=APRIL), "contradictory-request", "/sold_on"),
    (work("b6", 10, left_on=ON, returned_on=APRIL), "contradictory-request", "/returned_on"),
    (work("b7", 10, discount_percent=Amount("5")), "contradictory-request", "/discount_percent"),
    (work("b8", 10, received=euro(5)), "contradictory-request", "/received"),
    (work("b9", 10, sold_on=APRIL, received=euro("10.01")), "out-of-range", "/received/amount"),
    (work("b10", 10, sold_on=APRIL, received=euro(5, "USD")), "contradictory-request", "/received/currency"),
    (work("b11", 10, sold_on=APRIL, discount_percent=Amount("101")), "out-of-range", "/discount_percent"),
    (work("b12", 10, "USD"), "contradictory-request", "/price/currency"),
    (work("b13", 0), "out-of-range", "/price/amount"),
    (work("b14", 10, costs=(WorkCost("frame"),)), "missing-figure", "/costs/0/amount"),
    (work("b15", 10, costs=(WorkCost("crate", euro(5)),)), "unknown-name", "/costs/0/name"),
]


@pytest.mark.parametrize(("bad", "code", "pointer"), BAD, ids=[item.id for item, *_ in BAD])
def test_one_bad_work_never_sinks_the_rest(bad: ConsignedWork, code: str, pointer: str) -> None:
    rules = rules_of(Outlet("O", Commission(D(40))))
    good = work("x", 1000, sold_on=APRIL)
    alone, found = state_of(rules, good), state_of(rules, good, bad)
    row = found.works[1]
    assert row.reason is not None
    assert (row.reason.code, row.reason.pointer, row.listed, row.shares) == (code, f"#/works/1{pointer}", None, ())
    assert (found.sums, found.dues, found.left_out) == (alone.sums, alone.dues, 1)


def test_before_the_first_rules_and_beside_a_purchase() -> None:
    early = demo("alder-lane", "studio", work("x", 10, sold_on=date(2024, 12, 31))).works[0].reason
    bought = state_of(rules_of(Outlet("O", Purchase(D(50)))), work("x", 10, sold_on=APRIL, received=euro(5))).works[0].reason
    assert early is not None
    assert bought is not None
    assert (early.code, early.pointer, bought.pointer) == ("no-rules-in-force", "#/works/0/sold_on", "#/works/0/received")


def test_an_outlet_that_changed_its_currency_has_a_statement_for_each() -> None:
    now, then = rules_of(Outlet("O", Commission(D(40)))), rules_of(Outlet("O", Commission(D(40)), currency="JPY"))
    found = consign(now, lambda _: then, "a", (work("x", 10, sold_on=APRIL),), (), ON)
    assert found.works[0].reason is not None
    assert found.works[0].reason.pointer == "#/works/0/sold_on"
