"""The yearly review: never lower than listed, each state by its own rule, the stake summed, the years ahead as quotes would give them."""

import json
from datetime import date
from decimal import Decimal as D

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from tests.engine.terms import rule_sets, rules_of

from evenhang.demo import CATALOGUE
from evenhang.engine.ahead import look_ahead, price_ahead
from evenhang.engine.checks.catalogue import CatalogueWork, EditionNumber
from evenhang.engine.edition import price_edition
from evenhang.engine.growth import growth
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.review import SHOWN, review_list, rises_of, stake_of
from evenhang.engine.rules import Commission, FixedExtra, Grade, Increase, Outlet, PercentExtra, Rounding, RuleSet, Step
from evenhang.engine.settlement import settle
from evenhang.engine.sizes import Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost
from evenhang.rulebook.book import RuleBook

ON = date(2026, 5, 1)
TENS = Rounding((Step(D(10)),))
DOOR = Outlet("Door", Commission(D(0)))
STATES = ("for-sale", "reserved", "sold", "nfs")


def growing(percent: str, made: RuleSet | None = None) -> RuleSet:
    base = made or rules_of(DOOR, Outlet("Gallery", Commission(D(40))), rounding=TENS)
    return RuleSet("m", replace(base.rules, increase=Increase(date(2025, 5, 1), D(percent))), {}, "0" * 64, date(2025, 1, 1))


def listed(name: str, area: str, price: str, state: str = "for-sale") -> CatalogueWork:
    """A sheet of that area, at 1 a cm2 before the increase."""
    return CatalogueWork(name, Work("oil", size=Size(Amount(area), "cm", Amount("1"))), GivenMoney(Amount(price), "EUR"), state)


LIST = (
    listed("a", "100", "100"), listed("b", "200", "240"), listed("c", "300", "300", "reserved"),
    listed("d", "400", "400", "sold"), listed("e", "500", "500", "nfs"), listed("f", "200", "200"),
)  # fmt: skip


def test_the_new_list_by_pencil() -> None:
    """10 %: 100 to 110, 200 to 220; 240 is above 220 and stays; the reserved stays at 300 although it would be 330."""
    rows = review_list(growing("10"), LIST, ON).rows
    figures = [[x and int(x.amount) for x in (r.old_price, r.rule_price, r.new_price, r.rise)] for r in rows]
    assert figures == [
        [100, 110, 110, 10], [240, 220, 240, 0], [300, 330, 300, 0], [400, None, None, None], [500, 550, 550, 50], [200, 220, 220, 20],
    ]  # fmt: skip
    assert [r.held for r in rows] == [False, True, False, False, False, False]
    assert [r.rise_percent for r in rows] == ["10", "0", "0", None, "10", "10"]
    assert [r.note.partition(":")[0].partition(" above")[0] for r in rows] == ["", "Listed", "Reserved", "Sold", "Not for sale", ""]


def test_the_rises_are_those_of_works_for_sale() -> None:
    """10, 0 and 10 %: in order 0, 10, 10; the quartile at place 0.5 is 5."""
    rises = rises_of(review_list(growing("10"), LIST, ON).listings)
    assert (rises.works, rises.raised, rises.unchanged, rises.held) == (3, 2, 1, 1)
    assert [(q.percent, q.rise_percent) for q in rises.quantiles] == [
        ("0", "0"), ("5", "1"), ("25", "5"), ("50", "10"), ("75", "10"), ("95", "10"), ("100", "10")]  # fmt: skip
    assert rises_of(()).quantiles == ()
    assert len(SHOWN) == 7


def test_the_income_at_stake_is_that_of_unsold_works() -> None:
    """a, b, c, f: 100 + 240 + 300 + 200 = 840, new 870; through the gallery at 40 % 504 and 522."""
    stake = stake_of(growing("10"), review_list(growing("10"), LIST, ON).listings)
    assert (stake.works, int(stake.old_total.amount), int(stake.new_total.amount), stake.worst_outlet) == (4, 840, 870, "b")
    assert [(str(o.old_proceeds.amount), str(o.new_earnings.amount)) for o in stake.outlets] == [("840.00", "870.00"), ("504.00", "522.00")]


