"""Resale royalties: worked with a pencil, declined at the right place, and the laws that hold for every price."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.engine.money import Amount, Factor, GivenMoney
from evenhang.engine.refusals import Contradictory, Missing, NotInForce, OutOfRange, Refusal, Unknown
from evenhang.engine.royalty import GivenRate, ResaleRoyalty, law_of, portions_of, royalty_of, with_smallest
from evenhang.engine.royalty_places import PLACES, PlaceRule

ON = date(2026, 5, 1)
CENT = D("0.01")
laws = st.sampled_from(PLACES)
# Around every edge of every band, and anywhere.
edges = st.builds(
    lambda edge, cents: max(CENT, edge + cents * CENT),
    st.sampled_from([D(n) for n in (400, 750, 1000, 3000, 50_000, 200_000, 350_000, 500_000, 2_000_000)]),
    st.integers(-300, 300),
)
prices = edges | st.decimals(CENT, D("9999999.99"), places=2)


def given_money(amount: object, currency: str = "EUR") -> GivenMoney:
    return GivenMoney(Amount(str(amount)), currency)


def due(law: PlaceRule, amount: D) -> ResaleRoyalty:
    return royalty_of(law, given_money(amount, law.currency))


def unrounded(law: PlaceRule, base: D) -> D:
    whole = sum((part for _, part in portions_of(law, base)), D(0))
    return whole if law.most is None else min(whole, law.most.amount)


def test_a_sale_in_pounds_that_counts_in_euro() -> None:
    """At 0.85 pounds for a euro: 51,000.05 / 0.85 = 60,000.0588 -> 60,000.06; 2,000 + 3 % of 10,000.06 = 300.0018; 2,300.00 x 0.85."""
    rate = GivenRate(Factor("0.85"), date(2024, 3, 28))
    found = royalty_of(law_of("gb", date(2024, 3, 28)), given_money("51000.05", "GBP"), exchange=rate)
    assert (str(found.base.amount), found.base.currency) == ("60000.06", "EUR")
    assert [(line.code, str(line.amount.amount)) for line in found.lines] == [("band-1", "2000.00"), ("band-2", "300.00")]
    assert (str(found.royalty.amount), found.royalty.currency) == ("2300.00", "EUR")
    assert (str(found.converted.amount), found.converted.currency) == ("1955.00", "GBP")
    assert found.working == "(51000.05, taken as net of tax) / 0.85, the rate of 2024-03-28"


def test_conversion_is_half_up() -> None:
    """Council Regulation (EC) 1103/97, Art. 4-5, as for 24.785 -> 24.79 (read): 4,956.99 / 200 = 24.78495, 4,957 / 200 = 24.785."""
    law = with_smallest(law_of("eu", ON), given_money("0"))
    found = [royalty_of(law, given_money(p, "CZK"), exchange=GivenRate(Factor("200"), ON)).base.amount for p in ("4956.99", "4957.00")]
    assert list(map(str, found)) == ["24.78", "24.79"]


def test_the_smallest_price_is_asked_of_the_base() -> None:
    """428 with 7 % tax is 400 net, which counts in Germany; 427.99 is 399.99 net."""
    found = [royalty_of(law_of("de", ON), given_money(p), D(7)) for p in ("428.00", "427.99")]
    assert [(str(f.base.amount), str(f.royalty.amount)) for f in found] == [("400.00", "16.00"), ("399.99", "0.00")]


@pytest.mark.parametrize(("sale", "code"), [("first-sale", "first-sale"), ("resale-without-trade", "without-trade")])
def test_only_resales_through_the_trade(sale: str, code: str) -> None:
    found = royalty_of(law_of("de", ON), given_money("100000"), sale=sale)
    assert (str(found.royalty.amount), found.reason.code, found.reason.pointer, found.lines) == ("0.00", code, "#/sale", ())


def test_a_state_with_its_own_smallest_price() -> None:
    law = with_smallest(law_of("eu", ON), given_money("300"))
    assert str(due(law, D(300)).royalty.amount) == "12.00"
    assert due(law, D("299.99")).reason is not None


def refused(kind: type[Refusal], call: object) -> str:
    with pytest.raises(kind) as refusal:
        call()
    return refusal.value.pointer


def test_refusals_point_at_the_fault() -> None:
    de, rate = law_of("de", ON), GivenRate(Factor("0.9"), ON)
    assert refused(Unknown, lambda: law_of("atlantis", ON)) == "/place"
    assert refused(NotInForce, lambda: law_of("ie", date(2006, 6, 12))) == "/as_of"
    assert refused(Missing, lambda: royalty_of(de, given_money("1000", "CHF"))) == "/exchange"
    assert refused(Contradictory, lambda: royalty_of(de, given_money("1000"), exchange=rate)) == "/exchange"
    assert refused(OutOfRange, lambda: royalty_of(de, given_money("1", "CHF"), exchange=GivenRate(Factor("0"), ON))) == "/exchange/rate"
    assert refused(Unknown, lambda: royalty_of(de, given_money("1000", "XAU"))) == "/price/currency"
    assert refused(Contradictory, lambda: royalty_of(de, given_money("1000.001"))) == "/price/amount"
    assert refused(Contradictory, lambda: with_smallest(de, given_money("300"))) == "/smallest_price"
    assert refused(OutOfRange, lambda: with_smallest(law_of("eu", ON), given_money("3000.01"))) == "/smallest_price/amount"
    assert refused(Contradictory, lambda: with_smallest(law_of("eu", ON), given_money("300", "GBP"))) == "/smallest_price/currency"


def test_days_of_a_place_leave_no_gap() -> None:
    for place in {row.place for row in PLACES}:
        rows = [row for row in PLACES if row.place == place]
        assert rows[-1].in_force_until is None
        assert all(a.in_force_until == b.in_force_from for a, b in zip(rows, rows[1:], strict=False))


@given(laws, prices)
def test_lines_sum_to_the_royalty_and_portions_to_the_base(law: PlaceRule, base: D) -> None:
    found = due(law, base)
    assert sum((line.amount.amount for line in found.lines), D(0)) == found.royalty.amount
    if found.reason is None:
        assert sum((line.portion.amount for line in found.lines if line.portion), D(0)) == base


@given(laws, prices, prices)
def test_never_falling_and_at_most_the_limit(law: PlaceRule, one: D, other: D) -> None:
    low, high = sorted((one, other))
    found = [due(law, base).royalty.amount for base in (low, high)]
    assert found[0] <= found[1]
    assert law.most is None or found[1] <= law.most.amount


@given(laws, prices, prices)
def test_the_effective_rate_never_rises(law: PlaceRule, one: D, other: D) -> None:
    """Unrounded; on the cent, half a cent of rounding moves it."""
    low, high = sorted((one, other))
    assert unrounded(law, low) * high >= unrounded(law, high) * low


@given(laws, prices)
def test_continuous(law: PlaceRule, base: D) -> None:
    """A cent more of price never brings more than the dearest band's part of a cent: no band edge is a step."""
    dearest = max(band.percent for band in law.bands)
    assert 0 <= unrounded(law, base + CENT) - unrounded(law, base) <= CENT * dearest / 100


@given(laws, prices, st.decimals(D("0.001"), D(500), places=3))
def test_another_currency_is_the_converted_price(law: PlaceRule, price: D, rate: D) -> None:
    """The royalty of a price in another currency is that of its converted base, and comes back by the same rate."""
    found = royalty_of(law, given_money(price, "CHF"), exchange=GivenRate(Factor(f"{rate:f}"), ON))
    assert found.royalty == due(law, found.base.amount).royalty
    assert abs(found.converted.amount - found.royalty.amount * rate) <= D("0.005")
