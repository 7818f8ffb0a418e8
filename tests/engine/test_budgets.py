"""Budgets: the size found fits, the next one up does not, whatever the measure, the schedule and the member."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from evenhang.demo import RULES
from evenhang.engine.budgets import fit_budget
from evenhang.engine.ladder import making_of
from evenhang.engine.money import Amount, GivenMoney, Money
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.rules import Commission, Medium, Outlet, Rounding, RuleSet, Step
from evenhang.engine.rungs import Making, Rung
from evenhang.engine.schedules import Band, Flat, Points, Power, Schedule, Stepped
from evenhang.engine.schedules import Point as Given
from evenhang.engine.sizes import Size
from evenhang.engine.whole import Aspect, check_aspect, family_of, last_within
from evenhang.engine.works import Work, WorkCost
from evenhang.rulebook.book import load_book

BOOK = load_book(RULES)
ON = date(2026, 5, 1)
# Every medium of every demo member, so that a new kind of schedule is asked too.
MEDIA = [(member, name) for member in BOOK.segments for name in BOOK.in_force(member, ON).rules.media]

sides = st.integers(1, 40).map(Amount)
aspects = st.builds(Aspect, sides, sides, sides)


def forward(rules: RuleSet, making: Making, rung: Rung, *, framed: bool) -> D:
    """The price of the size as a caller would ask for it: the answer's size, sent back."""
    size = None
    if rung.size is not None:
        size = Size(*(None if s is None else Amount(s) if s != rung.size.unit else s
                      for s in (rung.size.height, rung.size.unit, rung.size.width, rung.size.depth)))  # fmt: skip
    panels = (Size(Amount("7"), "in", Amount("3")),) * rung.pieces if rung.pieces else None
    costs = (making.framing,) if framed and making.framing else ()
    hours = Amount(rung.hours) if rung.hours else None
    shape = making.shape if size else "rectangle"
    work = Work(making.medium, size=size, panels=panels, format=rung.format, shape=shape, grade=making.grade, costs=costs, hours=hours)
    return price_work(rules, work, making.on).retail


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(MEDIA), st.integers(1, 900_000).map(lambda cents: D(cents) / 100), aspects, st.sampled_from(["cm", "in"]),
    st.sampled_from(["rectangle", "round", "oval"]), st.booleans(), st.booleans(), st.dates(date(2025, 1, 1), date(2027, 12, 31)),
)  # fmt: skip
def test_the_size_found_fits_and_the_next_does_not(
    named: tuple[str, str], budget: D, aspect: Aspect, unit: str, shape: str, framed: bool, graded: bool, on: date
) -> None:
    rules = BOOK.in_force(named[0], on)
    if named[1] not in rules.rules.media:
        return
    frame = WorkCost("frame", GivenMoney(Amount("37.50"), "EUR")) if "frame" in rules.rules.costs and on.month % 2 else None
    making = making_of(rules, named[1], shape, next(iter(rules.rules.grades), None) if graded else None, frame, on)
    family = family_of(rules, making.medium, shape, aspect, unit)
    found = fit_budget(rules, making, family, budget, framed=framed)
    if found.reason is not None:
        assert framed
        assert found.largest is found.smallest is found.next_up is None
    elif found.largest is None:
        assert found.smallest is not None
        assert forward(rules, making, found.smallest, framed=framed) > budget
    else:
        price = forward(rules, making, found.largest, framed=framed)
        assert price <= budget
        assert found.left is not None
        assert found.left.amount == budget - price
        if found.next_up is not None:
            assert forward(rules, making, found.next_up, framed=framed) > budget


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(MEDIA), st.integers(5, 4000).map(D), aspects)
def test_no_larger_size_of_the_family_fits(named: tuple[str, str], budget: D, aspect: Aspect) -> None:
    """Every size up to three times as large is tried, not the next one alone."""
    rules = BOOK.in_force(named[0], ON)
    making = making_of(rules, named[1], "rectangle", None, None, ON)
    family = family_of(rules, named[1], "rectangle", aspect, "cm")

    def price(i: int) -> D:
        choice = family.at(i)
        panels = (Size(Amount(1), "cm", Amount(1)),) * choice.pieces if choice.pieces else None
        return price_work(rules, Work(named[1], size=choice.size, format=choice.format, panels=panels, hours=choice.hours), ON).retail

    last = last_within(family, price, budget)
    found = fit_budget(rules, making, family, budget, framed=False)
    assert (found.largest is None) == (last < 0)
    assert all(price(i) > budget for i in range(last + 1, min(family.length, 3 * max(last, 3))))


