"""The edges at which a check must not speak, or must: open ends of a rounding, exact powers, formats that tell no size, days to come."""

from datetime import date
from decimal import Decimal as D

import pytest
from msgspec.structs import replace
from tests.engine.checks.shelf import FINE, TENS, checked, found, member, work

from evenhang.engine.checks.catalogue import CatalogueWork, EarlierPrice, OutletListing
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import Exchange, Medium, Rounding, RuleSet, Step
from evenhang.engine.schedules import Listed
from evenhang.engine.works import Work

BOTH = ("raise-only", "least-change")


def abroad(amount: str) -> tuple[OutletListing, ...]:
    return (OutletListing("abroad", GivenMoney(Amount(amount), "JPY")),)


def yen(rate: str, step: str, direction: str) -> RuleSet:
    return member(fx={"JPY": Exchange(D(rate), date(2025, 1, 1), Rounding((Step(D(step)),), direction))})


@pytest.mark.parametrize(
    ("rules", "price", "asked", "undercut"),
    [
        # 105 rounds up to 110 by tens: 100 stands for less than 105, and 110 for 105 to below 115.
        (yen("1", "10", "nearest"), "105.00", "100", True),
        (yen("1", "10", "nearest"), "105.00", "110", False),
        (yen("1", "10", "nearest"), "115.00", "110", True),
        # Up by thousands at 100 yen: 100.00 is 10,000; 11,000 stands for over 100.00, up to 110.00.
        (yen("100", "1000", "up"), "100.00", "11000", True),
        (yen("100", "1000", "up"), "100.01", "11000", False),
        (yen("100", "1000", "up"), "110.00", "11000", False),
    ],
)
def test_the_open_end_of_what_a_rounded_price_stands_for(rules: RuleSet, price: str, asked: str, undercut: bool) -> None:
    findings = found(rules, "outlet-undercut", work("a", "20", price, outlet_prices=abroad(asked)))
    assert bool(findings) is undercut


@pytest.mark.parametrize(("direction", "one_price"), [("up", "EUR\u00a0310.00"), ("nearest", "EUR\u00a0300.00")])
def test_a_dearer_price_abroad_is_mended_by_one_that_is_asked_there(direction: str, one_price: str) -> None:
    """30,000 at 100 yen by thousands: up it stands for over 290.00, to the nearest for 295.00 and more; on a grid of tens."""
    fx = {"JPY": Exchange(D(100), date(2025, 1, 1), Rounding((Step(D(1000 if direction == "nearest" else 500)),), direction))}
    asked = "30000" if direction == "nearest" else "30500"
    (finding,) = found(member(TENS, fx=fx), "outlet-undercut", work("a", "20", "200.00", outlet_prices=abroad(asked)))
    assert one_price in finding.mend
    assert f"Ask {one_price} in door" in finding.mend


@pytest.mark.parametrize(("high", "ratio", "works"), [("900.00", "3", 1), ("2700.00", "3", 2), ("12500.00", "5", 2), ("900.01", "3", 2)])
def test_a_gap_of_exact_powers_needs_no_work_more(high: str, ratio: str, works: int) -> None:
    """Three times three is nine: one work closes the gap of 100 to 900, since only more than three is too far."""
    gap, *_ = found(member(), "missing-rung", work("a", "20", "100.00"), work("b", "90", high), rung_ratio=D(ratio))
    assert gap.mend.count("EUR") == works


@pytest.mark.parametrize("measure", ["piece", "hours"])
def test_listed_formats_that_tell_no_size_are_compared_within_their_format(measure: str) -> None:
    rules = member(FINE)
    book = Medium("Book", measure, Listed({"a5": D(85), "a4": D(130), "10f": D(150)}))
    rules = RuleSet("m", replace(rules.rules, media={"book": book}), {}, "0" * 64, date(2025, 1, 1))

    def copy(name: str, form: str, price: str) -> CatalogueWork:
        return CatalogueWork(name, Work("book", format=form, hours=Amount(9)), GivenMoney(Amount(price), "EUR"))

    ruled = (copy("a", "a5", "85.00"), copy("b", "a4", "130.00"), copy("c", "10f", "150.00"))
    done = checked(rules, *ruled, mend=BOTH)
    assert done.contradicting_pairs == 0
    assert [one.changes for one in done.mended] == [(), ()]
    assert [f.works for f in found(rules, "same-size-different-price", *ruled, copy("d", "a4", "140.00"))] == [("b", "d")]


def test_towards_a_reserved_price_off_the_grid_nothing_is_raised_in_vain() -> None:
    """112.85 can be asked by nobody on a grid of tens: of its size one stays at 80, another comes to that, and a larger one passes it."""
    reserved = work("r", "20", "112.85", state="reserved")
    done = checked(
        member(TENS), reserved, work("a", "20", "80.00"), work("b", "20", "60.00"), work("c", "30", "90.00"), mend=("raise-only",)
    )
    assert [(c.id, str(c.mended.amount)) for c in done.mended[0].changes] == [("b", "80.00"), ("c", "120.00")]
    assert [stuck.reserved for stuck in done.mended[0].unmendable] == [("r",)]


def test_a_price_of_a_day_to_come_is_no_earlier_one() -> None:
    item = work("a", "20", "100.00", earlier_prices=(EarlierPrice(GivenMoney(Amount("200.00"), "EUR"), date(2031, 1, 1)),))
    (note,) = [f for f in checked(member(), item).findings if f.about == "price-cut"]
    assert note.pointer == "#/works/0/earlier_prices/0/listed_on"


@pytest.mark.parametrize(("height", "price"), [("900", "2500.00"), ("2", "50.00")])
def test_a_line_that_does_not_reach_a_size_says_nothing_of_it(height: str, price: str) -> None:
    """Eight works of nearly one size, the later ones dearer: their line rises so steeply that it leads nowhere else."""
    near = [work(f"w{i}", f"{59.8 + i / 10:.1f}", f"{700 + 100 * i}.00") for i in range(8)]
    (note,) = [f for f in checked(member(), *near, work("far", height, price)).findings if f.about == "odd-unit-rate"]
    assert note.works == ("far",)
    assert "does not reach" in note.detail
