"""The royalty on a resale, band by band, by the law of the place and day.

Knows one sale and one row of the table of places; whether a right exists at all (nationality, years since the maker's
death, exemptions) it does not ask. Arithmetic, not advice.
"""

from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from evenhang.engine.money import HUNDRED, MINOR_DIGITS, ZERO, Factor, GivenMoney, Money, Ratio, exact, figure, money, to_minor
from evenhang.engine.refusals import Contradictory, Missing, NotInForce, OutOfRange, Unknown
from evenhang.engine.royalty_places import PLACES, STATES_CHOOSE, PlaceRule
from evenhang.engine.settlement import CAUTION
from evenhang.engine.yields import Reason

# Directive 2001/84/EC, Art. 1(1) and 1(2): the first transfer by the maker and sales without the trade are not covered.
SaleKind = Literal["resale-through-trade", "resale-without-trade", "first-sale"]
NOT_LOOKED_AT = (
    "whether the maker's rights still run",
    "whether the maker's nationality or residence gives the right",
    "whether the place exempts a seller who bought from the maker less than three years before, for at most 10,000 EUR "
    "(Directive 2001/84/EC, Art. 1(3))",
    "whether a buyer's premium belongs to the price",
    "who pays, and to whom",
)


class GivenRate(Struct, frozen=True, forbid_unknown_fields=True):
    """A rate that the caller answers for, and its day: units of the price's currency for one unit of the place's."""

    rate: Factor
    on: date


class RoyaltyLine(Struct, frozen=True):
    """One line: a band's portion of the base with its royalty, or what the limit takes off (that has no portion)."""

    code: str
    label: str
    portion: Money | None
    amount: Money
    working: str


class ResaleRoyalty(Struct, frozen=True):
    """The royalty in the place's currency; the lines sum to it exactly. Where it is 0 for a reason, there are no lines.

    `base` is what the law counts, in its currency; `converted` is the royalty in the price's currency, None if that is the same.
    """

    law: PlaceRule
    price: Money
    tax: Money
    base: Money
    working: str
    lines: tuple[RoyaltyLine, ...]
    royalty: Money
    converted: Money | None
    effective_percent: Ratio
    reason: Reason | None
    not_looked_at: tuple[str, ...] = NOT_LOOKED_AT
    caution: str = CAUTION


def law_of(place: str, on: date) -> PlaceRule:
    """The row in force in `place` on that day. Unknown for a place that is not in the table, NotInForce before its first row."""
    rows = [row for row in PLACES if row.place == place]
    if not rows:
        raise Unknown.name("place", place, {row.place for row in PLACES}, "/place")
    for row in rows:
        if row.in_force_from <= on and (row.in_force_until is None or on < row.in_force_until):
            return row
    first = rows[0].in_force_from
    raise NotInForce(f"The table has no royalty of {rows[0].title} on {on}.", "/as_of", f"Its first row begins on {first}.")


def with_smallest(law: PlaceRule, smallest: GivenMoney | None) -> PlaceRule:
    """The row with a state's own smallest price. Contradictory where the row has its own, OutOfRange above the directive's ceiling."""
    if smallest is None:
        return law
    if law.place not in STATES_CHOOSE:
        detail = f"{law.title} has its own smallest price: {law.smallest_price.amount} {law.currency}."
        raise Contradictory(detail, "/smallest_price", "Leave it out.")
    amount = smallest.in_currency(law.currency, "/smallest_price")
    if amount > law.smallest_price.amount:
        detail = f"A state's smallest price is at most {law.smallest_price.amount} {law.currency} (Art. 3(2))."
        raise OutOfRange(detail, "/smallest_price/amount")
    return replace(law, smallest_price=money(amount, law.currency))


@exact
def portions_of(law: PlaceRule, base: Decimal) -> list[tuple[Decimal, Decimal]]:
    """Each band's portion of `base` and its unrounded royalty, from the lowest band to the last one that the base reaches."""
    out = []
    below = ZERO
    for band in law.bands:
        end = base if band.to is None else min(base, band.to.amount)
        if end <= below:
            break
        out.append((end - below, (end - below) * band.percent / HUNDRED))
        below = end
    return out