def one_medium(measure: str, schedule: Schedule, minimum: D | None = None) -> RuleSet:
    """Alder Lane's rules of the day with one medium of the test's own; its rates are of the day."""
    demo = BOOK.in_force("alder-lane", ON)
    rules = replace(demo.rules, media={"m": Medium("M", measure, schedule, minimum)}, increase=None)
    return RuleSet("m", rules, {}, "0" * 64, date(2025, 1, 1))


@pytest.mark.parametrize(
    ("measure", "schedule", "budget", "largest", "price", "next_up", "price_up"),
    [
        # 0.20 up to 1,000 cm2, then 0.10 but never under 200: 2,000 cm2 still cost 200. 44 x 44 = 1,936; 45 x 45 = 2,025 -> 202.50 -> 200
        # on the grid of 10; 46 x 46 = 2,116 -> 211.60 -> 210: the plateau and its rounding are both used up.
        ("area", Stepped((Band(D("0.2"), D(1000)), Band(D("0.1")))), "200", "45 x 45 cm", "200.00", "46 x 46 cm", "210.00"),
        # 100 x (m / 1,000) ^ 0.5: 48 x 48 = 2,304 -> 151.79 -> 150 on the grid of 5; 49 x 49 = 2,401 -> 154.95 -> 155.
        ("area", Power(D(100), D(1000), D("0.5")), "150", "48 x 48 cm", "150.00", "49 x 49 cm", "155.00"),
        # Straight in log-log from (10, 100) to (40, 400) is 10 a centimetre: 16 cm are 160, 17 cm 170.
        ("height", Points((Given(D(10), D(100)), Given(D(40), D(400)))), "165", "16 x 16 cm", "160.00", "17 x 17 cm", "170.00"),
        ("longest", Points((Given(D(10), D(100)), Given(D(40), D(400)))), "165", "16 x 16 cm", "160.00", "17 x 17 cm", "170.00"),
    ],
)  # fmt: skip
def test_budgets_by_pencil(measure: str, schedule: Schedule, budget: str, largest: str, price: str, next_up: str, price_up: str) -> None:
    rules = one_medium(measure, schedule)
    making = making_of(rules, "m", "rectangle", None, None, ON)
    square = family_of(rules, "m", "rectangle", Aspect(Amount(1), Amount(1)), "cm")
    found = fit_budget(rules, making, square, D(budget), framed=False)
    assert found.largest
    assert found.next_up
    assert (found.largest.label, str(found.largest.price.amount)) == (largest, price)
    assert (found.next_up.label, str(found.next_up.price.amount)) == (next_up, price_up)


def test_a_minimum_over_the_budget_says_what_the_smallest_costs() -> None:
    rules = one_medium("area", Power(D(100), D(1000), D("0.5")), D(80))
    making = making_of(rules, "m", "rectangle", None, None, ON)
    found = fit_budget(rules, making, family_of(rules, "m", "rectangle", Aspect(Amount(3), Amount(4)), "in"), D(75), framed=False)
    assert found.largest is None
    assert (found.smallest.label, str(found.smallest.price.amount)) == ("1 x 1 in", "80.00")


def test_the_largest_size_allowed_has_no_next() -> None:
    rules = one_medium("area", Power(D(100), D(1000), D("0.1")))
    making = making_of(rules, "m", "rectangle", None, None, ON)
    found = fit_budget(rules, making, family_of(rules, "m", "rectangle", Aspect(Amount(1), Amount(2)), "cm"), D(100_000), framed=False)
    assert (found.largest.label, found.next_up) == ("5000 x 10000 cm", None)


