"""The rule behind past prices: against a published list and scipy, by pencil, and loaded through the rule book."""

import shutil
import tomllib
from datetime import date
from decimal import Decimal as D
from math import exp, log
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from evenhang.demo import RULES
from evenhang.engine.feel import MediumFeel, feel_of
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.past import PastWork, SizePrice, size_price
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import OutOfRange, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.sizes import Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost
from evenhang.rulebook.book import load_book

BOOK = load_book(RULES)
ON = date(2026, 5, 1)
OIL = BOOK.in_force("alder-lane", ON)

# A painter's own price list (Mathematics Stack Exchange, question 647378, CC BY-SA, read): area in cm2, price.
LIST = [(400, 15_000), (1_849, 30_000), (2_107, 30_000), (2_907, 35_000), (5_600, 45_000), (9_801, 50_000), (12_000, 55_920),
        (24_000, 95_000), (35_000, 125_000), (50_000, 150_000)]  # fmt: skip


def prices(*rows: tuple[object, object]) -> list[SizePrice]:
    return [SizePrice(f"w{i}", D(str(m)), D(str(p))) for i, (m, p) in enumerate(rows)]


def feel(*rows: tuple[object, object], rules: RuleSet = OIL, name: str = "oil") -> MediumFeel:
    return feel_of(rules, {name: prices(*rows)})[0][0]


def test_the_published_list() -> None:
    """On logs, computed with scipy 1.17.1: least squares 0.46586402; Theil-Sen 0.47380996, 95 % band 0.376386 to 0.513448; no modified
    z-score of the residuals passes 3.5."""
    found = feel(*LIST)
    assert (found.exponent, found.least_squares_exponent) == ("0.47380996", "0.46586402")
    assert (round(D(found.exponent_low), 6), round(D(found.exponent_high), 6)) == (D("0.376386"), D("0.513448"))
    assert found.odd == ()
    assert (found.reference_measure, found.counted, found.distinct_sizes) == ("7410", 10, 10)


def test_how_tightly_the_list_fits_is_scipys() -> None:
    slope, intercept, *_ = stats.theilslopes([log(p) for _, p in LIST], [log(m) for m, _ in LIST], method="joint")
    errors = sorted(100 * (p / exp(intercept + slope * log(m)) - 1) for m, p in LIST)
    found = feel(*LIST)
    assert float(found.reference_price.amount) == pytest.approx(exp(intercept + slope * log(float(found.reference_measure))), abs=0.01)
    assert float(found.median_error_percent) == pytest.approx(stats.scoreatpercentile([abs(e) for e in errors], 50), abs=0.006)
    assert float(found.error_low_percent) == pytest.approx(stats.scoreatpercentile(errors, 10), abs=0.006)
    assert float(found.error_high_percent) == pytest.approx(stats.scoreatpercentile(errors, 90), abs=0.006)


def test_by_pencil() -> None:
    """A square root: 100 at 100 cm2, 200 at 400, 300 at 900, 400 at 1,600, 500 at 2,500; and one that asks 900 at 900 does not follow."""
    found = feel((100, 101), (400, 199), (900, 300), (1600, 402), (2500, 500), (3600, 597), (900, 900))
    assert float(found.exponent) == pytest.approx(0.5, abs=0.02)
    assert [(o.id, str(o.asked.amount)) for o in found.odd] == [("w6", "900.00")]
    assert float(found.odd[0].felt.amount) == pytest.approx(300, abs=3)
    assert float(found.odd[0].error_percent) == pytest.approx(200, abs=3)
    assert "{ measure = 900, price = 300 }" in found.schedules[1].toml  # the odd one has no part in the usual price
    assert float(found.least_squares_exponent) != pytest.approx(float(found.exponent), abs=0.001)
    assert float(found.unit_rate) == pytest.approx(float(found.reference_price.amount) / float(found.reference_measure), abs=1e-6)


def test_too_few_works_or_sizes_say_what_is_missing() -> None:
    few = feel((100, 10), (200, 20), (300, 30), (400, 40))
    assert (few.exponent, few.reason.code, "Works here: 4, sizes: 4." in few.reason.detail) == (None, "missing-figure", True)
    assert "Works here: 5, sizes: 2." in feel((100, 10), (200, 20), (200, 30), (200, 25), (100, 11)).reason.detail