def test_the_years_ahead_by_pencil() -> None:
    """100 at 10 % a year from 2025-05-01: 110, 121 to 120, 133.1 to 130. 240 waits for 242, to 240, and for 266.2, to 270.

    Kept back, the reserved work would ask 330 (never less than its 300), 363 to 360, 399.3 to 400.
    """
    rules = growing("10")
    ahead = look_ahead(rules, review_list(rules, LIST, ON).listings, ("b", "c", "d"), ON, 2)
    assert [(str(y.on), y.growth, int(y.unsold.amount), int(y.not_for_sale.amount)) for y in ahead.years] == [
        ("2026-05-01", "1", 870, 550),
        ("2027-05-01", "1.1", 120 + 240 + 300 + 240, 610),
        ("2028-05-01", "1.21", 130 + 270 + 300 + 270, 670),
    ]  # fmt: skip
    assert [[int(p.price.amount) for p in k.prices] for k in ahead.kept_back] == [[240, 240, 270], [300, 360, 400], []]
    assert (ahead.kept_back[2].reason.pointer, ahead.kept_back[2].reason.code) == ("#/kept_back/2", "unknown-name")


def test_the_day_of_each_year_when_it_begins_on_the_29th_of_february() -> None:
    rules = growing("10")
    ahead = look_ahead(rules, (), (), date(2028, 2, 29), 4)
    assert [str(year.on) for year in ahead.years] == ["2028-02-29", "2029-02-28", "2030-02-28", "2031-02-28", "2032-02-29"]


def test_bad_rows_carry_their_reason_and_sink_nothing() -> None:
    bad = (
        replace(LIST[0], price=GivenMoney(Amount("5"), "USD")), LIST[1], LIST[1], replace(LIST[5], work=Work("fresco")),
        listed("g", "100", "0"), replace(LIST[3], id="h", work=Work("fresco")),
    )  # fmt: skip
    found = review_list(growing("10"), bad, ON)
    assert [row.reason and (row.reason.code, row.reason.pointer) for row in found.rows] == [
        ("contradictory-request", "#/works/0/price/currency"), None, ("contradictory-request", "#/works/2/id"),
        ("unknown-name", "#/works/3/work/medium"), ("out-of-range", "#/works/4/price/amount"), None,
    ]  # fmt: skip
    assert [one.id for one in found.listings] == ["b"]


def test_an_increase_beyond_all_amounts_is_declined() -> None:
    with pytest.raises(OutOfRange) as refused:
        look_ahead(growing("9900"), (), (), ON, 30)
    assert refused.value.pointer == "/years"


def test_a_number_of_an_edition_is_reviewed_at_its_step(book: RuleBook) -> None:
    """A linocut of 20 x 30 cm asks 130.00 in 2027; from number 21 of 30 on half as much again, on the grid: 195.00, as the edition says."""
    day = date(2027, 5, 1)
    rules = book.in_force("bracken-gouge", day)
    one = Work("linocut", size=Size(Amount("20"), "cm", Amount("30")))
    edition, _ = price_edition(rules, one, 30, 0, D(0), D(0), day)
    works = [
        CatalogueWork(f"n{n}", one, GivenMoney(Amount("100.00"), "EUR"), edition=EditionNumber("Run", n, 30)) for n in (1, 20, 21, 25, 30)
    ]
    found = review_list(rules, works, day)
    asked = {copy.number: copy.price for copy in edition.copies}
    assert [row.new_price for row in found.rows] == [asked[n] for n in (1, 20, 21, 25, 30)]
    assert str(found.rows[3].new_price.amount) == "195.00"
    ahead = look_ahead(rules, found.listings, ("n25",), day, 3).kept_back[0].prices[-1]
    later, _ = price_edition(rules, one, 30, 0, D(0), D(0), date(2030, 5, 1))
    assert ahead.price == later.copies[24].price


def demo_works(member: str) -> tuple[CatalogueWork, ...]:
    return msgspec.convert(json.loads(CATALOGUE.read_text())[member], tuple[CatalogueWork, ...], dec_hook=lambda kind, v: kind.parse(v))


