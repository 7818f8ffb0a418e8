"""Standing offers: what they say, until when they stand, when a price can be worked out again, and that nothing private is in them."""

import json
from datetime import date, timedelta
from decimal import Decimal

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sealing.cases import OFFER

from evenhang.demo import CATALOGUE
from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.offer import MOST_DAYS, Offer, content_id, last_day, make_offer, price_again, state_of
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import Missing, OutOfRange, Unknown
from evenhang.engine.sizes import Size
from evenhang.engine.works import ChosenExtra, Work, WorkCost
from evenhang.rulebook.book import RuleBook

ON = date(2026, 5, 1)
OIL = Work("oil", "Low water", Size(Amount("60"), "cm", Amount("80")), costs=(WorkCost("frame"),), hours=Amount("20"))
FIRING = WorkCost("firing", GivenMoney(Amount("61.37"), "EUR"))
VESSEL = Work("vessel", size=Size(Amount("60"), "cm", Amount("26"), Amount("26")), costs=(FIRING,))


def offered(book: RuleBook, member: str, work: Work, shown: tuple[str, ...] = (), on: date = ON, days: int = 30) -> Offer:
    rules = book.in_force(member, on)
    return make_offer(rules, work, price_work(rules, work, on), shown, on, days)


def test_what_an_offer_says(book: RuleBook) -> None:
    """The price is that of the quote by pencil (tests/contract/test_service.py); its tax is 940 x 10 / 110 = 85.45."""
    offer = offered(book, "alder-lane", OIL, ("frame",))
    assert (offer.price.amount, offer.tax_kind, offer.tax.amount) == (Decimal("940.00"), "included", Decimal("85.45"))
    assert (offer.words, offer.work.covers) == ("Oil on linen, 60 x 80 cm, Frame", ("frame",))
    assert (offer.issued_on, offer.last_on) == (ON, date(2026, 5, 31))
    assert [here.outlet for here in offer.outlets] == ["studio", "shed-shop", "quay-gallery", "lantern-fair"]
    assert offer.repriceable


def test_words_of_every_part(book: RuleBook) -> None:
    panel, wide = Size(Amount("40"), "cm", Amount("30.50")), Size(Amount("40"), "cm", Amount("60"))
    work = Work("oil", panels=(panel, panel, wide), grade="close-work", extras=(ChosenExtra("gilded-edge", 4),))
    assert offered(book, "alder-lane", work).words == "Oil on linen, 2 panels of 40 x 30.5 cm + 40 x 60 cm, Close work, 4 x Gilded edge"
    round_work = Work("round-hanging", size=Size(Amount("80"), "cm"), shape="round")
    assert offered(book, "weftanderel", round_work).words == "Round or oval hanging, 80 cm, round"
    assert offered(book, "weftanderel", Work("tapestry", format="door")).words == "Tapestry, wool on linen, 2 x 0.9 m"


# Regulation (EEC, Euratom) No 1182/71, Article 3(1): the day of the event does not count, so one day after 1 May ends with 2 May.
@pytest.mark.parametrize(
    ("days", "last"),
    [(1, date(2026, 5, 2)), (30, date(2026, 5, 31)), (31, date(2026, 6, 1)), (365, date(2027, 5, 1)), (366, date(2027, 5, 2))],
)
def test_the_day_of_issue_does_not_count(days: int, last: date) -> None:
    assert last_day(ON, days) == last


def test_beyond_the_calendar() -> None:
    with pytest.raises(OutOfRange) as caught:
        last_day(date(9999, 12, 31), 1)
    assert caught.value.pointer == "/as_of"


@given(st.dates(date(2026, 1, 1), date(2030, 1, 1)), st.integers(1, MOST_DAYS), st.integers(-800, 800))
def test_it_stands_from_its_issue_to_its_last_day(issued: date, days: int, later: int) -> None:
    offer = msgspec.structs.replace(OFFER, issued_on=issued, last_on=last_day(issued, days))
    state = "not-yet" if later < 0 else "standing" if later <= days else "expired"
    assert state_of(offer, issued + timedelta(days=later)) == state


def test_the_id_is_a_hash_of_all_that_is_said(book: RuleBook) -> None:
    offer = offered(book, "alder-lane", OIL, ("frame",))
    assert offer.id == content_id(offer) == offered(book, "alder-lane", OIL, ("frame",)).id
    others = [
        offered(book, "alder-lane", OIL, ("frame",), days=31), offered(book, "alder-lane", OIL), offered(book, "glimmerfallow", PRINT),
        offered(book, "alder-lane", msgspec.structs.replace(OIL, title="High water"), ("frame",)),
        offered(book, "alder-lane", OIL, ("frame",), on=date(2026, 5, 2)),
    ]  # fmt: skip
    assert len({offer.id, *(other.id for other in others)}) == 6
    # Hours are the member's own affair: they change nothing that the offer says.
    assert offered(book, "alder-lane", msgspec.structs.replace(OIL, hours=Amount("31.5")), ("frame",)) == offer


