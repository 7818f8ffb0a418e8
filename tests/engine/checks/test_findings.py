"""Each finding by pencil: found where it is planted, and not a step before."""

from datetime import date
from decimal import Decimal as D

import pytest
from msgspec.structs import replace
from tests.engine.checks.shelf import FINE, HOUSE, TENS, checked, found, member, numbered, work

from evenhang.engine.checks.catalogue import CatalogueWork, EarlierPrice, OutletListing
from evenhang.engine.checks.findings import Finding
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.refusals import NotInForce
from evenhang.engine.rules import Exchange, Increase, Rounding, RuleSet, Step
from evenhang.engine.works import WorkCost


def eur(amount: str, currency: str = "EUR") -> GivenMoney:
    return GivenMoney(Amount(amount), currency)


def listed(outlet: str, amount: str, currency: str = "EUR") -> OutletListing:
    return OutletListing(outlet, eur(amount, currency))


def figures(finding: Finding) -> dict[str, str]:
    return {p.code: str(p.amount.amount) if p.amount else str(p.value) for p in finding.figures}


def notes(rules: RuleSet, about: str, *works: CatalogueWork, **more: object) -> list[Finding]:
    return [f for f in checked(rules, *works, **more).findings if f.code == "incomplete" and f.about == about]


# 20 x 10 cm at one a cm2: the rules ask 200.


@pytest.mark.parametrize(
    ("price", "tolerance", "off"),
    [("202.00", "1", None), ("202.01", "1", "1.005"), ("197.99", "1", "-1.005"), ("210.00", "5", None), ("200.01", "0", "0.005")],
)
def test_off_the_rule_beyond_the_tolerance(price: str, tolerance: str, off: str | None) -> None:
    findings = found(member(), "off-the-rule", work("a", "20", price), tolerance_percent=D(tolerance))
    assert [figures(f) for f in findings] == ([] if off is None else [{"rule-price": "200.00", "listed-price": price, "off-percent": off}])


def test_the_rule_is_that_of_the_day_it_was_listed() -> None:
    """10 % on 1 March 2026: 200 before, 220 since."""
    rules = member(increase=Increase(date(2025, 3, 1), D(10)))
    before, after = date(2026, 2, 28), date(2026, 3, 1)
    assert found(rules, "off-the-rule", work("a", "20", "200.00", listed_on=before), work("b", "20", "220.00", listed_on=after)) == []
    assert [f.works for f in found(rules, "off-the-rule", work("a", "20", "200.00", listed_on=after))] == [("a",)]
    (missed,) = found(rules, "increase-missed", work("a", "20", "200.00", listed_on=before), work("b", "20", "220.00", listed_on=before))
    assert missed.works == ("a",)
    assert missed.mend == "Raise it to 220.00 EUR."


def test_an_increase_that_rounding_swallows_or_a_reserved_price_is_not_missed() -> None:
    """By tens 200 grows by 2 % to 204, which is 200 still; a reserved price is agreed."""
    small = member(TENS, increase=Increase(date(2025, 3, 1), D(2)))
    assert found(small, "increase-missed", work("a", "20", "200.00", listed_on=date(2026, 2, 1))) == []
    large = member(TENS, increase=Increase(date(2025, 3, 1), D(20)))
    assert found(large, "increase-missed", work("a", "20", "200.00", listed_on=date(2026, 2, 1), state="reserved")) == []
    assert [n.works for n in notes(large, "increase-missed", work("a", "20", "200.00"))] == [("a",)]


def test_before_the_first_rules_nothing_can_be_said_and_the_work_is_compared_all_the_same() -> None:
    def first(day: date) -> RuleSet:
        raise NotInForce("There are no rules of m on that day.", "/as_of", "The first are of 2025-01-01.")

    works = (work("a", "20", "200.00", listed_on=date(2024, 1, 1)), work("b", "30", "150.00"))
    result = checked(member(), *works, rules_on=first)
    assert [(f.about, f.pointer) for f in result.findings if f.pointer] == [
        ("off-the-rule", "#/works/0/listed_on"), ("increase-missed", "#/works/0/listed_on")]  # fmt: skip
    assert result.contradicting_pairs == 1


def test_off_the_rounding() -> None:
    (finding,) = found(member(HOUSE), "off-the-rounding", work("a", "20", "1030.00"), work("b", "20", "1050.00"))
    assert (finding.works, finding.mend) == (("a",), "List it at 1050.00 EUR.")


def test_a_cut_below_the_highest_earlier_price() -> None:
    earlier = (
        EarlierPrice(eur("240.00"), date(2025, 1, 5)),
        EarlierPrice(eur("260.00"), date(2025, 6, 5)),
        EarlierPrice(eur("220.00"), date(2025, 9, 1)),
    )
    (cut,) = found(
        member(), "price-cut", work("a", "20", "250.00", earlier_prices=earlier), work("b", "20", "260.00", earlier_prices=earlier)
    )
    assert (cut.works, figures(cut), cut.figures[0].day) == (
        ("a",),
        {"earlier-price": "260.00", "listed-price": "250.00"},
        date(2025, 6, 5),
    )
    assert [n.works for n in notes(member(), "price-cut", work("c", "20", "1.00"))] == [("c",)]