@pytest.mark.parametrize("member", ["alder-lane", "bracken-gouge", "glimmerfallow", "muddlefern", "weftanderel"])
def test_a_price_ahead_is_what_a_quote_of_that_day_gives(book: RuleBook, member: str) -> None:
    rules, tried = book.in_force(member, ON), 0
    for item in demo_works(member):
        if item.state == "sold" or item.work.medium not in rules.rules.media:
            continue
        price = price_work(rules, item.work, ON)
        for day in (ON, date(2027, 3, 31), date(2031, 4, 1), date(2056, 5, 1)):
            tried += 1
            assert price_ahead(rules, item.work, price, growth(rules.rules.increase, day)) == price_work(rules, item.work, day).retail
    assert tried >= 50


@given(st.integers(0, 40), st.permutations(["figure", "edge", "gilt"]), st.sampled_from([None, D(90)]), st.integers(2025, 2050))
def test_a_price_ahead_with_every_kind_of_line(percent: int, order: list[str], minimum: D | None, year: int) -> None:
    base = growing(str(percent)).rules
    medium = replace(base.media["oil"], minimum=minimum)
    extras = {"figure": PercentExtra("Figure", D(50)), "gilt": PercentExtra("Gilt", D(10)), "edge": FixedExtra("Edge", D("18.35"))}
    whole = replace(base, media={"oil": medium}, extras=extras, grades={"fine": Grade("Fine", D("1.15"))})
    rules = RuleSet("m", whole, {}, "0" * 64, date(2025, 1, 1))
    costs = (WorkCost("frame", GivenMoney(Amount("24.40"), "EUR")),)
    size = Size(Amount("73.3"), "cm", Amount("1"))
    work = Work("oil", size=size, grade="fine", extras=tuple(ChosenExtra(name, 2) for name in order), costs=costs)
    day = date(year, 6, 1)
    price = price_work(rules, work, ON)
    assert price_ahead(rules, work, price, growth(whole.increase, day)) == price_work(rules, work, day).retail


catalogues = st.lists(
    st.tuples(st.decimals(D(1), D(900), places=1), st.decimals(D(1), D(2000), places=2), st.sampled_from(STATES)), max_size=8
)


@settings(max_examples=100, deadline=None)
@given(rule_sets(), catalogues, st.integers(0, 40), st.integers(0, 6))
def test_laws_of_a_review(made: RuleSet, asked: list[tuple[D, D, str]], percent: int, years: int) -> None:
    rules = growing(str(percent), made)
    works = tuple(listed(f"w{i}", str(area), str(price), state) for i, (area, price, state) in enumerate(asked))
    found = review_list(rules, works, ON)
    assert [row.id for row in found.rows] == [work.id for work in works]
    for row, work in zip(found.rows, works, strict=True):
        if work.state != "sold":
            assert row.new_price.amount >= work.price.amount
            assert row.new_price.amount - row.old_price.amount == row.rise.amount
            assert row.new_price == row.old_price or row.new_price == row.rule_price
    unsold = [row for row in found.rows if row.state in ("for-sale", "reserved")]
    stake = stake_of(rules, found.listings)
    assert stake.new_total.amount == sum(row.new_price.amount for row in unsold) >= stake.old_total.amount
    ahead = look_ahead(rules, found.listings, [work.id for work in works], ON, years)
    assert ahead.years[0].unsold == stake.new_total
    for before, after in zip(ahead.years, ahead.years[1:], strict=False):
        assert before.unsold.amount <= after.unsold.amount
    for kept in ahead.kept_back:
        prices = [year.price.amount for year in kept.prices]
        assert prices == sorted(prices)
        assert len(prices) == (0 if kept.reason else years + 1)


def test_the_stake_is_the_sum_of_settlements() -> None:
    rules = growing("7", rules_of(Outlet("Abroad", Commission(D(35)), currency="JPY"), rounding=TENS))
    found = review_list(rules, LIST, ON)
    sums = [D(0), D(0)]
    for one in found.listings:
        if one.unsold:
            for i, asked in enumerate((one.old, one.new)):
                yen = (
                    int(asked * D("160.25") / 100 + D("0.5")) * 100
                    if asked * D("160.25") < 50_000
                    else int(asked * D("160.25") / 500 + D("0.5")) * 500
                )
                sums[i] += (settle(rules, "a", D(yen)).proceeds.amount / D("160.25")).quantize(D("0.01"), "ROUND_HALF_UP")
    outlet = stake_of(rules, found.listings).outlets[0]
    assert [outlet.old_proceeds.amount, outlet.new_proceeds.amount] == sums