def test_canvases_follow_the_proportions() -> None:
    """Number 30 is 92 x 73, 92 x 65 and 92 x 60 (traditional French canvases, read): 3 to 2 is nearest the 92 x 60, lying or standing."""
    rules = BOOK.in_force("alder-lane", ON)
    names = {
        tuple(aspect): [family_of(rules, "plein-air", "rectangle", Aspect(*map(Amount, aspect)), "cm").at(i).format for i in (0, 13)]
        for aspect in ("54", "45", "75", "32", "23")
    }
    assert names == {
        ("5", "4"): ["0f", "30f"],  # 18 / 14 = 1.286 and 92 / 73 = 1.260 to 1.25
        ("4", "5"): ["0f", "30f"],
        ("7", "5"): ["0p", "30p"],  # 18 / 12 = 1.5 and 92 / 65 = 1.415 to 1.4
        ("3", "2"): ["0p", "30m"],  # 92 / 60 = 1.533 to 1.5
        ("2", "3"): ["0p", "30m"],
    }


def test_number_0_is_left_out_where_the_schedule_cannot_price_it() -> None:
    rules = one_medium("canvas", Power(D(100), D(10), D("0.5")))
    making = making_of(rules, "m", "rectangle", None, None, ON)
    family = family_of(rules, "m", "rectangle", None, "cm")
    found = fit_budget(rules, making, family, D(25), framed=False)
    assert (family.at(0).format, found.smallest.label) == ("1f", "1F")


@pytest.mark.parametrize(
    ("aspect", "pointer"),
    [(("0", "1"), "/aspect/height"), (("1", "0"), "/aspect/width"), (("1", "1", "0"), "/aspect/depth"), (("1", "101"), "/aspect")],
)
def test_proportions_that_are_none(aspect: tuple[str, ...], pointer: str) -> None:
    with pytest.raises(OutOfRange) as declined:
        check_aspect(Aspect(*map(Amount, aspect)))
    assert declined.value.pointer == pointer


def test_proportions_at_the_edge_are_taken() -> None:
    check_aspect(Aspect(Amount("1"), Amount("100")))
    check_aspect(None)


def test_without_a_depth_a_volume_is_refused_with_a_pointer() -> None:
    rules = BOOK.in_force("muddlefern", ON)
    making = making_of(rules, "sculpture", "rectangle", None, None, ON)
    found = fit_budget(rules, making, family_of(rules, "sculpture", "rectangle", Aspect(Amount(1), Amount(1)), "cm"), D(500), framed=False)
    assert (found.reason.pointer, found.reason.code) == ("#/aspect/depth", "missing-figure")


def test_a_size_too_dear_to_be_written_does_not_fit_and_the_smaller_ones_do() -> None:
    """20 yen a cm3: a cube of 15 cm asks 67,500 and one of 16 cm 81,920; one of 100 m would have fourteen digits."""
    base = BOOK.in_force("muddlefern", ON)
    fine = replace(base.rules, currency="JPY", media={"block": Medium("Block", "volume", Flat(D(20)))}, costs={}, increase=None, bands=())
    fine = replace(fine, rounding=Rounding((Step(D(1)),)), outlets={"door": Outlet("Door", Commission(D(0)))}, sells_in=("door",), fx={})
    rules = RuleSet("m", fine, {}, "0" * 64, date(2025, 1, 1))
    making = making_of(rules, "block", "rectangle", None, None, ON)
    cube = Aspect(Amount(1), Amount(1), Amount(1))
    fit = fit_budget(rules, making, family_of(rules, "block", "rectangle", cube, "cm"), D(80_000), framed=False)
    assert fit.reason is None
    assert (fit.largest and fit.largest.price, fit.next_up and fit.next_up.price) == (Money(D(67_500), "JPY"), Money(D(81_920), "JPY"))
