"""Each work's own price: off its rule, off the rounding, cut, or behind an increase.

Knows one work at a time, never two.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, incomplete, ratio, refused, told
from evenhang.engine.money import HUNDRED, ONE, figure, money
from evenhang.engine.refusals import Contradictory, Refusal
from evenhang.engine.rounding import at_or_above, on_grid, to_grid
from evenhang.engine.rules import RuleSet

USUAL_TOLERANCE = ONE  # percent


def off_the_rule(rules: RuleSet, entries: Iterable[Entry], tolerance_percent: Decimal = USUAL_TOLERANCE) -> Iterator[Finding]:
    """Prices that differ from their rule's of the day they were listed, by more than a percentage of it."""
    currency = rules.currency
    for entry in entries:
        if isinstance(entry.then, Refusal):
            yield refused(entry.then, entry.id, entry.at, "off-the-rule")
            continue
        asked = entry.then.retail
        off = (entry.listed - asked) / asked * HUNDRED
        if abs(off) <= tolerance_percent:
            continue
        since = f" of {entry.item.listed_on}" if entry.item.listed_on else ""
        detail = f"The rules{since} ask {told(asked, currency)}; it is listed at {told(entry.listed, currency)}, {figure(off, 1)} % off."
        figures = (
            Proof("rule-price", entry.id, day=entry.item.listed_on, amount=money(asked, currency)),
            Proof("listed-price", entry.id, amount=money(entry.listed, currency)),
            ratio("off-percent", off, work=entry.id),
        )
        today = f"List it at {told(entry.now.retail, currency)}, or say in its grade or extras what makes it differ."
        yield Finding("off-the-rule", "warning", (entry.id,), detail, today, figures)


def off_the_rounding(rules: RuleSet, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Prices that are none of the member's rounding grid."""
    rounding = rules.rounding(rules.currency)
    for entry in entries:
        if on_grid(rounding, entry.listed):
            continue
        near = to_grid(rounding, entry.listed)
        figures = (
            Proof("listed-price", entry.id, amount=money(entry.listed, rules.currency)),
            Proof("grid-price", entry.id, amount=money(near, rules.currency)),
        )
        detail = f"{told(entry.listed, rules.currency)} is not on the rounding grid."
        yield Finding("off-the-rounding", "warning", (entry.id,), detail, f"List it at {told(near, rules.currency)}.", figures)


def price_cuts(rules: RuleSet, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Works listed below an earlier listed price of their own: the highest one is named."""
    without: list[str] = []
    for entry in entries:
        if not entry.item.earlier_prices:
            without.append(entry.id)
            continue
        try:
            earlier = [_earlier(rules, entry, i) for i in range(len(entry.item.earlier_prices))]
        except Refusal as refusal:
            yield refused(refusal, entry.id, entry.at, "price-cut")
            continue
        amount, day = max(earlier)
        if entry.listed >= amount:
            continue
        back = at_or_above(rules.rounding(rules.currency), amount)
        figures = (
            Proof("earlier-price", entry.id, day=day, amount=money(amount, rules.currency)),
            Proof("listed-price", entry.id, day=entry.item.listed_on, amount=money(entry.listed, rules.currency)),
        )
        detail = f"It asked {told(amount, rules.currency)} on {day} and asks {told(entry.listed, rules.currency)} now."
        mend = f"List it at {told(back, rules.currency)} again: those who paid the earlier prices rely on them."
        yield Finding("price-cut", "warning", (entry.id,), detail, mend, figures)
    if without:
        yield incomplete(without, "price-cut", "No earlier prices were given.", "Add earlier_prices with their days, where there are any.")


def _earlier(rules: RuleSet, entry: Entry, at: int) -> tuple[Decimal, date]:
    """An earlier price and its day. Refusals point into the item."""
    earlier = entry.item.earlier_prices[at]
    pointer = f"/earlier_prices/{at}"
    if entry.item.listed_on is not None and earlier.listed_on > entry.item.listed_on:
        raise Contradictory("An earlier price is later than the listed one.", f"{pointer}/listed_on", "Give its own day.")
    return earlier.price.in_currency(rules.currency, f"{pointer}/price"), earlier.listed_on


def increases_missed(rules: RuleSet, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Prices for sale from before a rise of the art by the rules, and still below what they ask now."""
    undated: list[str] = []
    for entry in entries:
        if entry.item.state == "reserved":
            continue  # its price is agreed
        if entry.item.listed_on is None:
            undated.append(entry.id)
            continue
        if isinstance(entry.then, Refusal):
            yield refused(entry.then, entry.id, entry.at, "increase-missed")
            continue
        if entry.now.art <= entry.then.art or entry.listed >= entry.now.retail or entry.now.retail <= entry.then.retail:
            continue
        currency, day = rules.currency, entry.item.listed_on
        detail = f"Since {day} its rules have raised the art from {told(entry.then.art, currency)} to {told(entry.now.art, currency)}."
        figures = (
            Proof("rule-price", entry.id, day=day, amount=money(entry.then.retail, currency)),
            Proof("rule-price", entry.id, amount=money(entry.now.retail, currency)),
            Proof("listed-price", entry.id, day=day, amount=money(entry.listed, currency)),
        )
        yield Finding("increase-missed", "warning", (entry.id,), detail, f"Raise it to {told(entry.now.retail, currency)}.", figures)
    if undated:
        yield incomplete(undated, "increase-missed", "The day it was listed is not given.", "Add listed_on.")
