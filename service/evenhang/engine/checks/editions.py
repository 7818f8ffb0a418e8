"""The order within an edition: a later number never asks less than an earlier one.

Knows the numbers of one edition at a time; against other works an edition is compared by its lowest number alone.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import structs

from evenhang.engine.checks.contradictions import either_way
from evenhang.engine.checks.entries import Entry, alike
from evenhang.engine.checks.findings import Finding, art_price, refused, told
from evenhang.engine.checks.order import Inversion, disorder
from evenhang.engine.checks.slack import Grid
from evenhang.engine.refusals import Contradictory
from evenhang.engine.rules import RuleSet


def editions_out_of_order(rules: RuleSet, grid: Grid, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Later numbers of an edition that ask less than an earlier one, sold or not; a sold one is not blamed any more."""
    editions: dict[tuple[object, ...], dict[int, Entry]] = defaultdict(dict)
    for entry in entries:
        edition = entry.item.edition
        if edition is None:
            continue
        numbers = editions[edition.name, *alike(entry)]
        if edition.number in numbers:
            twice = Contradictory(f"Number {edition.number} of this edition stands twice.", "/edition/number", "Give each its own number.")
            yield refused(twice, entry.id, entry.at, "edition-out-of-order")
            continue
        numbers[edition.number] = structs.replace(entry, key=Decimal(edition.number))
    for numbers in editions.values():
        for inversion in disorder(numbers.values()).inversions:
            if inversion.after.item.state != "sold":
                yield _told(rules, grid, inversion)


def _told(rules: RuleSet, grid: Grid, inversion: Inversion) -> Finding:
    first, later = inversion.before, inversion.after
    currency = rules.currency
    detail = f"Number {later.key} asks {told(later.art, currency)} for the art, number {first.key} {told(first.art, currency)}."
    figures = (art_price(first.id, first.art, currency), art_price(later.id, later.art, currency))
    return Finding("edition-out-of-order", "warning", (first.id, later.id), detail, either_way(rules, grid, first, later), figures)
