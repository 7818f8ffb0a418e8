"""The pictures by what they draw: each price where it belongs, each finding marked, every figure said in words too."""

import json
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from tests.pictures.seen import ENGLISH, ON, euros, painted, whole

import evenhang.demo
from evenhang.api.checks import CheckRequest
from evenhang.api.reading import read_json
from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.check import check_catalogue, comparable_works
from evenhang.engine.ladder import BandCount, Ladder
from evenhang.engine.money import Money
from evenhang.engine.review import ReviewRow
from evenhang.engine.rungs import Rung
from evenhang.engine.settlement import Settlement, Share, settle
from evenhang.pictures.canvas import Drawing
from evenhang.pictures.checks import SHOWN_AS, draw_checks
from evenhang.pictures.ladder import draw_ladders
from evenhang.pictures.review import MOST_LISTED, draw_review
from evenhang.pictures.settlement import LOOKS, NAMES, draw_settlement
from evenhang.rulebook.book import RuleBook

CATALOGUE = json.loads((Path(evenhang.demo.__file__).parent / "catalogue.json").read_text())


# The settlement.


def settled(*amounts: str) -> Settlement:
    shares = tuple(Share(party, euros(amount)) for party, amount in zip(NAMES, amounts, strict=True))
    total = Money(sum((share.amount.amount for share in shares), Decimal(0)), "EUR")
    return Settlement("quay", (), shares, total, euros("0.00"), euros("0.00"))


@pytest.mark.parametrize("amounts", [("500.00", "400.00", "10.00", "5.00", "85.00"), ("-20.00", "120.00", "0.00", "0.00", "10.00")])
def test_each_share_begins_where_the_last_ended_and_the_last_ends_at_what_was_paid(amounts: tuple[str, ...]) -> None:
    drawing = draw_settlement(settled(*amounts), "The quay", ENGLISH)
    bars = [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in painted(drawing).axes[0].patches]
    assert bars[0][0] == 0
    assert [end for _, end in bars[:-1]] == pytest.approx([start for start, _ in bars[1:]])
    assert bars[-1][1] == pytest.approx(float(sum(map(Decimal, amounts))))
    assert [ENGLISH.amount(euros(amount)) in drawing.description for amount in amounts] == [True] * 5
    assert "Arithmetic, not advice" in whole(drawing)


def test_parties_are_told_apart_by_hatching_as_well_as_by_colour() -> None:
    assert len({colour for colour, _ in LOOKS.values()}) == len({hatch for _, hatch in LOOKS.values()}) == len(NAMES)


def test_a_sale_that_was_paid_nothing_has_no_percentages() -> None:
    assert "%" not in draw_settlement(settled("0.00", "0.00", "0.00", "0.00", "0.00"), "The quay", ENGLISH).description


def test_the_demos_settlement_is_drawn(book: RuleBook) -> None:
    rules = book.in_force("alder-lane", ON)
    whole(draw_settlement(settle(rules, "quay-gallery", Decimal(1000), Decimal(10), {}, None), "Gallery", ENGLISH))


# The review.


def moved(id: str, old: str, new: str, held: bool = False) -> ReviewRow:
    return ReviewRow(id, "for-sale", euros(old), euros(new), euros(new), held=held)


def test_old_and_new_prices_stand_side_by_side_and_the_others_are_counted() -> None:
    rows = [moved("b", "300.00", "330.00"), moved("a", "100.00", "110.00"), moved("c", "700.00", "700.00", True), ReviewRow("d", "sold")]
    drawing = draw_review(rows, ENGLISH)
    axes = painted(drawing).axes[0]
    found = {line.get_label(): list(line.get_xdata()) for line in axes.lines}
    assert found == {"New price": [110, 330], "Held above the rules": [700], "Old price": [100, 300, 700]}
    assert [label.get_text() for label in axes.get_yticklabels()] == ["a", "b", "c"]
    assert "Works: 3. Raised: 2. Held above the rules: 1. Sold or without a price, not shown: 1." in drawing.description
    assert "b: EUR\u00a0300.00 to EUR\u00a0330.00." in drawing.description
    whole(drawing)


def test_many_works_become_a_cloud_with_every_one_of_them_in_it() -> None:
    rows = [moved(f"w{i}", f"{100 + i}.00", f"{110 + i}.00") for i in range(MOST_LISTED + 1)]
    axes = painted(draw_review(rows, ENGLISH)).axes[0]
    (cloud,) = [line for line in axes.lines if line.get_label() == "New price"]
    assert len(cloud.get_xdata()) == MOST_LISTED + 1
    assert axes.get_xscale() == axes.get_yscale() == "log"
    whole(draw_review(rows, ENGLISH))