PRINT = Work("pigment-print", size=Size(Amount("12"), "in", Amount("12")))


def test_the_price_again_by_later_rules(book: RuleBook) -> None:
    """Sealed in March, asked again in May: what a new quote of that day says."""
    march = date(2026, 3, 20)
    offer = offered(book, "alder-lane", OIL, ("frame",), on=march)
    later = book.in_force("alder-lane", ON)
    assert offer.price.amount == Decimal("910.00")
    assert price_again(later, offer, ON) == price_work(later, OIL, ON).retail == Decimal("940.00")


def test_what_cannot_be_worked_out_again(book: RuleBook) -> None:
    """Hours made the price; a cost was stated; a charged cost is hidden: an offer holds none of them."""
    hours = Work("loom-study", hours=Amount("6.5"))
    for member, work, shown in (("weftanderel", hours, ()), ("muddlefern", VESSEL, ("firing",)), ("alder-lane", OIL, ())):
        offer = offered(book, member, work, shown)
        assert not offer.repriceable
        with pytest.raises(Missing, match="hours or on costs"):
            price_again(book.in_force(member, ON), offer, ON)


def test_an_equal_price_is_no_proof_that_an_offer_says_enough(book: RuleBook) -> None:
    """A frame stated at just what the rules estimate today (12 + 140 x 0.35 = 61); a hidden bar whose cost the rounding swallows."""
    stated = msgspec.structs.replace(OIL, costs=(WorkCost("frame", GivenMoney(Amount("61.00"), "EUR")),))
    assert offered(book, "alder-lane", stated, ("frame",)).price == offered(book, "alder-lane", OIL, ("frame",)).price
    assert not offered(book, "alder-lane", stated, ("frame",)).repriceable
    hanging = Work("tapestry", size=Size(Amount("41"), "cm", Amount("51")))
    barred = msgspec.structs.replace(hanging, costs=(WorkCost("bar"),))
    assert offered(book, "weftanderel", hanging).price == offered(book, "weftanderel", barred).price
    assert [offered(book, "weftanderel", barred, shown).repriceable for shown in ((), ("bar",))] == [False, True]


def test_a_medium_that_is_gone_is_refused_as_a_quote_is(book: RuleBook) -> None:
    early = date(2025, 6, 1)
    offer = offered(book, "glimmerfallow", Work("card", format="a6"), on=early)
    assert offer.repriceable
    with pytest.raises(Unknown, match="card"):
        price_again(book.in_force("glimmerfallow", ON), offer, ON)


def every_work() -> list[tuple[str, Work]]:
    """Every work of the demo's catalogue, with its member."""
    out = []
    for member, works in json.loads(CATALOGUE.read_text()).items():
        for item in msgspec.convert(works, tuple[CatalogueWork, ...], dec_hook=lambda kind, value: kind.parse(value)):
            out.append((member, item.work))
    return out


def names_inside(value: object) -> set[str]:
    """The names of all fields inside."""
    if isinstance(value, dict):
        return set(value) | {name for part in value.values() for name in names_inside(part)}
    return {name for part in value for name in names_inside(part)} if isinstance(value, list) else set()


def test_no_private_figure_is_in_an_offer_of_any_member_and_medium(book: RuleBook) -> None:
    """With hours of 7777.77 and each cost stated at 313.13, neither figure, nor any place for one, is in what is offered."""
    media = set()
    for member, plain in every_work():
        rules = book.in_force(member, ON)
        if plain.medium not in rules.rules.media or any(extra.name not in rules.rules.extras for extra in plain.extras):
            continue
        costs = tuple(WorkCost(name, GivenMoney(Amount("313.13"), rules.currency)) for name in rules.rules.costs)
        work = msgspec.structs.replace(plain, hours=Amount("7777.77"), costs=costs)
        offer = offered(book, member, work, tuple(n for n, c in rules.rules.costs.items() if c.treatment != "absorbed"))
        said = msgspec.json.encode(offer).decode()
        assert not [figure for figure in ("7777", "313.13", "hours", "commission", "yield", "proceeds") if figure in said]
        assert names_inside(json.loads(said)) <= FIELDS
        media.add((member, plain.medium))
    assert media == {(member, medium) for member in book.segments for medium in book.in_force(member, ON).rules.media}


FIELDS = {
    "id", "member", "words", "work", "price", "tax_kind", "tax", "outlets", "rules_digest", "issued_on", "last_on", "repriceable",
    "medium", "title", "sizes", "format", "shape", "grade", "extras", "covers", "height", "unit", "width", "depth", "name", "quantity",
    "outlet", "amount", "currency",
}  # fmt: skip