@pytest.mark.parametrize("far", [(49_400, 2500), (25, 50)])
def test_a_line_through_nearly_one_size_leads_nowhere_else(far: tuple[int, int]) -> None:
    """Prices that double within 1 % of size, and a work far larger or smaller: a price of fifty digits, or of none, is no rule."""
    none = feel(*((4784 + 8 * i, 700 + 100 * i) for i in range(8)), far)
    assert (none.exponent, none.odd, none.schedules) == (None, (), ())
    assert none.reason is not None
    assert (none.reason.pointer, none.reason.code) == ("#/works", "out-of-range")


def test_prices_that_fall_with_size_make_no_schedule() -> None:
    found = feel((100, 500), (200, 400), (300, 300), (400, 200), (500, 100))
    assert float(found.exponent) < 0
    assert [s.kind for s in found.schedules] == ["points"]  # pooled to one level, which never falls
    assert "do not grow" in found.note


def test_works_all_on_the_line_have_no_odd_ones_and_say_so() -> None:
    found = feel(*[(m, 2 * m) for m in (100, 200, 300, 400, 500)])
    assert (found.exponent, found.median_error_percent, found.odd) == ("1", "0", ())
    assert "none can be called odd" in found.note


def test_a_common_exponent_where_the_bands_allow_it_and_none_where_not() -> None:
    """Two media with the same square root and a little spread share it; a third that grows in proportion does not."""
    spread = [1.03, 0.98, 1.01, 0.97, 1.02, 1.0, 0.99]
    root = [(m, 10 * m**0.5 * s) for m, s in zip((100, 300, 700, 1500, 2500, 3600, 5000), spread, strict=True)]
    other = [(m, 25 * m**0.5 * s) for m, s in zip((80, 200, 600, 1100, 2100, 3000, 4000), reversed(spread), strict=True)]
    straight = [(m, m * s) for m, s in zip((100, 300, 700, 1500, 2500, 3600, 5000), spread, strict=True)]
    few = [(500, 300), (900, 410)]
    feels, common = feel_of(OIL, {"oil": prices(*root), "drawing": prices(*other), "plein-air": prices(*few)})
    assert (common.supported, common.media) == (True, ("oil", "drawing"))
    assert {f.exponent for f in feels} == {common.exponent}
    assert [(f.is_common, f.exponent_low is None) for f in feels] == [(True, False), (True, False), (True, True)]
    assert "taken from the other media" in feels[2].note
    feels, common = feel_of(OIL, {"oil": prices(*root), "drawing": prices(*straight), "plein-air": prices(*few)})
    assert (common.supported, [f.is_common for f in feels]) == (False, [False, False, False])
    assert "each medium keeps its own" in common.decision
    assert feels[2].reason is not None
    assert feel_of(OIL, {"oil": prices(*root)})[1] is None


def test_the_size_price_is_the_price_taken_apart() -> None:
    """Whatever the rules put on top of the size comes off again: grade, increase, both kinds of extras, recovered and estimated costs."""
    frame, laboratory = WorkCost("frame"), WorkCost("laboratory", GivenMoney(Amount("12.5"), "EUR"))
    drawing = Size(Amount("30"), "cm", Amount("40"))
    both = (ChosenExtra("toning", 2), ChosenExtra("box"))
    for member, work in (
        ("alder-lane", Work("drawing", size=drawing, grade="close-work", extras=(ChosenExtra("gilded-edge", 2),), costs=(frame,))),
        ("glimmerfallow", Work("silver-print", format="eight-ten", extras=both, costs=(frame, laboratory))),
    ):
        for on in (ON, date(2027, 6, 1)):
            rules = BOOK.in_force(member, on)
            shown = price_work(rules, work, on)
            taken = size_price(rules, PastWork("w", work, GivenMoney(Amount(shown.retail), "EUR")), on)
            step = 10  # the grid at these prices
            assert abs(taken.amount - shown.lines[0].amount.amount) <= step / D("1.15")
            assert str(taken.measure.normalize()) == str(D(shown.measured).normalize())