def test_a_review_of_nothing_is_a_picture_too() -> None:
    assert "Works: 0." in whole(draw_review([], ENGLISH))


# The checks.


def works_of(member: str) -> tuple[CatalogueWork, ...]:
    listed = CATALOGUE[member]
    body = json.dumps({"works": listed["works"] if isinstance(listed, dict) else listed}).encode()
    return tuple(read_json(body, CheckRequest).works)


def checked(book: RuleBook, member: str, *mend: Any) -> Drawing:
    rules, rules_on = book.in_force(member, ON), partial(book.in_force, member)
    works = works_of(member)
    found = check_catalogue(rules, rules_on, works, ON, mend=mend)
    return draw_checks(rules, comparable_works(rules, rules_on, works, ON), found, ENGLISH)


def lines_of(drawing: Drawing, label: str) -> list[Any]:
    return [line for axes in painted(drawing).axes for line in axes.lines if line.get_label() == label]


def test_what_is_planted_in_the_demo_is_seen(book: RuleBook) -> None:
    """PLANTED.md: al-06 is larger than al-05 or al-08 and asks less; al-13 and al-14 are of one size; al-06's unit rate is odd."""
    drawing = checked(book, "alder-lane", "raise-only", "least-change")
    (pair,) = lines_of(drawing, "Larger for less")
    assert list(pair.get_xdata()) == sorted(pair.get_xdata())
    assert list(pair.get_ydata()) == sorted(pair.get_ydata(), reverse=True)
    (same,) = lines_of(drawing, "Same size, different price")
    assert len(set(same.get_xdata())) == 1
    (odd,) = lines_of(drawing, "Odd unit rate")
    assert (odd.get_xdata()[0], odd.get_ydata()[0]) == (pair.get_xdata()[1], pair.get_ydata()[1])
    raised = {x: y for line in lines_of(drawing, "Mended by raises") for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True)}
    assert raised[pair.get_xdata()[1]] > pair.get_ydata()[1]
    assert lines_of(drawing, "Mended by least change")
    whole(drawing)


def test_every_work_that_is_compared_is_a_point(book: RuleBook) -> None:
    rules, rules_on = book.in_force("alder-lane", ON), partial(book.in_force, "alder-lane")
    works = works_of("alder-lane")
    groups = comparable_works(rules, rules_on, works, ON)
    drawing = draw_checks(rules, groups, check_catalogue(rules, rules_on, works, ON), ENGLISH)
    points = sum(len(line.get_xdata()) for label in ("For sale", "Reserved, not for sale") for line in lines_of(drawing, label))
    assert points == sum(map(len, groups.values())) > 10


@pytest.mark.parametrize("member", sorted(CATALOGUE))
def test_every_catalogue_of_the_demo_is_drawn(book: RuleBook, member: str) -> None:
    whole(checked(book, member, "raise-only"))


def test_every_measure_is_shown_in_some_unit() -> None:
    from typing import get_args

    from evenhang.engine.sizes import Measure

    assert set(SHOWN_AS) == set(get_args(Measure))


# The ladder.


def test_price_points_stand_against_the_bands() -> None:
    rungs = (Rung("small", price=euros("100.00"), framed_price=euros("150.00")), Rung("large", price=euros("900.00")), Rung("odd"))
    bands = (BandCount("gift", euros("0.00"), euros("80.00"), 0, 0, True), BandCount("wall", euros("80.00"), None, 2, 1, False))
    drawing = draw_ladders((Ladder("oil", "Oil", "area", "frame", rungs, (), bands),), bands, ENGLISH)
    found = {line.get_label(): list(line.get_xdata()) for line in painted(drawing).axes[0].lines if not line.get_label().startswith("_")}
    assert found == {"Unframed": [100, 900], "Framed": [150]}
    assert "Empty bands: gift." in drawing.description
    assert "small: EUR\u00a0100.00, framed EUR\u00a0150.00; large: EUR\u00a0900.00." in drawing.description
    whole(drawing)


def test_a_ladder_without_prices_is_a_picture_too() -> None:
    whole(draw_ladders((Ladder("mural", "Mural", "hours", None, (), (), ()),), (), ENGLISH))
    whole(draw_ladders((), (), ENGLISH))
