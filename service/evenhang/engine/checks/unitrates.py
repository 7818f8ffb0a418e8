"""Odd unit rates: works whose rate per area does not follow that of comparable works.

Knows one group at a time. Statistics in floats; what they propose goes back through decimals and the member's rounding.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from math import exp, log
from statistics import median

from evenhang.engine.checks.entries import Entry, one_of_each_edition
from evenhang.engine.checks.findings import Finding, Proof, art_price, incomplete, named, ratio
from evenhang.engine.money import exact, money, numeral
from evenhang.engine.refusals import Refusal
from evenhang.engine.robust import OUTLYING, modified_z_scores, theil_sen
from evenhang.engine.rounding import to_grid
from evenhang.engine.rules import RuleSet
from evenhang.engine.samples import can_be_price
from evenhang.engine.saying import say

FEWEST = 8
_FLOAT_NOISE = 1e-9  # of a logarithm: a spread below it is that of the arithmetic, not of prices


def odd_unit_rates(rules: RuleSet, groups: Mapping[tuple[object, ...], list[Entry]]) -> Iterator[Finding]:
    """Outliers of log unit rate against log area: Theil-Sen line, modified z-score of the residuals over 3.5.

    One whose price rounding alone can have carried off the line is none, nor is one that asks its rule's price: a base, a minimum
    or a plateau bends the line. An edition counts once, by its lowest number.
    """
    unmeasured: list[str] = []
    few: list[str] = []
    even: list[str] = []
    beyond: list[str] = []
    for group in groups.values():
        works = one_of_each_edition(group)
        rated = [entry for entry in works if entry.area_mm2 and entry.art > 0]
        unmeasured += [entry.id for entry in works if not (entry.area_mm2 and entry.art > 0)]
        if len(rated) < FEWEST:
            few += [entry.id for entry in rated]
            continue
        found = _outliers(rules, rated, beyond)
        if found is None:
            even += [entry.id for entry in rated]
        else:
            yield from found
    steep = say("The line through comparable works does not reach to the size of these: most sizes lie too close together.")
    notes = (
        (unmeasured, say("These works have no area, or ask nothing for the art."), say("State height and width.")),
        (few, say("Fewer than {n} comparable works are too few to tell.", n=FEWEST), say("Send the whole catalogue.")),
        (even, say("More than half of them follow one line exactly: no spread to judge by."), say("Compare by eye.")),
        (beyond, steep, say("Compare by eye.")),
    )
    yield from (incomplete(ids, "odd-unit-rate", detail, mend) for ids, detail, mend in notes if ids)


def _outliers(rules: RuleSet, rated: list[Entry], beyond: list[str]) -> list[Finding] | None:
    """The findings in one group; None where the residuals have no spread. To `beyond` go those to whose size the line does not reach."""
    x = [log(float(entry.area_mm2 or 0)) for entry in rated]
    y = [log(float(entry.art)) - at for entry, at in zip(rated, x, strict=True)]
    line = theil_sen(x, y)
    slope = line[0] if line else 0.0  # works of one size: the rates themselves are compared
    residuals = [rate - slope * at for rate, at in zip(y, x, strict=True)]
    scores = modified_z_scores(residuals, _FLOAT_NOISE)
    if scores is None:
        return None
    middle = median(residuals)
    group = named(entry.id for entry in rated)
    out = []
    for entry, at, score in zip(rated, x, scores, strict=True):
        ruled = not isinstance(entry.then, Refusal) and entry.listed == entry.then.retail
        if abs(score) <= OUTLYING or ruled:
            continue
        told = middle + slope * at + at
        if not can_be_price(told):
            beyond.append(entry.id)
            continue
        usual = Decimal(exp(told))
        if abs(entry.art - usual) > entry.slack:
            out.append(_told(rules, entry, usual, Decimal(score), group))
    return out


@exact
def _told(rules: RuleSet, entry: Entry, usual: Decimal, score: Decimal, group: str) -> Finding:
    rate = entry.art / (entry.area_mm2 or Decimal(1)) * 100
    z = numeral(score, 2)
    if score > 0:
        detail = say("Per area {work} asks more than comparable works ({group}): modified z-score {z}.", work=entry.id, group=group, z=z)
    else:
        detail = say("Per area {work} asks less than comparable works ({group}): modified z-score {z}.", work=entry.id, group=group, z=z)
    price = to_grid(rules.rounding(rules.currency), usual + entry.charged)
    figures = (
        ratio("modified-z-score", score, 2, entry.id),
        ratio("unit-rate-per-cm2", rate, 6, entry.id),
        art_price(entry.id, entry.art, rules.currency),
        Proof("usual-art-price", entry.id, amount=money(usual, rules.currency)),
    )
    usually = money(price, rules.currency)
    mend = say("Works of its size ask about {price}: list it there, or say in its grade or extras what makes it differ.", price=usually)
    return Finding("odd-unit-rate", "warning", (entry.id,), detail, mend, figures)