@exact
def royalty_of(
    law: PlaceRule,
    price: GivenMoney,
    tax_percent: Decimal = ZERO,
    sale: SaleKind = "resale-through-trade",
    exchange: GivenRate | None = None,
) -> ResaleRoyalty:
    """The royalty on a sale at `price`, which contains `tax_percent` of tax (0: none).

    A price in another currency is converted at the rate, half up to the minor unit (as Council Regulation (EC) 1103/97, Art. 4-5,
    does: divided by the rate, never multiplied by its inverse). Refusals point at /price and /exchange.
    """
    if price.currency not in MINOR_DIGITS:
        raise Unknown(f'"{price.currency}" is no ISO 4217 code with minor digits.', "/price/currency", "Use one such as EUR.")
    asked = price.in_currency(price.currency, "/price")
    rate = _rate(law, price, exchange)
    tax = to_minor(asked * tax_percent / (HUNDRED + tax_percent), price.currency)
    counted = asked - tax if law.base == "net-of-tax" else asked
    base = to_minor(counted / rate, law.currency)
    reason = _why_none(law, base, sale)
    lines = () if reason else _lines(law, base)
    due = sum((line.amount.amount for line in lines), ZERO)
    return ResaleRoyalty(
        law=law,
        price=money(asked, price.currency),
        tax=money(tax, price.currency),
        base=money(base, law.currency),
        working=_words(law, price, tax_percent, exchange),
        lines=lines,
        royalty=money(due, law.currency),
        converted=None if exchange is None else money(due * rate, price.currency),
        effective_percent=figure(due / base * HUNDRED, 6) if base else "0",
        reason=reason,
    )


def _rate(law: PlaceRule, price: GivenMoney, exchange: GivenRate | None) -> Decimal:
    if exchange is None:
        if price.currency != law.currency:
            detail = f"{law.title} counts in {law.currency}, and the price is in {price.currency}."
            raise Missing(detail, "/exchange", f"State the rate of the day: units of {price.currency} for one {law.currency}.")
        return Decimal(1)
    if price.currency == law.currency:
        raise Contradictory(f"The price is in {law.currency} already, and a rate is given.", "/exchange", "Leave the rate out.")
    if exchange.rate == 0:
        raise OutOfRange("A rate of 0 converts nothing.", "/exchange/rate")
    return exchange.rate


def _why_none(law: PlaceRule, base: Decimal, sale: SaleKind) -> Reason | None:
    """Why there is no royalty; None where there is one."""
    if sale == "first-sale":
        return Reason("#/sale", "first-sale", "The maker's own first sale is no resale.")
    if sale == "resale-without-trade":
        return Reason("#/sale", "without-trade", "No dealer, gallery or saleroom takes part, so this resale is not covered.")
    if base < law.smallest_price.amount:
        detail = f"The price counts as {base} {law.currency}, below {law.smallest_price.amount} {law.currency}, where the royalty begins."
        return Reason("#/price/amount", "below-smallest-price", detail)
    return None


def _lines(law: PlaceRule, base: Decimal) -> tuple[RoyaltyLine, ...]:
    """A line for each band that the base reaches, each rounded once, and one for what the limit takes off."""
    lines = []
    for i, (band, (portion, amount)) in enumerate(zip(law.bands, portions_of(law, base), strict=False), 1):
        written = money(portion, law.currency)
        label = "Over the last band" if band.to is None and i > 1 else f"Band {i}"
        words = f"{figure(band.percent)} % of {written.amount}"
        lines.append(RoyaltyLine(f"band-{i}", label, written, money(amount, law.currency), words))
    whole = sum((line.amount.amount for line in lines), ZERO)
    if law.most is not None and whole > law.most.amount:
        words = f"{law.most.amount} - {whole}, never more than {law.most.amount}"
        lines.append(RoyaltyLine("limit", "Down to the most", None, money(law.most.amount - whole, law.currency), words))
    return tuple(lines)


def _words(law: PlaceRule, price: GivenMoney, tax_percent: Decimal, exchange: GivenRate | None) -> str:
    """How the base came about, in words to follow with a pencil."""
    amount = money(price.amount, price.currency).amount
    words = f"{amount}"
    if law.base == "with-tax":
        words += ", with its tax"
    elif tax_percent:
        words += f" less the tax in it, {amount} x {figure(tax_percent)} / {figure(HUNDRED + tax_percent)}"
    else:
        words += ", taken as net of tax"
    return words if exchange is None else f"({words}) / {figure(exchange.rate)}, the rate of {exchange.on}"
