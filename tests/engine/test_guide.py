"""The price guide: right prices in the right order, valid for exactly as long as they stand, and nothing private in it."""

import json
import re
from datetime import date, timedelta
from decimal import Decimal as D
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.demo import RULES
from evenhang.engine.guide import Guide, GuideMedium, GuideRow, guide_of, valid_from, valid_until
from evenhang.engine.money import Amount
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import Unknown
from evenhang.engine.rules import (
    Commission,
    Cost,
    CostEstimate,
    Exchange,
    Increase,
    Medium,
    NoTax,
    Outlet,
    Rules,
    RuleSet,
    ShownFormat,
    TaxIncluded,
)
from evenhang.engine.schedules import Flat, Listed, Time
from evenhang.engine.sizes import Size
from evenhang.engine.works import Work, WorkCost
from evenhang.rulebook.book import RuleBook, load_book

ON = date(2026, 5, 1)
BOOK = load_book(RULES)
MEMBERS = tuple(BOOK.segments)
OIL = {"oil": Medium("Oil", "area", Flat(D("0.1")))}
SMALL = ShownFormat("Small", Size(Amount("10"), "cm", Amount("20")))
LARGE = ShownFormat("Large", Size(Amount("30"), "cm", Amount("40")))


def rules_of(media: dict[str, Medium] | None = None, since: date = date(2025, 1, 1), until: date | None = None, **more: Any) -> RuleSet:
    outlets = more.pop("outlets", {"door": Outlet("The door", Commission(D(0)))})
    rules = Rules("M", "EUR", media or OIL, outlets, tuple(outlets), **more)
    return RuleSet("m", rules, {}, "0" * 64, since, until)


def only(guide: Guide) -> GuideMedium:
    (medium,) = guide.media
    return medium


def rows(medium: GuideMedium) -> list[tuple[str | None, str, str | None]]:
    return [(row.format, str(row.unframed.amount), row.framed and str(row.framed.amount)) for row in medium.rows]


def frame(treatment: str = "marked_up", **more: Any) -> Cost:
    percent = D(50) if treatment == "marked_up" else None
    return Cost("Oak frame", treatment, percent, True, CostEstimate("estimate", "united", Flat(D("0.2"), per="cm")), **more)


def test_from_the_smallest_to_the_largest_by_pencil() -> None:
    """200 cm2 and 1,200 cm2 at 0.10; frames of 30 and 70 cm at 0.20, half as much again: 9 and 21."""
    guide = guide_of(rules_of(formats={"b": LARGE, "a": SMALL}, costs={"frame": frame()}), ON)
    assert rows(only(guide)) == [("a", "20.00", "29.00"), ("b", "120.00", "141.00")]
    assert only(guide).frame == "Oak frame"
    assert [row.size.text() for row in only(guide).rows if row.size] == ["10 x 20 cm", "30 x 40 cm"]


def test_sizes_are_shown_in_the_members_unit() -> None:
    guide = guide_of(rules_of(formats={"a": SMALL, "a4": ShownFormat("A4", standard="a4")}, length_unit="mm"), ON)
    assert [row.size.text() for row in only(guide).rows if row.size] == ["100 x 200 mm", "297 x 210 mm"]


def test_another_currency_of_the_members() -> None:
    """250 x 160.25 = 40,062.5 and 310 x 160.25 = 49,677.5, in steps of 500 below 50,000: 40,000 and 49,500."""
    guide = guide_of(BOOK.in_force("alder-lane", ON), ON, "oil", "JPY")
    assert rows(only(guide))[0] == ("small", "40000", "49500")
    assert (guide.currency, guide.rate, guide.rate_on, guide.currencies) == ("JPY", "160.25", date(2025, 1, 1), ("EUR", "JPY"))
    assert (guide.tax_kind, guide.tax_percent) == ("none", "0"), "the fair abroad has no tax"
    assert "160.25" in guide.statement


