"""Larger for less, and one size at different prices: what disproves a price list.

Knows the order of one group at a time. Works for sale or reserved contradict one another; beside a work that is not for sale
the same is a warning.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from evenhang.engine.checks.entries import Entry, one_of_each_edition
from evenhang.engine.checks.findings import Finding, Proof, Severity, art_price, named, told
from evenhang.engine.checks.order import Disorder, Inversion, Uneven, disorder
from evenhang.engine.checks.slack import Grid, lowest_allowed
from evenhang.engine.money import ZERO, exact, money
from evenhang.engine.rounding import at_or_below
from evenhang.engine.rules import RuleSet

MOVABLE = ("for-sale", "nfs")


def offered(entries: Iterable[Entry]) -> list[Entry]:
    """The works for sale or reserved, an edition by its lowest number: those that can contradict one another."""
    return one_of_each_edition([entry for entry in entries if entry.item.state in ("for-sale", "reserved")])


def contradictions(rules: RuleSet, grid: Grid, groups: Mapping[tuple[object, ...], list[Entry]]) -> tuple[list[Finding], int]:
    """The findings of every group, and how many pairs of works contradict one another in all."""
    findings: list[Finding] = []
    pairs = 0
    for group in groups.values():
        found = disorder(offered(group))
        findings += _told(rules, grid, found, "contradiction")
        pairs += found.pairs
        if any(entry.item.state == "nfs" for entry in group):
            findings += _told(rules, grid, _beside_nfs(disorder(one_of_each_edition(group)), found), "warning")
    return findings, pairs


def _beside_nfs(whole: Disorder, offered_ones: Disorder) -> Disorder:
    """What only comes up where works not for sale are compared as well."""
    known = {uneven.entries[0].key for uneven in offered_ones.uneven}
    inversions = tuple(i for i in whole.inversions if "nfs" in (i.before.item.state, i.after.item.state))
    uneven = tuple(u for u in whole.uneven if u.entries[0].key not in known)
    return Disorder(inversions, uneven, 0)


def _told(rules: RuleSet, grid: Grid, found: Disorder, severity: Severity) -> list[Finding]:
    larger = [_larger_for_less(rules, grid, inversion, severity) for inversion in found.inversions]
    return larger + [_same_size(rules, grid, uneven, severity) for uneven in found.uneven]


def _larger_for_less(rules: RuleSet, grid: Grid, inversion: Inversion, severity: Severity) -> Finding:
    small, large = inversion.before, inversion.after
    currency = rules.currency
    detail = (
        f"{large.id} is larger than {small.id} and asks less for the art: {told(large.art, currency)} against {told(small.art, currency)}."
    )
    return Finding(
        "larger-for-less",
        severity,
        (small.id, large.id),
        detail,
        either_way(rules, grid, small, large),
        (art_price(small.id, small.art, currency), art_price(large.id, large.art, currency), *_listed(rules, small, large)),
    )


def _same_size(rules: RuleSet, grid: Grid, uneven: Uneven, severity: Severity) -> Finding:
    low, high = uneven.entries[0], uneven.entries[-1]
    currency = rules.currency
    detail = f"{len(uneven.entries)} works of one size ask from {told(low.art, currency)} to {told(high.art, currency)} for the art."
    ids = tuple(entry.id for entry in uneven.entries)
    figures = (art_price(low.id, low.art, currency), art_price(high.id, high.art, currency), *_listed(rules, low, high))
    mend = f"Give {named(ids)} one price for the art. {either_way(rules, grid, high, low)}"
    return Finding("same-size-different-price", severity, ids, detail, mend, figures)


def _listed(rules: RuleSet, *entries: Entry) -> tuple[Proof, ...]:
    """The listed prices, where costs were taken off them."""
    from_prices = [entry for entry in entries if entry.costed]
    return tuple(Proof("listed-price", e.id, amount=money(e.listed, rules.currency)) for e in from_prices)


@exact
def lowest_beside(grid: Grid, dear: Entry, cheap: Entry) -> Decimal:
    """The lowest grid price of `cheap` at which its art asks no less than that of `dear`, beyond the slack."""
    costed = dear.costed or cheap.costed

    def bound(slack: Decimal) -> Decimal:
        allowed = max(slack, dear.slack) if costed else ZERO
        return cheap.charged + dear.art - allowed

    return lowest_allowed(grid, cheap.listed, bound)


@exact
def either_way(rules: RuleSet, grid: Grid, dear: Entry, cheap: Entry) -> str:
    """Raise the cheap one or lower the dear one, with the prices that would do; a reserved or sold one stays where it is."""
    ways = []
    if cheap.item.state in MOVABLE:
        ways.append(f"raise {cheap.id} to {told(lowest_beside(grid, dear, cheap), rules.currency)}")
    down = at_or_below(rules.rounding(rules.currency), cheap.art + dear.charged)
    if dear.item.state in MOVABLE and down is not None:
        ways.append(f"lower {dear.id} to {told(down, rules.currency)}")
    if not ways:
        return f"{dear.id} and {cheap.id} are reserved or sold: their prices stand."
    said = " or ".join(ways)
    return f"{said[0].upper()}{said[1:]}."