@pytest.mark.parametrize(
    ("work", "price", "refusal", "pointer"),
    [
        (Work("lead"), "10", Unknown, "/work/medium"),
        (Work("oil", format="nothing"), "10", Unknown, "/work/format"),
        (Work("oil", format="a4", costs=(WorkCost("frame"),)), "10", OutOfRange, "/price/amount"),
        (Work("plein-air", format="0f"), "10", OutOfRange, "/work"),
    ],
)
def test_refusals_point_into_the_row(work: Work, price: str, refusal: type, pointer: str) -> None:
    with pytest.raises(refusal) as declined:
        size_price(OIL, PastWork("w", work, GivenMoney(Amount(price), "EUR")), ON)
    assert declined.value.pointer == pointer


def loaded(folder: Path, member: str, toml: str) -> RuleSet:
    """The demo's rules with one more file of the member's that says just these lines."""
    for side in ("house", f"members/{member}"):
        shutil.copytree(RULES / side, folder / side)
    (folder / "members" / member / "2026-04-15.toml").write_text(toml)
    return load_book(folder).in_force(member, ON)


MEDIA = [(member, name) for member in BOOK.segments for name in BOOK.in_force(member, ON).rules.media]


@settings(max_examples=20, deadline=None)
@given(
    st.sampled_from(MEDIA), st.lists(st.tuples(st.integers(1, 60), st.integers(1, 900_000)), min_size=5, max_size=30),
    st.sampled_from([1, 7, 120]),
)  # fmt: skip
def test_ready_schedules_load_as_they_are(
    tmp_path_factory: pytest.TempPathFactory, named: tuple[str, str], rows: list[tuple[int, int]], unit: int
) -> None:
    """Whatever the prices are, what is proposed is taken by the loader, and asks the price of the size that it says."""
    member, name = named
    rules = BOOK.in_force(member, ON)
    found = feel(*[(m * unit, D(p) / 100) for m, p in rows], rules=rules, name=name)
    for ready in found.schedules:
        then = loaded(tmp_path_factory.mktemp("rules") / "rules", member, ready.toml)
        schedule = then.rules.media[name].schedule
        assert type(schedule).__name__.lower() == ready.kind
        assert tomllib.loads(ready.toml)["media"][name]["schedule"]["kind"] == ready.kind
        if ready.kind == "power":
            assert (schedule.reference_price, str(schedule.reference_measure)) == (found.reference_price.amount, found.reference_measure)


def test_the_ready_power_schedule_prices_as_felt(tmp_path: Path) -> None:
    rows = [(m, round(8 * m**0.6, 2)) for m in (400, 600, 1200, 2400, 4800, 9600)]
    found = feel(*rows)
    then = loaded(tmp_path / "rules", "alder-lane", found.schedules[0].toml)
    for m, p in rows:
        size = price_work(then, Work("oil", size=Size(Amount(m), "cm", Amount(1))), ON).lines[0].amount.amount
        assert float(size) == pytest.approx(p, rel=0.001)


def test_the_ready_points_are_the_usual_sizes(tmp_path: Path) -> None:
    """Three sizes made twice or more are the usual ones; of an even number of prices the median is the mean of the two in the middle."""
    rows = [(600, 100), (600, 120), (1200, 200), (1200, 190), (1200, 195), (4800, 600), (4800, 600), (700, 130), (9000, 700)]
    ready = feel(*rows).schedules[1]
    points = loaded(tmp_path / "rules", "alder-lane", ready.toml).rules.media["oil"].schedule.points
    assert [(p.measure, p.price) for p in points] == [(600, 110), (1200, 195), (4800, 600)]


def test_ends_too_steep_for_a_rule_file_are_left_out_of_the_points() -> None:
    """From 100 to 110 cm2 three times the price is an exponent of ln 3 / ln 1.1 = 11.5, and 300 to 310 is steeper still; the most is 2."""
    toml = feel((100, 10), (110, 30), (200, 50), (300, 60), (310, 200)).schedules[-1].toml
    assert "points = [{ measure = 110, price = 30 }, { measure = 200, price = 50 }, { measure = 300, price = 60 }]" in toml