def test_a_currency_in_which_nobody_sells_is_no_currency_of_the_members() -> None:
    """The house pins a rate for JPY; a member without an outlet there does not sell in it."""
    rules = rules_of(formats={"a": SMALL}, fx={"JPY": Exchange(D(160), ON)})
    assert guide_of(rules, ON).currencies == ("EUR",)
    with pytest.raises(Unknown) as refusal:
        guide_of(rules, ON, currency="JPY")
    assert refusal.value.pointer == "/currency"
    with pytest.raises(Unknown) as refusal:
        guide_of(rules, ON, medium="fresco")
    assert refusal.value.pointer == "/medium"


def test_the_outlets_own_tax_abroad_and_the_members_at_home() -> None:
    outlets = {"door": Outlet("Door", Commission(D(0)), tax=NoTax()), "far": Outlet("Far", Commission(D(0)), "JPY", tax=TaxIncluded(D(8)))}
    rules = rules_of(outlets=outlets, tax=TaxIncluded(D(10)), fx={"JPY": Exchange(D(160), ON)})
    assert [guide_of(rules, ON, currency=c).tax_percent for c in ("EUR", "JPY")] == ["10", "8"]


def test_media_without_a_size() -> None:
    media = {"study": Medium("Study", "hours", Time(D(46))), "beaker": Medium("Beaker", "piece", Flat(D(40))), **OIL}
    study, beaker, oil = guide_of(rules_of(media, costs={"frame": frame()}), ON).media
    assert (study.rows, study.note) == ((), "Priced by the time that it takes: ask for the price of a work.")
    assert [(row.title, row.size, str(row.unframed.amount)) for row in beaker.rows] == [("Beaker", None, "40.00")]
    assert (oil.rows, oil.note) == ((), "No sizes are shown for this medium: ask for the price of a work.")
    assert [medium.frame for medium in (study, beaker, oil)] == [None, None, None]
    assert "46" not in str(msgspec.to_builtins(study)), "the hourly rate is the member's own affair"


def test_listed_sizes_and_canvases() -> None:
    """10F at 500 a point is 5,000 (glossary after Akoun, La cote de l'amateur, 2006, read); number 0 has no points to price."""
    media = {"book": Medium("Book", "area", Listed({"a4": D(165), "a5": D(85)})), "canvas": Medium("Canvas", "canvas", Flat(D(500)))}
    book, canvas = guide_of(rules_of(media), ON).media
    assert [(row.format, row.title, str(row.unframed.amount)) for row in book.rows] == [("a5", "A5", "85.00"), ("a4", "A4", "165.00")]
    assert len(canvas.rows) == 57
    assert next(str(row.unframed.amount) for row in canvas.rows if row.format == "10f") == "5000.00"


def test_a_size_without_a_price_says_why() -> None:
    media = {"vase": Medium("Vase", "volume", Flat(D(1))), **OIL}
    vase, oil = guide_of(rules_of(media, formats={"a": SMALL}), ON).media
    assert [(gap.format, gap.code) for gap in vase.left_out] == [("a", "missing-figure")]
    assert "depth" in vase.left_out[0].detail
    assert (len(oil.rows), oil.left_out) == (1, ())


@pytest.mark.parametrize(
    ("cost", "framed"),
    [
        (frame("at_cost"), None),  # 26 less 20 would be the cost itself
        (frame("at_cost", show_at_cost=True), "26.00"),
        (frame("absorbed"), "20.00"),
        (Cost("Frame", "recovered", frame=True), None),  # nothing estimates it
        (Cost("Crate", "recovered", estimate=frame().estimate), None),  # no frame
    ],
)
def test_which_frames_are_priced(cost: Cost, framed: str | None) -> None:
    assert rows(only(guide_of(rules_of(formats={"a": SMALL}, costs={"frame": cost}), ON))) == [("a", "20.00", framed)]


def test_a_frame_that_fits_some_sizes_only() -> None:
    media = {"relief": Medium("Relief", "height", Flat(D(2)))}
    tall = ShownFormat("Tall", Size(Amount("50"), "cm"))
    relief = only(guide_of(rules_of(media, formats={"a": SMALL, "t": tall}, costs={"frame": frame()}), ON))
    assert rows(relief) == [("a", "20.00", "29.00"), ("t", "100.00", None)]


GROWING = Increase(date(2025, 3, 1), D(5), {"2027": D(0)})


