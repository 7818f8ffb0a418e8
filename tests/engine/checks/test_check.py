"""The whole check: never a finding against prices that the rules themselves made, and no bad work sinks the rest."""

from datetime import date
from decimal import Decimal as D
from functools import partial

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec import structs
from tests.engine.checks.shelf import checked, member, work

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.check import check_catalogue
from evenhang.engine.money import Amount, GivenMoney, minor_unit
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.rules import Medium, RuleSet, ShownFormat
from evenhang.engine.schedules import Listed
from evenhang.engine.sizes import FORMATS, Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost
from evenhang.rulebook.book import RuleBook

MEMBERS = ("alder-lane", "bracken-gouge", "glimmerfallow", "muddlefern", "weftanderel")
DAYS = (date(2025, 6, 1), date(2026, 3, 31), date(2026, 5, 1), date(2027, 9, 9))
CANVASES = [name for name, shown in FORMATS.items() if shown.canvas]
sides = st.integers(1, 1500).map(lambda mm: Amount(D(mm) / 10)) | st.sampled_from([Amount("30"), Amount("40"), Amount("50")])


@st.composite
def works_of(draw: st.DrawFn, rules: RuleSet, name: str) -> Work:
    """A work of the medium, as its rules need it: size, shape, grade, extras, and costs that are stated or estimated."""
    medium: Medium = rules.rules.media[name]
    grade = draw(st.none() | st.sampled_from(sorted(rules.rules.grades))) if rules.rules.grades else None
    extras = draw(st.lists(st.sampled_from(sorted(rules.rules.extras)), unique=True, max_size=1)) if rules.rules.extras else []
    costs = []
    for cost in draw(st.lists(st.sampled_from(sorted(rules.rules.costs)), unique=True, max_size=2)):
        rule = rules.rules.costs[cost]
        stated = medium.measure in ("hours", "piece", "canvas") or rule.estimate is None or draw(st.booleans())
        amount = GivenMoney(Amount(draw(st.decimals(0, 120, places=2))), "EUR") if stated else None
        costs.append(WorkCost(cost, amount))
    made: dict[str, object] = {
        "grade": grade,
        "extras": tuple(ChosenExtra(e, draw(st.integers(1, 2))) for e in extras),
        "costs": tuple(costs),
    }
    if isinstance(medium.schedule, Listed):
        shape = draw(st.sampled_from(["rectangle", "oval"]))
        return Work(name, format=draw(st.sampled_from(sorted(medium.schedule.prices))), shape=shape, **made)
    if medium.measure == "hours":
        return Work(name, hours=Amount(draw(st.integers(1, 90))), **made)
    if medium.measure == "canvas":
        return Work(name, format=draw(st.sampled_from(CANVASES)), **made)
    sizes = draw(st.lists(st.builds(Size, sides, st.just("cm"), sides, sides), min_size=1, max_size=2))
    shape = draw(st.sampled_from(["rectangle", "oval"]))
    return Work(name, panels=tuple(sizes), shape=shape, **made) if len(sizes) > 1 else Work(name, size=sizes[0], shape=shape, **made)


@pytest.mark.parametrize("name", MEMBERS)
@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_prices_that_the_rules_made_are_never_contradicted(book: RuleBook, name: str, data: st.DataObject) -> None:
    """Random works of every medium on a day of any year, each at the price of its rules; comparable ones come up often."""
    on = data.draw(st.sampled_from(DAYS))
    rules = book.in_force(name, on)
    items = []
    for medium in rules.rules.media:
        for i, made in enumerate(data.draw(st.lists(works_of(rules, medium), min_size=1, max_size=5))):
            price = GivenMoney(Amount(price_work(rules, made, on).retail.quantize(minor_unit("EUR"))), "EUR")
            state = data.draw(st.sampled_from(["for-sale", "reserved", "nfs"]))
            items.append(CatalogueWork(f"{medium}-{i}", made, price, state, listed_on=on))
    found = check_catalogue(rules, partial(book.in_force, name), items, on, D(0), mend=("raise-only", "least-change"))
    assert found.contradicting_pairs == 0
    codes = {f.code for f in found.findings if f.about is None}
    assert codes <= {"loss-making", "thin-yield", "missing-rung"}
    assert [(m.changes, m.unmendable) for m in found.mended] == [((), ()), ((), ())]


