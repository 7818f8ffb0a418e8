"""Works made to order: stages by pencil and under any terms, published cancellation terms, no private figure in public lines."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.engine.terms import rules_of

from evenhang.api.quotes import public_lines
from evenhang.engine.bespoke import price_bespoke, stages_of
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import NotOffered
from evenhang.engine.rules import (
    BespokeTerms,
    Commission,
    Cost,
    FixedExtra,
    Outlet,
    PaymentStage,
    PercentExtra,
    Rules,
    RuleSet,
    TaxIncluded,
)
from evenhang.engine.sizes import Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost

ON = date(2026, 5, 1)
DOOR = Outlet("Door", Commission(D(0)))


def terms(*percents: str, cancelled: tuple[str, ...] = (), uplift: str = "0", days: int = 30) -> BespokeTerms:
    due = cancelled or ("100",) * len(percents)
    stages = tuple(PaymentStage(f"s{i}", f"S{i}", D(p), D(c)) for i, (p, c) in enumerate(zip(percents, due, strict=True)))
    return BespokeTerms(D(uplift), days, stages)


def amounts(made: BespokeTerms, retail: str, **more: object) -> list[tuple[str, ...]]:
    stages = stages_of(rules_of(DOOR, **more), made, D(retail))
    return [tuple(str(getattr(s, k).amount) for k in ("amount", "paid", "cancelled_due", "still_due", "paid_back")) for s in stages]


def test_stages_and_cancellation_by_pencil() -> None:
    """1,100 at 40/30/30 is 440, 330, 330; cancelled at 25 % is 275, of which 440 were paid: 165 go back; at 50 % 550: 220 go back."""
    assert amounts(terms("40", "30", "30", cancelled=("25", "50", "100")), "1100") == [
        ("440.00", "440.00", "275.00", "0.00", "165.00"),
        ("330.00", "770.00", "550.00", "0.00", "220.00"),
        ("330.00", "1100.00", "1100.00", "0.00", "0.00"),
    ]


def test_the_cent_left_over_goes_to_the_largest_remainder() -> None:
    """100.01 at 33.3/33.3/33.4 is 33.30333, 33.30333, 33.40334: the cent left over is the last one's.

    Its tax of 10 % is 9.09: 3.02697, 3.02697, 3.03606; the two cents left over go to the first two, so 3.03 each.
    """
    made = stages_of(rules_of(DOOR, tax=TaxIncluded(D(10))), terms("33.3", "33.3", "33.4"), D("100.01"))
    assert [str(s.amount.amount) for s in made] == ["33.30", "33.30", "33.41"]
    assert [str(s.tax.amount) for s in made] == ["3.03", "3.03", "3.03"]


def test_cancellation_terms_of_the_association_of_illustrators() -> None:
    """25 % before roughs, 33 % at the amend stage, 100 % when complete (Association of Illustrators, read). Of 1,000."""
    made = amounts(terms("30", "30", "40", cancelled=("25", "33", "100")), "1000")
    assert [row[2] for row in made] == ["250.00", "330.00", "1000.00"]


def test_deposits_of_thirty_to_fifty_percent_may_leave_something_due() -> None:
    """A deposit of 30 % (common practice, no source) and 50 % due on cancellation: 150 are still to be paid of 500."""
    assert amounts(terms("30", "70", cancelled=("50", "100")), "500")[0] == ("150.00", "150.00", "250.00", "100.00", "0.00")


parts = st.lists(st.integers(0, 1000), min_size=1, max_size=8).filter(lambda p: sum(p) > 0)


@given(parts, st.decimals(D("0.01"), D(1_000_000), places=2), st.sampled_from([0, 10, 20]))
def test_stages_sum_to_the_price_and_their_tax_to_its_tax(cuts: list[int], retail: D, tax: int) -> None:
    rules = rules_of(DOOR, tax=TaxIncluded(D(tax)))
    whole = sum(cuts)
    percents = [D(c * 100) / whole for c in cuts]
    made = stages_of(rules, terms(*map(str, percents)), retail)
    assert sum(s.amount.amount for s in made) == retail == made[-1].paid.amount
    assert sum(s.tax.amount for s in made) == (retail * tax / (100 + tax)).quantize(D("0.01"), "ROUND_HALF_UP")
    for stage, percent in zip(made, percents, strict=True):
        assert abs(stage.amount.amount - retail * percent / 100) < D("0.01")
        assert stage.paid.amount - stage.paid_back.amount + stage.still_due.amount == stage.cancelled_due.amount


def orders(uplift: str, costs: dict[str, Cost] | None = None, extras: dict[str, object] | None = None) -> RuleSet:
    base = rules_of(DOOR).rules
    rules: Rules = replace(base, bespoke=terms("100", uplift=uplift), costs=costs or base.costs, extras=extras or {})
    return RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))


def work(**more: object) -> Work:
    return Work("oil", size=Size(Amount("20"), "cm", Amount("30")), **more)


EXTRAS = {"figure": PercentExtra("Figure", D(50)), "edge": FixedExtra("Edge", D(18))}
CHOSEN = (ChosenExtra("figure"), ChosenExtra("edge", 2))


def test_the_uplift_stands_between_the_art_and_its_extras() -> None:
    """600 and 20 % are 720; another figure at 50 % is of 720: 360; two edges at 18 are 36: 1,116."""
    price = price_bespoke(orders("20", extras=EXTRAS), work(extras=CHOSEN), ON).price
    assert [(line.code, str(line.amount.amount)) for line in price.lines] == [
        ("size", "600.00"), ("uplift", "120.00"), ("extra:figure", "360.00"), ("extra:edge", "36.00")]  # fmt: skip
    assert price.retail == price.art == 1116
    assert price.lines[1].rule.path == "bespoke.uplift_percent"
    assert price.lines[1].working == "20 % of 600"


@given(st.integers(0, 300), st.integers(0, 300))
def test_a_larger_uplift_is_never_cheaper_and_none_is_the_ordinary_price(a: int, b: int) -> None:
    low, high = sorted((a, b))
    cheap, dear = (price_bespoke(orders(str(u)), work(), ON).price for u in (low, high))
    assert cheap.retail <= dear.retail
    assert price_bespoke(orders("0"), work(), ON).price.lines == price_work(orders("0"), work(), ON).lines
    assert sum(line.amount.amount for line in dear.lines) == dear.retail


def test_how_long_it_stands() -> None:
    rules = orders("0")
    assert price_bespoke(rules, work(), ON).stands_last_on == date(2026, 5, 31)


def test_no_terms_no_offer() -> None:
    with pytest.raises(NotOffered, match="made to order"):
        price_bespoke(rules_of(DOOR), work(), ON)


def test_a_merged_cost_cannot_be_worked_out_from_the_uplift_beside_it() -> None:
    """Shown apart, 120 at 20 % would tell the art, 600, and so the cost of 77 in the merged line."""
    paid = GivenMoney(Amount("77"), "EUR")
    hidden = {"cast": Cost("Cast", "at_cost")}
    asked = work(extras=CHOSEN, costs=(WorkCost("cast", paid),))
    rules = orders("20", hidden, EXTRAS)
    shown = public_lines(rules, price_bespoke(rules, asked, ON).price, ("uplift", "extra:"))
    assert [(line.code, str(line.amount.amount)) for line in shown] == [("art", "1193.00")]
    open_ = orders("20", {"cast": Cost("Cast", "at_cost", show_at_cost=True)}, EXTRAS)
    shown = public_lines(open_, price_bespoke(open_, asked, ON).price, ("uplift", "extra:"))
    assert [line.code for line in shown] == ["art", "uplift", "extra:figure", "extra:edge", "cost:cast"]
    assert sum(line.amount.amount for line in shown) == 1193
