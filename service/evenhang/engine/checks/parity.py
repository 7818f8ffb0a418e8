"""Parity: one retail price in every outlet, and who undercuts whom where it differs.

Knows one work at a time. Another currency's price stands for every retail price that its rounding brings to it.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, named, refused, told
from evenhang.engine.money import ZERO, exact, money
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rounding import step_at, to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import listed_in

TWO = Decimal(2)


class Asked(Struct, frozen=True):
    """What one outlet asks, and between which retail prices in the member's currency that lies."""

    outlet: str
    price: Decimal
    currency: str
    least: Decimal
    most: Decimal


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
        cheapest = min(asked, key=lambda a: a.most)
        undercut = [other for other in asked if other.least > cheapest.most]
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
            raise Contradictory(f"{listing.outlet} stands twice.", f"{pointer}/outlet", "Say its price once.")
        price = listing.price.in_currency(rules.outlet_currency(listing.outlet), f"{pointer}/price")
        if price == 0:
            raise OutOfRange("A listed price is over 0.", f"{pointer}/price/amount")
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
    least, most = (price - below, price) if rounding.direction == "up" else (price - below / TWO, price + above / TWO)
    if price <= rounding.steps[0].step:
        least = ZERO  # what is near 0 is lifted to the lowest price
    return Asked(outlet, price, currency, least / rate, most / rate)


@exact
def _told(rules: RuleSet, entry: Entry, cheapest: Asked, undercut: list[Asked]) -> Finding:
    who = ", ".join(f"{a.outlet} ({told(a.price, a.currency)})" for a in undercut)
    detail = f"{cheapest.outlet} ({told(cheapest.price, cheapest.currency)}) undercuts {who}."
    figures = tuple(Proof("outlet-price", entry.id, a.outlet, amount=money(a.price, a.currency)) for a in (cheapest, *undercut))
    retail = max(entry.listed, *(to_grid(rules.rounding(rules.currency), a.least) for a in undercut if a.currency == rules.currency), ZERO)
    here = told(listed_in(rules, cheapest.outlet, retail), cheapest.currency)
    outlets = named(a.outlet for a in (cheapest, *undercut))
    mend = f"Ask {here} in {cheapest.outlet}: one retail price, such as {told(retail, rules.currency)}, for {outlets}."
    return Finding("outlet-undercut", "warning", (entry.id,), detail, mend, figures)
