"""Each work's own price: off its rule, off the rounding, cut, or behind an increase.

Knows one work at a time, never two.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, incomplete, ratio, refused
from evenhang.engine.money import HUNDRED, ONE, Money, in_percent, money
from evenhang.engine.refusals import Contradictory, Refusal
from evenhang.engine.rounding import at_or_above, on_grid, to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import Said, say

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
        detail = _off(entry, money(asked, currency), money(entry.listed, currency), in_percent(off, 1))
        figures = (
            Proof("rule-price", entry.id, day=entry.item.listed_on, amount=money(asked, currency)),
            Proof("listed-price", entry.id, amount=money(entry.listed, currency)),
            ratio("off-percent", off, work=entry.id),
        )
        today = say("List it at {price}, or say in its grade or extras what makes it differ.", price=money(entry.now.retail, currency))
        yield Finding("off-the-rule", "warning", (entry.id,), detail, today, figures)


def _off(entry: Entry, rule: Money, listed: Money, percent: Said) -> Said:
    """How far a price is off its rule's, of the day it was listed where that is known."""
    day = entry.item.listed_on
    if day is None:
        return say("The rules ask {rule}; it is listed at {listed}, {percent} off.", rule=rule, listed=listed, percent=percent)
    return say(
        "The rules of {day} ask {rule}; it is listed at {listed}, {percent} off.", day=day, rule=rule, listed=listed, percent=percent
    )


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
        detail = say("{price} is not on the rounding grid.", price=money(entry.listed, rules.currency))
        mend = say("List it at {price}.", price=money(near, rules.currency))
        yield Finding("off-the-rounding", "warning", (entry.id,), detail, mend, figures)


def price_cuts(rules: RuleSet, entries: Iterable[Entry], on: date) -> Iterator[Finding]:
    """Works listed below an earlier listed price of their own: the highest one is named."""
    without: list[str] = []
    for entry in entries:
        if not entry.item.earlier_prices:
            without.append(entry.id)
            continue
        try:
            earlier = [_earlier(rules, entry, i, on) for i in range(len(entry.item.earlier_prices))]
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
        before, now = money(amount, rules.currency), money(entry.listed, rules.currency)
        detail = say("It asked {before} on {day} and asks {now} now.", before=before, day=day, now=now)
        again = money(back, rules.currency)
        mend = say("List it at {price} again: those who paid the earlier prices rely on them.", price=again)
        yield Finding("price-cut", "warning", (entry.id,), detail, mend, figures)
    if without:
        mend = say("Add {field} with their days, where there are any.", field="earlier_prices")
        yield incomplete(without, "price-cut", say("No earlier prices were given."), mend)


def _earlier(rules: RuleSet, entry: Entry, at: int, on: date) -> tuple[Decimal, date]:
    """An earlier price and its day. Refusals point into the item."""
    earlier = entry.item.earlier_prices[at]
    pointer = f"/earlier_prices/{at}"
    if earlier.listed_on > on:
        detail = say("On {day} this price was not listed yet.", day=on)
        raise Contradictory(detail, f"{pointer}/listed_on", say("Ask as of a later day."))
    if entry.item.listed_on is not None and earlier.listed_on > entry.item.listed_on:
        detail = say("An earlier price is later than the listed one.")
        raise Contradictory(detail, f"{pointer}/listed_on", say("Give its own day."))
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
        art = money(entry.then.art, currency), money(entry.now.art, currency)
        detail = say("Since {day} its rules have raised the art from {before} to {now}.", day=day, before=art[0], now=art[1])
        figures = (
            Proof("rule-price", entry.id, day=day, amount=money(entry.then.retail, currency)),
            Proof("rule-price", entry.id, amount=money(entry.now.retail, currency)),
            Proof("listed-price", entry.id, day=day, amount=money(entry.listed, currency)),
        )
        mend = say("Raise it to {price}.", price=money(entry.now.retail, currency))
        yield Finding("increase-missed", "warning", (entry.id,), detail, mend, figures)
    if undated:
        yield incomplete(undated, "increase-missed", say("The day it was listed is not given."), say("Add {field}.", field="listed_on"))