def test_a_base_that_bends_the_line_makes_no_price_odd(book: RuleBook) -> None:
    """Platters ask 60 and 0.16 a cm2: the smallest is far off the straight line of the others, and right."""
    day = date(2026, 5, 1)
    rules = book.in_force("muddlefern", day)
    sizes = "20x20 25x30 30x30 30x40 40x40 40x50 50x60 60x60 60x80 70x90 80x100 90x120"
    made = [Work("platter", size=Size(Amount(h), "cm", Amount(w))) for h, w in (size.split("x") for size in sizes.split())]
    prices = [price_work(rules, one, day).retail for one in made]
    assert (str(prices[0]), str(prices[-1])) == ("130", "1850")
    items = [
        CatalogueWork(f"p{i}", one, GivenMoney(Amount(str(price)), "EUR")) for i, (one, price) in enumerate(zip(made, prices, strict=True))
    ]
    assert "odd-unit-rate" not in {f.code for f in check_catalogue(rules, lambda _: rules, items, day).findings}
    # The same price by hand and not by the rule is as odd as it looks.
    dearer = [structs.replace(items[0], price=GivenMoney(Amount("150"), "EUR")), *items[1:]]
    assert [f.works for f in check_catalogue(rules, lambda _: rules, dearer, day).findings if f.code == "odd-unit-rate"] == [("p0",)]


def test_a_listed_price_is_that_of_its_format_whatever_the_shape() -> None:
    """An oval of 20 x 30 cm at 320 is no smaller than a rectangle of 20 x 25 at 250: each price is its format's."""
    folio = Medium("Folio", "area", Listed({"wide": D(320), "tall": D(250)}))
    sides = {"wide": Size(Amount("20"), "cm", Amount("30")), "tall": Size(Amount("20"), "cm", Amount("25"))}
    rules = member(formats={name: ShownFormat(name, size) for name, size in sides.items()})
    rules = RuleSet("m", structs.replace(rules.rules, media={"folio": folio}), {}, "0" * 64, date(2025, 1, 1))
    items = [
        CatalogueWork("oval", Work("folio", format="wide", shape="oval"), GivenMoney(Amount("320.00"), "EUR")),
        CatalogueWork("plain", Work("folio", format="tall"), GivenMoney(Amount("250.00"), "EUR")),
    ]
    assert checked(rules, *items).contradicting_pairs == 0


BAD = [
    (work("a", "20", "200.00"), "/id"),
    (work("later", "20", "200.00", listed_on=date(2026, 5, 2)), "/listed_on"),
    (work("nothing", "20", "0.00"), "/price/amount"),
    (work("digits", "20", "1.001"), "/price/amount"),
    (CatalogueWork("fresco", Work("fresco"), GivenMoney(Amount("9.00"), "EUR")), "/work/medium"),
    (CatalogueWork("unsized", Work("oil"), GivenMoney(Amount("9.00"), "EUR")), "/work/size"),
    (
        CatalogueWork("graded", Work("oil", size=Size(Amount("2"), "cm", Amount("2")), grade="fine"), GivenMoney(Amount("9.00"), "EUR")),
        "/work/grade",
    ),
]


def test_one_bad_work_never_sinks_the_rest() -> None:
    good = [work("a", "20", "200.00"), work("b", "30", "150.00")]
    alone, mixed = checked(member(), *good), checked(member(), *good, *(item for item, _ in BAD))
    assert [(f.works, f.pointer) for f in mixed.findings[: len(BAD)]] == [
        ((w.id,), f"#/works/{i + 2}{at}") for i, (w, at) in enumerate(BAD)
    ]
    assert all(f.code == "incomplete" and f.detail for f in mixed.findings[: len(BAD)])
    assert mixed.findings[len(BAD) :] == alone.findings


def test_sold_works_are_left_in_peace() -> None:
    assert checked(member(), work("s", "20", "1.00", state="sold"), work("t", "30", "0.50", state="sold")).findings == ()


def test_nothing_to_check() -> None:
    found = checked(member(), mend=("raise-only",))
    assert (found.findings, found.contradicting_pairs, found.mended[0].changes) == ((), 0, ())


def test_a_ratio_of_one_is_refused() -> None:
    with pytest.raises(OutOfRange) as refused:
        checked(member(), rung_ratio=D(1))
    assert refused.value.pointer == "/rung_ratio"


def test_the_same_works_in_another_order_contradict_as_often() -> None:
    works = [work(f"w{i}", str(1 + i * 7 % 11), f"{10 + i * 13 % 29}.00", frame="3.00" if i % 3 else None) for i in range(40)]
    assert checked(member(), *works).contradicting_pairs == checked(member(), *reversed(works)).contradicting_pairs > 0
