"""The ladder of what is for sale: gaps between neighbouring price points, and budget bands with nothing in them.

Knows all works of a member at once, whatever their medium.
"""

from collections.abc import Iterable, Iterator
from decimal import ROUND_CEILING, Decimal

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, incomplete, ratio, told
from evenhang.engine.money import ZERO, exact, money
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import RuleSet

USUAL_RATIO = Decimal(2)
MOST_RUNGS = 5


def missing_rungs(rules: RuleSet, entries: Iterable[Entry], most_ratio: Decimal = USUAL_RATIO) -> Iterator[Finding]:
    """Neighbouring price points for sale more than `most_ratio` apart (over 1), and empty budget bands."""
    points: dict[Decimal, Entry] = {}
    for entry in entries:
        if entry.item.state == "for-sale":
            points.setdefault(entry.listed, entry)
    if not points:
        yield incomplete((), "missing-rung", "Nothing is for sale.", "Add works for sale.")
        return
    prices = sorted(points)
    for low, high in zip(prices, prices[1:]):
        if high > low * most_ratio:
            yield _gap(rules, points[low], points[high], most_ratio)
    if not rules.rules.bands:
        yield incomplete((), "missing-rung", "The rules have no budget bands.", "Add bands to the rules.")
    yield from _empty_bands(rules, prices)


@exact
def _gap(rules: RuleSet, low: Entry, high: Entry, most_ratio: Decimal) -> Finding:
    apart = high.listed / low.listed
    rungs = int((apart.ln() / most_ratio.ln()).to_integral_value(ROUND_CEILING)) - 1
    between = (apart.ln() / (rungs + 1)).exp()
    rounding = rules.rounding(rules.currency)
    proposed = [told(to_grid(rounding, low.listed * between ** (i + 1)), rules.currency) for i in range(min(rungs, MOST_RUNGS))]
    detail = f"Between {told(low.listed, rules.currency)} and {told(high.listed, rules.currency)} nothing is for sale."
    figures = (
        Proof("listed-price", low.id, amount=money(low.listed, rules.currency)),
        Proof("listed-price", high.id, amount=money(high.listed, rules.currency)),
        ratio("price-ratio", apart),
    )
    more = f", and {rungs - MOST_RUNGS} more" if rungs > MOST_RUNGS else ""
    mend = f"A work at about {', '.join(proposed)}{more} would close the gap."
    return Finding("missing-rung", "note", (low.id, high.id), detail, mend, figures)


def _empty_bands(rules: RuleSet, prices: list[Decimal]) -> Iterator[Finding]:
    start = ZERO
    for band in rules.rules.bands:
        if not any(start <= price and (band.below is None or price < band.below) for price in prices):
            figures = [Proof("band-from", amount=money(start, rules.currency))]
            figures += [Proof("band-below", amount=money(band.below, rules.currency))] if band.below is not None else []
            upto = f" to below {told(band.below, rules.currency)}" if band.below is not None else " on"
            detail = f'Nothing is for sale in the budget band "{band.title}", from {told(start, rules.currency)}{upto}.'
            yield Finding("missing-rung", "note", (), detail, "Offer a work there, or leave the band to others.", tuple(figures))
        start = band.below if band.below is not None else start
