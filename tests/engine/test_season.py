"""Seasons: the fewest works of a rung that make an income, in each outlet, by pencil and under any terms."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engine.terms import rule_sets, rules_of

from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.rules import Commission, Earning, Outlet, PaymentFee, RuleSet
from evenhang.engine.sale import listed_in
from evenhang.engine.season import Season, SeasonRung, fewest, season_of
from evenhang.engine.settlement import settle
from evenhang.engine.works import WorkCost
from evenhang.engine.yields import SoldWork, yields_of

ON = date(2026, 5, 1)


def euros(amount: str) -> GivenMoney:
    return GivenMoney(Amount(amount), "EUR")


def rung(name: str, price: str, frame: str | None = None, **more: object) -> SeasonRung:
    return SeasonRung(name, euros(price), (WorkCost("frame", euros(frame)),) if frame else (), **more)


def season(rules: RuleSet, wanted: str, *rungs: SeasonRung, sold: tuple[SoldWork, ...] = ()) -> Season:
    return season_of(rules, yields_of(rules, lambda _: rules, sold, ON), D(wanted), rungs, ON)


GALLERY = Outlet("Gallery", Commission(D(40)))
DOOR = Outlet("Door", Commission(D(0)))


def test_how_many_of_which_rung_by_pencil() -> None:
    """A work of 200 leaves 200 at the door and 120 in the gallery; 1,000 less a frame of 50 leave 950 and 550.

    12,000: 60 and 100 of the small; 12.6, so 13, and 21.8, so 22 of the large.
    """
    found = season(rules_of(DOOR, GALLERY), "12000", rung("small", "200", hours=Amount("4")), rung("large", "1000", "50"))
    rows = [[(o.outlet, str(o.earnings.amount), o.works, str(o.one_fewer.amount), o.hours) for o in r.outlets] for r in found.rungs]
    assert rows == [
        [("a", "200.00", 60, "11800.00", "240"), ("b", "120.00", 100, "11880.00", "400")],
        [("a", "950.00", 13, "11400.00", None), ("b", "550.00", 22, "11550.00", None)],
    ]
    assert (found.year, str(found.earned.amount), str(found.still_wanted.amount)) == ("2026", "0.00", "12000.00")


def test_the_mix_by_its_parts() -> None:
    """Three small and one large leave 3 x 120 + 600 = 960 in the gallery: 12,000 are 12.5 rounds, so 13; 12 leave 11,520."""
    mixed = season(rules_of(GALLERY), "12000", rung("small", "200", parts=3, hours=Amount("2")), rung("large", "1000", hours=Amount("9")))
    (mix,) = mixed.mix
    assert (str(mix.round_earnings.amount), mix.rounds, str(mix.income.amount), str(mix.one_fewer.amount), mix.hours) == (
        "960.00", 13, "12480.00", "11520.00", "195")  # fmt: skip
    assert season(rules_of(GALLERY), "12000", rung("small", "200")).mix == ()


def test_what_the_year_has_brought_is_taken_off_and_last_years_is_not() -> None:
    """1,000 sold this year at the door leave 1,000 of 2,150: six more of 200, where eleven make the whole."""
    sold = tuple(SoldWork(f"s{y}", "a", "oil", date(y, 4, 1), euros(p), hours=Amount("20")) for y, p in ((2025, "700"), (2026, "1000")))
    found = season(rules_of(DOOR), "2150", rung("small", "200"), sold=sold)
    assert (str(found.earned.amount), str(found.still_wanted.amount)) == ("1000.00", "1150.00")
    assert (found.rungs[0].outlets[0].works, found.rungs[0].outlets[0].works_still) == (11, 6)
    assert season(rules_of(DOOR), "900", rung("small", "200"), sold=sold).rungs[0].outlets[0].works_still == 0


def test_sums_say_how_far_over_the_target() -> None:
    """1,000 in 20 hours at a target of 32 an hour: 1,000 - 640 = 360 over; in 40 hours 280 short. Without hours: nothing said."""
    rules = rules_of(DOOR, earning=Earning(D(32), D(18)))
    for hours, over in (("20", "360.00"), ("40", "-280.00")):
        work = SoldWork("s", "a", "oil", ON, euros("1000"), hours=Amount(hours))
        found = yields_of(rules, lambda _: rules, (work,), ON)
        assert [str(entry.over_target.amount) for entry in (found.whole, found.outlets[0], found.media[0], found.years[0])] == [over] * 4
    untimed = SoldWork("s", "a", "oil", ON, euros("1000"))
    assert yields_of(rules, lambda _: rules, (untimed,), ON).whole.over_target is None


def test_a_sale_that_leaves_nothing_makes_no_income() -> None:
    fee = PaymentFee("member", fixed=D(30))
    (outlet,) = season(rules_of(Outlet("Stall", Commission(D(0)), payment_fee=fee)), "100", rung("card", "25")).rungs[0].outlets
    assert (str(outlet.earnings.amount), outlet.works, outlet.income, outlet.one_fewer) == ("-5.00", None, None, None)


def test_bad_rungs_carry_their_reason_and_sink_nothing() -> None:
    rungs = (
        rung("a", "200"),
        rung("a", "300"),
        SeasonRung("b", GivenMoney(Amount("1"), "JPY")),
        rung("c", "0"),
        SeasonRung("d", euros("9"), (WorkCost("frame"),)),
    )
    found = season(rules_of(DOOR), "1000", *rungs)
    assert [r.reason and (r.reason.code, r.reason.pointer) for r in found.rungs] == [
        None, ("contradictory-request", "#/rungs/1/name"), ("contradictory-request", "#/rungs/2/price/currency"),
        ("out-of-range", "#/rungs/3/price/amount"), ("missing-figure", "#/rungs/4/costs/0/amount"),
    ]  # fmt: skip
    assert found.rungs[0].outlets[0].works == 5


@pytest.mark.parametrize(
    ("wanted", "each", "count"), [("100", "100", 1), ("100.01", "100", 2), ("0", "-5", 0), ("1", "0", None), ("1", "-1", None)]
)
def test_fewest(wanted: str, each: str, count: int | None) -> None:
    assert fewest(D(wanted), D(each)) == count


@settings(max_examples=100, deadline=None)
@given(rule_sets(), st.decimals(D(1), D(90_000), places=2), st.decimals(D(1), D(5_000), places=2), st.sampled_from([None, "41.50"]))
def test_that_many_are_enough_and_one_fewer_is_not(rules: RuleSet, wanted: D, price: D, frame: str | None) -> None:
    found = season(rules, str(wanted), rung("r", str(price), frame))
    costs = {"frame": D(frame)} if frame else {}
    for outlet in found.rungs[0].outlets:
        rate = rules.rate(rules.outlet_currency(outlet.outlet))
        left = settle(rules, outlet.outlet, listed_in(rules, outlet.outlet, price), D(0), costs).earnings.amount / rate
        each = left.quantize(D("0.01"), "ROUND_HALF_UP")
        assert outlet.earnings.amount == each
        if outlet.works is None:
            assert each <= 0
        else:
            assert outlet.works * each == outlet.income.amount >= wanted > outlet.one_fewer.amount == (outlet.works - 1) * each
