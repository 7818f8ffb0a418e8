"""Prices in the years ahead, by the increase of today's rules: of a whole list, and of a work kept back.

Knows nothing of the old list. What the rules will say one day nobody knows: each year is today's rules, grown.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from itertools import accumulate

from msgspec import Struct
from msgspec.structs import replace

from evenhang.engine.growth import anniversary, growth
from evenhang.engine.money import HUNDRED, ONE, ZERO, Money, Ratio, exact, figure, money, to_minor
from evenhang.engine.quote import Price
from evenhang.engine.refusals import OutOfRange, Unknown
from evenhang.engine.review import Listing
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import FixedExtra, RuleSet
from evenhang.engine.saying import say
from evenhang.engine.works import Work
from evenhang.engine.yields import Reason

MOST_GROWTH = Decimal(10) ** 12  # beyond it amounts have more digits than an answer holds


@exact
def price_ahead(rules: RuleSet, work: Work, price: Price, grown: Decimal, step: Decimal = ONE) -> Decimal:
    """The retail price of `work` once prices have grown by the factor `grown` since the base date, at the `step` of its edition.

    `price` is its price on any day: size, grade and costs are taken from it, the rest is reckoned anew, step by step as
    a quote does, which a test holds to it. So a list of thousands can be seen years ahead without measuring it each time.
    """
    written = {line.code: line.amount.amount for line in price.lines}
    art = written["size"] + written.get("grade", ZERO)
    if rules.rules.increase is not None and grown != ONE:
        art += to_minor(art * (grown - ONE), rules.currency)
    art = max(art, rules.rules.media[work.medium].minimum or ZERO)
    before_extras = art
    for chosen in work.extras:
        extra = rules.rules.extras[chosen.name]
        each = extra.amount * grown if isinstance(extra, FixedExtra) else before_extras * extra.percent / HUNDRED
        art += to_minor(each * chosen.quantity, rules.currency)
    art += to_minor(art * (step - ONE), rules.currency)
    charged = sum((amount for code, amount in written.items() if code.startswith("cost:")), ZERO)
    return to_grid(rules.rounding(rules.currency), art + charged)


class YearAhead(Struct, frozen=True):
    """The list in a year to come, nothing sold by then: its growth since the review, and what its works ask together."""

    on: date
    growth: Ratio
    unsold: Money
    not_for_sale: Money


class YearPrice(Struct, frozen=True):
    """What a work asks on a day to come."""

    on: date
    price: Money


class KeptBack(Struct, frozen=True):
    """A work kept back from today on: what it would ask on the day of each year; or why that cannot be said."""

    id: str
    prices: tuple[YearPrice, ...] = ()
    reason: Reason | None = None


class Ahead(Struct, frozen=True):
    """The years ahead, the day of the review first. Prices never fall; reserved works stay where they are."""

    years: tuple[YearAhead, ...]
    kept_back: tuple[KeptBack, ...]


@exact
def look_ahead(rules: RuleSet, listings: Sequence[Listing], kept_back: Sequence[str], on: date, years: int) -> Ahead:
    """The list of `listings`, and those of them named in `kept_back`, over `years` years from the day `on`.

    OutOfRange for an increase that leaves every amount behind within those years.
    """
    days = [anniversary(on, on.year + ahead) for ahead in range(years + 1)]
    factors = [growth(rules.rules.increase, day) for day in days]
    if factors[-1] >= MOST_GROWTH:
        raise OutOfRange(
            say("By {day} prices would have grown beyond all amounts.", day=days[-1]), "/years", say("Look fewer years ahead.")
        )
    asked = {one.id: _prices(rules, one, factors) for one in listings}
    base = growth(rules.rules.increase, on)

    def total(place: int, unsold: bool) -> Money:
        return money(sum((asked[one.id][place] for one in listings if one.unsold is unsold), ZERO), rules.currency)

    ahead = tuple(
        YearAhead(day, figure(factor / base), total(i, True), total(i, False))
        for i, (day, factor) in enumerate(zip(days, factors, strict=True))
    )
    return Ahead(ahead, tuple(_kept(rules, name, i, listings, days, factors) for i, name in enumerate(kept_back)))


def _prices(rules: RuleSet, one: Listing, factors: Sequence[Decimal]) -> list[Decimal]:
    """What a work asks after each growth: never less than the year before; a reserved one what it was promised at."""
    if one.state == "reserved":
        return [one.new] * len(factors)
    return list(accumulate((price_ahead(rules, one.work, one.price, factor, one.step) for factor in factors[1:]), max, initial=one.new))


def _kept(rules: RuleSet, name: str, place: int, listings: Sequence[Listing], days: Sequence[date], factors: Sequence[Decimal]) -> KeptBack:
    one = next((one for one in listings if one.id == name), None)
    if one is None:
        detail = say("No work of this id is priced in this review: it is not in the list, sold, or has a reason instead of a price.")
        return KeptBack(name, reason=Reason(f"#/kept_back/{place}", Unknown.code, detail))
    freed = replace(one, state="nfs")  # whoever it was promised to, it is kept back
    prices = zip(days, _prices(rules, freed, factors), strict=True)
    return KeptBack(name, tuple(YearPrice(day, money(price, rules.currency)) for day, price in prices))
