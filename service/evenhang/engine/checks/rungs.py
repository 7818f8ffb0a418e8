"""The ladder of what is for sale: gaps between neighbouring price points, and budget bands with nothing in them.

Knows all works of a member at once, whatever their medium.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, incomplete, ratio
from evenhang.engine.money import ZERO, exact, money
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import BudgetBand, RuleSet
from evenhang.engine.rungs import steps_within
from evenhang.engine.saying import Said, joined, say

USUAL_RATIO = Decimal(2)
MOST_RUNGS = 5


def missing_rungs(rules: RuleSet, entries: Iterable[Entry], most_ratio: Decimal = USUAL_RATIO) -> Iterator[Finding]:
    """Neighbouring price points for sale more than `most_ratio` apart (over 1), and empty budget bands."""
    points: dict[Decimal, Entry] = {}
    for entry in entries:
        if entry.item.state == "for-sale":
            points.setdefault(entry.listed, entry)
    if not points:
        yield incomplete((), "missing-rung", say("Nothing is for sale."), say("Add works for sale."))
        return
    prices = sorted(points)
    for low, high in zip(prices, prices[1:]):
        if high > low * most_ratio:
            yield _gap(rules, points[low], points[high], most_ratio)
    if not rules.rules.bands:
        yield incomplete((), "missing-rung", say("The rules have no budget bands."), say("Add {table} to the rules.", table="bands"))
    yield from _empty_bands(rules, prices)


@exact
def _gap(rules: RuleSet, low: Entry, high: Entry, most_ratio: Decimal) -> Finding:
    apart = high.listed / low.listed
    rungs = steps_within(apart, most_ratio) - 1
    between = (apart.ln() / (rungs + 1)).exp()
    rounding = rules.rounding(rules.currency)
    proposed = [money(to_grid(rounding, low.listed * between ** (i + 1)), rules.currency) for i in range(min(rungs, MOST_RUNGS))]
    between_them = money(low.listed, rules.currency), money(high.listed, rules.currency)
    detail = say("Between {low} and {high} nothing is for sale.", low=between_them[0], high=between_them[1])
    figures = (
        Proof("listed-price", low.id, amount=money(low.listed, rules.currency)),
        Proof("listed-price", high.id, amount=money(high.listed, rules.currency)),
        ratio("price-ratio", apart),
    )
    prices = joined(proposed)
    if rungs > MOST_RUNGS:
        mend = say("Works at about {prices}, and {n} more, would close the gap.", prices=prices, n=rungs - MOST_RUNGS)
    else:
        mend = say("A work at each of these prices, more or less, would close the gap: {prices}.", prices=prices)
    return Finding("missing-rung", "note", (low.id, high.id), detail, mend, figures)


def _empty_bands(rules: RuleSet, prices: list[Decimal]) -> Iterator[Finding]:
    start = ZERO
    for band in rules.rules.bands:
        if not any(start <= price and (band.below is None or price < band.below) for price in prices):
            figures = [Proof("band-from", amount=money(start, rules.currency))]
            figures += [Proof("band-below", amount=money(band.below, rules.currency))] if band.below is not None else []
            mend = say("Offer a work there, or leave the band to others.")
            yield Finding("missing-rung", "note", (), _empty(band, start, rules.currency), mend, tuple(figures))
        start = band.below if band.below is not None else start


def _empty(band: BudgetBand, start: Decimal, currency: str) -> Said:
    low = money(start, currency)
    if band.below is None:
        return say('Nothing is for sale in the budget band "{band}", from {low} on.', band=band.title, low=low)
    high = money(band.below, currency)
    return say('Nothing is for sale in the budget band "{band}", from {low} to below {high}.', band=band.title, low=low, high=high)