@pytest.mark.parametrize(
    ("earlier", "pointer"),
    [
        (EarlierPrice(eur("260.00", "JPY"), date(2025, 1, 5)), "#/works/0/earlier_prices/0/price/currency"),
        (EarlierPrice(eur("260.00"), date(2026, 4, 5)), "#/works/0/earlier_prices/0/listed_on"),
    ],
)
def test_an_earlier_price_that_cannot_be_one(earlier: EarlierPrice, pointer: str) -> None:
    item = work("a", "20", "250.00", listed_on=date(2026, 4, 1), earlier_prices=(earlier,))
    assert [n.pointer for n in notes(member(), "price-cut", item)] == [pointer]


# 200 at 160 yen to the euro is 32,000 yen, by steps of 500; 31,750 to 32,250 are rounded there: 198.44 to 201.56.


@pytest.mark.parametrize(
    ("prices", "undercut"),
    [
        ([listed("hall", "200.00")], None),
        ([listed("abroad", "32000", "JPY")], None),
        ([listed("hall", "201.00"), listed("door", "201.00")], None),
        ([listed("hall", "190.00")], "hall (190.00 EUR) undercuts door (200.00 EUR), abroad (32000 JPY)."),
        ([listed("hall", "210.00")], "door (200.00 EUR) undercuts hall (210.00 EUR)."),
        ([listed("abroad", "31500", "JPY")], "abroad (31500 JPY) undercuts door (200.00 EUR), hall (200.00 EUR)."),
        ([listed("abroad", "32500", "JPY")], "door (200.00 EUR) undercuts abroad (32500 JPY)."),
    ],
)
def test_who_undercuts_whom(prices: list[OutletListing], undercut: str | None) -> None:
    findings = found(member(), "outlet-undercut", work("a", "20", "200.00", outlet_prices=tuple(prices)))
    assert [f.detail for f in findings] == ([] if undercut is None else [undercut])


def test_rounding_up_abroad_brings_prices_from_below_only() -> None:
    """Up by 500 yen: 31,501 to 32,000 come to 32,000, so that 199 abroad is not undercut at home by 32,000 but 201 is."""
    fx = {"JPY": Exchange(D(160), date(2025, 1, 1), Rounding((Step(D(500)),), "up"))}
    both = [
        found(member(fx=fx), "outlet-undercut", work("a", "20", price, outlet_prices=(listed("abroad", "32000", "JPY"),)))
        for price in ("199.00", "201.00")
    ]
    assert [[f.works for f in findings] for findings in both] == [[], [("a",)]]


@pytest.mark.parametrize(
    ("prices", "pointer"),
    [
        ((listed("cellar", "200.00"),), "/outlet_prices/0/outlet"),
        ((listed("hall", "200.00"), listed("hall", "210.00")), "/outlet_prices/1/outlet"),
        ((listed("abroad", "200.00"),), "/outlet_prices/0/price/currency"),
        ((listed("hall", "0"),), "/outlet_prices/0/price/amount"),
    ],
)
def test_an_outlet_price_that_cannot_be_one(prices: tuple[OutletListing, ...], pointer: str) -> None:
    item = work("a", "20", "200.00", outlet_prices=prices)
    assert [n.pointer for n in notes(member(), "outlet-undercut", work("z", "20", "200.00"), item)] == [f"#/works/1{pointer}"]


def test_odd_unit_rate_by_pencil() -> None:
    """Nine works near one a cm2 and one at two: the ninth works' rates lie within 4 %, the tenth's twice as high."""
    near = ["101.00", "198.00", "303.00", "396.00", "505.00", "594.00", "707.00", "792.00", "909.00"]
    works = [work(f"w{i + 1}", str(10 * (i + 1)), price) for i, price in enumerate(near)]
    (odd,) = found(member(), "odd-unit-rate", *works, work("odd", "45", "900.00"))
    assert odd.works == ("odd",)
    assert float(figures(odd)["modified-z-score"]) > 3.5
    assert float(figures(odd)["unit-rate-per-cm2"]) == 2
    assert float(figures(odd)["usual-art-price"]) == pytest.approx(450, rel=0.02)


def test_too_few_or_too_even_works_are_said_to_be_so() -> None:
    seven = [work(f"w{i}", str(10 * i + 10), "100.00") for i in range(7)]
    assert [len(n.works) for n in notes(member(), "odd-unit-rate", *seven)] == [7]
    even = [work(f"w{i}", str(10 * i + 10), f"{100 * i + 100}.00") for i in range(8)] + [work("odd", "45", "900.00")]
    (note,) = notes(member(), "odd-unit-rate", *even)
    assert (len(note.works), "no spread" in note.detail) == (9, True)
    assert found(member(), "odd-unit-rate", *even) == []


