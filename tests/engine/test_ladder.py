"""Ladders: price points in order, gaps and what closes them, budget bands."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenhang.demo import RULES
from evenhang.engine.ladder import Ladder, Offer, build_ladder, making_of, usual_offers
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.refusals import Contradictory, Missing, Refusal, Unknown
from evenhang.engine.sizes import Size
from evenhang.engine.whole import Aspect, Choice
from evenhang.engine.works import WorkCost
from evenhang.rulebook.book import load_book

BOOK = load_book(RULES)
ON = date(2026, 5, 1)
MEDIA = [(member, name) for member in BOOK.segments for name in BOOK.in_force(member, ON).rules.media]


def sized(*sizes: str) -> list[Offer]:
    """Offers of sizes such as 30x40, in cm."""
    return [Offer(Choice(size=Size(Amount(s.split("x")[0]), "cm", Amount(s.split("x")[1]))), f"/sizes/{i}") for i, s in enumerate(sizes)]


def ladder(member: str, medium: str, offers: list[Offer] | None = None, ratio: str = "2", aspect: Aspect | None = None) -> Ladder:
    rules = BOOK.in_force(member, ON)
    making = making_of(rules, medium, "rectangle", None, None, ON)
    return build_ladder(rules, making, usual_offers(rules, medium) if offers is None else offers, aspect, "cm", D(ratio))


def test_the_rungs_by_pencil() -> None:
    """Oil: 0.24 up to 1,000 cm2, 0.21 up to 4,000, then 0.17, each band at least the dearest smaller size. 20 x 30 = 600 -> 144 -> 145;
    30 x 40 = 1,200 -> 252 -> 250; 60 x 80 = 4,800 -> 816, held at 840; 80 x 100 = 8,000 -> 1,360 -> 1,350. Framed 60 x 80: 12 + 0.35 x
    140 = 61, of which 100.83 bring it back (README), 940.83 -> 940."""
    built = ladder("alder-lane", "oil", sized("80x100", "20x30", "60x80", "30x40"))
    assert [(r.label, str(r.price.amount), r.band, r.ratio_to_below) for r in built.rungs] == [
        ("20 x 30 cm", "145.00", "a large present", None),
        ("30 x 40 cm", "250.00", "a large present", "1.7241"),
        ("60 x 80 cm", "840.00", "a wall at home", "3.36"),
        ("80 x 100 cm", "1350.00", "a collection", "1.6071"),
    ]
    assert (built.rungs[2].framed_price.amount, built.framing) == (D("940.00"), "frame")
    assert [(g.framed, str(g.lower.amount), str(g.upper.amount), g.ratio, g.closed) for g in built.gaps] == [
        (False, "250.00", "840.00", "3.36", True), (True, "310.00", "940.00", "3.0323", True)]  # fmt: skip
    # 3.36 is over one doubling, so one size in the middle, 250 x 3.36 ^ 0.5 = 458.26: 40 x 53 = 2,120 -> 445.20 -> 450; 41 x 54 -> 460.
    assert [(p.label, str(p.price.amount)) for p in built.gaps[0].proposals] == [("40 x 53 cm", "450.00")]
    assert [(b.title, b.unframed, b.framed, b.empty) for b in built.bands] == [
        ("a small present", 0, 0, True), ("a large present", 2, 1, False),
        ("a wall at home", 1, 2, False), ("a collection", 1, 1, False),
    ]  # fmt: skip
    # The minimum of 90 lies in the empty band below 100. 2 to 3: 16 x 24 = 384 -> 92.16 -> 90; 17 x 25 = 425 -> 102.
    assert (built.bands[0].proposal.label, str(built.bands[0].proposal.price.amount)) == ("16 x 24 cm", "90.00")


def test_a_bad_size_keeps_its_row_and_sinks_nothing() -> None:
    offers = [*sized("30x40"), Offer(Choice(size=Size(Amount("30"), "cm")), "/sizes/1"), Offer(Choice(format="nothing"), "/formats/0"),
              *sized("0x4")]  # fmt: skip
    built = ladder("alder-lane", "oil", offers)
    assert [(r.label, r.reason and r.reason.pointer) for r in built.rungs] == [
        ("30 x 40 cm", None), ("30 cm", "#/sizes/1/width"), ("nothing", "#/formats/0"), ("0 x 4 cm", "#/sizes/0/height")]  # fmt: skip


def test_what_the_member_shows_where_no_size_is_said() -> None:
    assert [r.label for r in ladder("glimmerfallow", "folio").rungs] == ["5 x 12 in", "A4", "A3"]
    assert [r.label for r in ladder("alder-lane", "plein-air").rungs] == ["12 Paysage", "30 Figure"]
    assert [r.label for r in ladder("muddlefern", "beaker").rungs] == ["Pieces: 1"]
    hours = ladder("weftanderel", "loom-study")
    assert (hours.rungs, "hours" in hours.note) == ((), True)


def test_between_listed_formats_only_another_listed_one_closes_a_gap() -> None:
    ends = [Offer(Choice(format="panorama"), ""), Offer(Choice(format="a3"), "")]
    assert [([p.format for p in g.proposals], g.closed) for g in ladder("glimmerfallow", "folio", ends, "1.9").gaps] == [(["a4"], True)]
    built = ladder("glimmerfallow", "folio", ratio="1.4")
    assert [(str(g.lower.amount), str(g.upper.amount), g.proposals, g.closed) for g in built.gaps if not g.framed] == [
        ("330.00", "480.00", (), False)
    ]


def test_a_gap_too_coarse_to_close_is_not_called_closed() -> None:
    """Beakers are 40 each, 4 % more since April: 41.60 -> 40, two 83.20 -> 85. Nothing lies between the first and the second."""
    offers = [Offer(Choice(pieces=1), ""), Offer(Choice(pieces=8), "")]
    (gap,) = ladder("muddlefern", "beaker", offers, "1.9").gaps
    assert (gap.proposals[0].label, str(gap.proposals[0].price.amount), gap.closed) == ("Pieces: 2", "85.00", False)


def test_a_band_begins_at_the_price_where_the_one_below_ends_and_a_framed_work_fills_it() -> None:
    """34 x 42 = 1,428 cm2 x 0.21 = 299.88 -> 300, the first of `a wall at home`; 16 x 24 -> 90, framed over 100."""
    built = ladder("alder-lane", "oil", sized("34x42"))
    assert (str(built.rungs[0].price.amount), built.rungs[0].band) == ("300.00", "a wall at home")
    small = ladder("alder-lane", "oil", sized("16x24")).bands
    assert [(b.unframed, b.framed, b.empty) for b in small[:2]] == [(1, 0, False), (0, 1, False)]


def test_a_work_without_a_frame_estimate_is_framed_at_a_named_cost() -> None:
    rules = BOOK.in_force("bracken-gouge", ON)
    making = making_of(rules, "linocut", "rectangle", None, WorkCost("frame", GivenMoney(Amount("40"), "EUR")), ON)
    (rung,) = build_ladder(rules, making, sized("20x30"), None, "cm").rungs
    assert rung.framed_price.amount > rung.price.amount + 40
    assert "frame" in ladder("bracken-gouge", "linocut").note


@pytest.mark.parametrize(
    ("grade", "framing", "refusal", "pointer"),
    [
        ("plain", None, Unknown, "/grade"),
        (None, WorkCost("glass"), Unknown, "/framing/name"),
        (None, WorkCost("frame"), Missing, "/framing/amount"),
        (None, WorkCost("frame", GivenMoney(Amount("1"), "JPY")), Contradictory, "/framing/amount/currency"),
    ],
)
def test_refusals(grade: str | None, framing: WorkCost | None, refusal: type[Refusal], pointer: str) -> None:
    with pytest.raises(refusal) as declined:
        making_of(BOOK.in_force("bracken-gouge", ON), "linocut", "rectangle", grade, framing, ON)
    assert declined.value.pointer == pointer


lengths = st.integers(5, 150)


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(MEDIA), st.lists(st.tuples(lengths, lengths, lengths), min_size=2, max_size=5),
    st.sampled_from(["1.3", "1.6", "2", "4"]),
)  # fmt: skip
def test_a_gap_that_is_called_closed_is_closed(named: tuple[str, str], sizes: list[tuple[int, int, int]], ratio: str) -> None:
    """Every step from the lower price point over the proposals to the upper one is within the ratio, rising, and priced as it says."""
    offers = [Offer(Choice(size=Size(Amount(h), "cm", Amount(w), Amount(d))), f"/sizes/{i}") for i, (h, w, d) in enumerate(sizes)]
    built = ladder(*named, offers, ratio)
    prices = [r.price.amount for r in built.rungs if r.price]
    assert prices == sorted(prices)
    for gap in built.gaps:
        assert gap.upper.amount / gap.lower.amount > D(ratio)
        along = [p.framed_price.amount if gap.framed else p.price.amount for p in gap.proposals]
        steps = [gap.lower.amount, *along, gap.upper.amount]
        assert steps == sorted(set(steps))
        assert gap.closed == (len(steps) > 2 and all(b / a <= D(ratio) for a, b in zip(steps, steps[1:])))
    for band in built.bands:
        if band.proposal is not None:
            assert band.empty
            assert band.proposal.band == band.title