@pytest.mark.parametrize(
    ("on", "since", "until", "increase", "first", "last"),
    [
        (ON, "2025-01-01", None, None, "2025-01-01", None),
        (ON, "2025-01-01", "2026-12-01", None, "2025-01-01", "2026-12-01"),
        (date(2025, 2, 1), "2025-01-01", None, GROWING, "2025-01-01", "2026-03-01"),
        (date(2026, 3, 1), "2025-01-01", None, GROWING, "2026-03-01", "2028-03-01"),  # in 2027 by 0 %: nothing changes
        (ON, "2026-04-01", None, GROWING, "2026-04-01", "2028-03-01"),
        (ON, "2025-01-01", "2027-01-01", GROWING, "2026-03-01", "2027-01-01"),
        (date(2030, 1, 1), "2025-01-01", None, Increase(date(2024, 2, 29), D(5)), "2029-02-28", "2030-02-28"),
        (ON, "2025-01-01", None, Increase(date(2027, 6, 1), D(5)), "2025-01-01", "2028-06-01"),  # the base date itself is no increase
        (ON, "2025-01-01", None, Increase(date(2025, 3, 1), D(0)), "2025-01-01", None),
    ],
)
def test_valid_from_and_until(on: date, since: str, until: str | None, increase: Increase | None, first: str, last: str | None) -> None:
    rules = rules_of(since=date.fromisoformat(since), until=until and date.fromisoformat(until), increase=increase)
    assert (str(valid_from(rules, on)), str(valid_until(rules, on))) == (first, str(last))


def prices(guide: Guide) -> Any:
    return [medium.rows for medium in guide.media]


@given(st.sampled_from(MEMBERS), st.dates(date(2025, 1, 1), date(2032, 1, 1)), st.floats(0, 1))
def test_the_prices_stand_from_the_first_day_to_the_last(member: str, on: date, part: float) -> None:
    """On any day of its validity the guide is the same, whichever file is the newest then."""
    guide = guide_of(BOOK.in_force(member, on), on)
    assert guide.valid_from <= on
    assert guide.valid_until is not None
    assert on < guide.valid_until
    other = guide.valid_from + timedelta(int(part * ((guide.valid_until - guide.valid_from).days - 1)))
    again = guide_of(BOOK.in_force(member, other), other)
    assert prices(again) == prices(guide)
    assert (again.valid_from, again.valid_until) == (guide.valid_from, guide.valid_until)


@pytest.mark.parametrize("member", MEMBERS)
def test_every_price_is_the_price_of_its_work(member: str) -> None:
    """Row for row what a quote of that work says, framed or not; dearer or equal as sizes grow."""
    rules = BOOK.in_force(member, ON)
    guide = guide_of(rules, ON)
    assert sum(len(medium.rows) for medium in guide.media) > 2
    for medium in guide.media:
        assert medium.left_out == ()
        for row in medium.rows:
            assert row.unframed.amount == price_work(rules, Work(medium.medium, format=row.format), ON).retail
            if row.framed is not None:
                assert row.framed.amount == price_work(rules, Work(medium.medium, format=row.format, costs=(WorkCost("frame"),)), ON).retail
        amounts = [row.unframed.amount for row in medium.rows]
        assert amounts == sorted(amounts)


PRIVATE = re.compile("commission|hour|yield|proceeds|earning|cost|levy|mark.?up|recovered|absorbed|terms|fee", re.I)


@pytest.mark.parametrize("member", MEMBERS)
def test_nothing_private_is_in_it(book: RuleBook, member: str) -> None:
    """Neither a field nor a word of what only the member may see; the measure of a medium priced by time is its name."""
    rules = book.in_force(member, ON)
    text = json.dumps(msgspec.to_builtins(guide_of(rules, ON))).replace('"measure": "hours"', "")
    assert PRIVATE.findall(text) == []


def test_the_rule_on_private_words_sees_them() -> None:
    assert PRIVATE.findall('{"outlet_commission_percent": "40"}') == ["commission"]
    assert {field for kind in (Guide, GuideMedium, GuideRow) for field in kind.__struct_fields__ if PRIVATE.search(field)} == set()