def test_works_of_one_size_are_judged_by_their_rates_alone() -> None:
    works = [work(f"w{i}", "20", f"{200 + i}.00") for i in range(9)]
    assert [f.works for f in found(member(), "odd-unit-rate", *works, work("odd", "20", "300.00"))] == [("odd",)]


@pytest.mark.parametrize(
    ("price", "hours", "code", "severity"),
    [
        # The hall keeps 40 %: of 200 are 120 left, less paint for 20: 100.
        ("200.00", "3", None, None), ("200.00", "4", "thin-yield", "note"), ("200.00", "5", "thin-yield", "note"),
        ("200.00", "5.1", "thin-yield", "warning"), ("30.00", "1", "loss-making", "warning"),
    ],
)  # fmt: skip
def test_earnings_in_the_worst_outlet(price: str, hours: str, code: str | None, severity: str | None) -> None:
    """Target 30 and floor 20 an hour; 30 leave 18, 2 less than the paint."""
    item = work("a", "20", price, hours=hours)
    item = replace(item, work=replace(item.work, costs=(WorkCost("paint", eur("20.00")),)))
    findings = [f for f in checked(member(), item).findings if f.code in ("thin-yield", "loss-making")]
    assert [(f.code, f.severity) for f in findings] == ([] if code is None else [(code, severity)])
    assert all(f.figures[0].outlet == "hall" for f in findings)


def test_gaps_and_empty_bands() -> None:
    """100 to 450 is 4.5 times: two rungs make steps of 1.65: 165 and 273; what is reserved or not for sale closes no gap."""
    works = [work("a", "20", "100.00"), work("b", "20", "450.00"), work("c", "20", "200.00", state="nfs"), work("d", "20", "900.00")]
    gap, empty = found(member(TENS), "missing-rung", *works)
    assert (gap.works, figures(gap)["price-ratio"], gap.mend) == (
        ("a", "b"),
        "4.5",
        "A work at about 170.00 EUR, 270.00 EUR would close the gap.",
    )
    assert (empty.works, figures(empty)) == ((), {"band-from": "0.00", "band-below": "100.00"})
    assert [f.works for f in found(member(TENS), "missing-rung", *works, rung_ratio=D("4.5"))] == [()]
    assert [f.works for f in found(member(TENS), "missing-rung", *works, rung_ratio=D("1.9"))] == [("a", "b"), ("b", "d"), ()]


def test_the_order_within_an_edition() -> None:
    """Number 2 asks less than number 1; 4 less than 3, but 4 is sold already; a 5 less than the sold 4."""
    run = [
        numbered("n1", 1, "200.00"), numbered("n2", 2, "190.00"), numbered("n3", 3, "250.00", state="reserved"),
        numbered("n4", 4, "240.00", state="sold"), numbered("n6", 6, "250.00"),
    ]  # fmt: skip
    result = checked(member(), *run)
    assert [f.works for f in result.findings if f.code == "edition-out-of-order"] == [("n1", "n2")]
    assert result.contradicting_pairs == 0  # one size at different prices, but one edition
    more = found(member(), "edition-out-of-order", *run, numbered("n5", 5, "235.00"))
    assert [f.works for f in more] == [("n1", "n2"), ("n4", "n5")]


def test_an_edition_stands_beside_other_works_by_its_lowest_number() -> None:
    larger = work("l", "30", "150.00")
    assert [f.works for f in found(member(), "larger-for-less", numbered("n2", 2, "300.00"), numbered("n1", 1, "200.00"), larger)] == [
        ("n1", "l")
    ]


def test_a_number_that_stands_twice() -> None:
    (note,) = notes(member(), "edition-out-of-order", numbered("n1", 1, "200.00"), numbered("m1", 1, "210.00"))
    assert (note.works, note.pointer) == (("m1",), "#/works/1/edition/number")


def test_beside_a_work_not_for_sale_it_is_a_warning() -> None:
    works = [
        work("n", "20", "300.00", state="nfs"),
        work("a", "30", "200.00"),
        work("b", "30", "200.00"),
        work("m", "30", "210.00", state="nfs"),
    ]
    result = checked(member(FINE), *works)
    assert result.contradicting_pairs == 0
    assert {(f.code, f.severity, f.works) for f in result.findings if f.severity != "note" and f.code.startswith(("larger", "same"))} == {
        ("larger-for-less", "warning", ("n", "a")), ("larger-for-less", "warning", ("n", "b")), ("larger-for-less", "warning", ("n", "m")),
        ("same-size-different-price", "warning", ("a", "b", "m")),
    }  # fmt: skip
