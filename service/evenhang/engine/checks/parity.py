"""Parity: one retail price in every outlet, and who undercuts whom where it differs.

Knows one work at a time. Another currency's price stands for every retail price that its rounding brings to it.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Self

from msgspec import Struct

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, named, refused
from evenhang.engine.money import ZERO, exact, money
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rounding import at_or_above, next_above, step_at, to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import listed_in
from evenhang.engine.saying import joined, reckon, say

TWO = Decimal(2)


class Asked(Struct, frozen=True):
    """What one outlet asks, and between which retail prices in the member's currency that lies; an open end is not among them."""

    outlet: str
    price: Decimal
    currency: str
    least: Decimal
    most: Decimal
    least_open: bool = False
    most_open: bool = False

    def undercuts(self, other: Self) -> bool:
        """Whether every retail price that it can stand for is below all of the other's."""
        return self.most < other.least or (self.most == other.least and (self.most_open or other.least_open))


def outlets_undercut(rules: RuleSet, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Works whose prices in the member's outlets differ beyond the rounding of a currency."""
    for entry in entries:
        if not entry.item.outlet_prices:
            continue  # the listed price in every outlet is parity itself
        try:
            asked = asked_in_outlets(rules, entry)
        except Refusal as refusal:
            yield refused(refusal, entry.id, entry.at, "outlet-undercut")
            continue
        cheapest = min(asked, key=lambda a: (a.most, not a.most_open))
        undercut = [other for other in asked if cheapest.undercuts(other)]
        if undercut:
            yield _told(rules, entry, cheapest, undercut)


@exact
def asked_in_outlets(rules: RuleSet, entry: Entry) -> list[Asked]:
    """What the work asks in each of the member's outlets: the price stated for it, else the listed one brought there."""
    stated: dict[str, Decimal] = {}
    for i, listing in enumerate(entry.item.outlet_prices):
        pointer = f"/outlet_prices/{i}"
        rules.outlet(listing.outlet, f"{pointer}/outlet")
        if listing.outlet in stated:
            detail = say('"{name}" stands twice in {field}.', name=listing.outlet, field="outlet_prices")
            raise Contradictory(detail, f"{pointer}/outlet", say("Say its price once."))
        price = listing.price.in_currency(rules.outlet_currency(listing.outlet), f"{pointer}/price")
        if price == 0:
            raise OutOfRange(say("A listed price is over 0."), f"{pointer}/price/amount")
        stated[listing.outlet] = price
    return [_asked(rules, name, stated.get(name, listed_in(rules, name, entry.listed))) for name in rules.rules.sells_in]


def _asked(rules: RuleSet, outlet: str, price: Decimal) -> Asked:
    """The retail prices that rounding in the outlet's currency brings to `price`; the price itself in the member's own."""
    currency = rules.outlet_currency(outlet)
    if currency == rules.currency:
        return Asked(outlet, price, currency, price, price)
    rounding, rate = rules.rounding(currency), rules.rate(currency)
    # At a limit the step below it rounds up to it, and the one above down.
    below = next(s.step for s in rounding.steps if s.below is None or price <= s.below)
    above = step_at(rounding, price)
    up = rounding.direction == "up"
    least, most = (price - below, price) if up else (price - below / TWO, price + above / TWO)
    if price <= rounding.steps[0].step:
        least = ZERO  # what is near 0 is lifted to the lowest price
    return Asked(outlet, price, currency, least / rate, most / rate, least_open=up, most_open=not up)


def _one_price(rules: RuleSet, asked: Asked) -> Decimal:
    """The price on the member's grid that an outlet's stands for: in another currency the lowest that is brought there."""
    rounding = rules.rounding(rules.currency)
    if asked.currency == rules.currency:
        return to_grid(rounding, asked.least)
    lowest = at_or_above(rounding, asked.least)
    return next_above(rounding, lowest) if asked.least_open and lowest == asked.least else lowest


@exact
def _told(rules: RuleSet, entry: Entry, cheapest: Asked, undercut: list[Asked]) -> Finding:
    who, *others = (reckon("{outlet} ({price})", outlet=a.outlet, price=money(a.price, a.currency)) for a in (cheapest, *undercut))
    detail = say("{cheapest} undercuts {others}.", cheapest=who, others=joined(others))
    figures = tuple(Proof("outlet-price", entry.id, a.outlet, amount=money(a.price, a.currency)) for a in (cheapest, *undercut))
    retail = max(entry.listed, *(_one_price(rules, a) for a in undercut))
    here = money(listed_in(rules, cheapest.outlet, retail), cheapest.currency)
    outlets = named(a.outlet for a in (cheapest, *undercut))
    mend = say(
        "Ask {here} in {outlet}: one retail price, such as {retail}, for {outlets}.",
        here=here,
        outlet=cheapest.outlet,
        retail=money(retail, rules.currency),
        outlets=outlets,
    )
    return Finding("outlet-undercut", "warning", (entry.id,), detail, mend, figures)
