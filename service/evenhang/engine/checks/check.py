"""The checks over a catalogue: does the body of work hang together?

Knows nothing of who asks, and of files nothing: the caller hands in the rules of any day. Each family of findings has a file.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from functools import partial

from msgspec import Struct

from evenhang.engine.checks.catalogue import CatalogueWork
from evenhang.engine.checks.contradictions import contradictions
from evenhang.engine.checks.earnings import weak_earnings
from evenhang.engine.checks.editions import editions_out_of_order
from evenhang.engine.checks.entries import Entry, RulesOn, grid_of_rules, groups_of, read_entry
from evenhang.engine.checks.findings import Finding, refused
from evenhang.engine.checks.listings import USUAL_TOLERANCE, increases_missed, off_the_rounding, off_the_rule, price_cuts
from evenhang.engine.checks.mending import MendedList, MendKind, mended_list
from evenhang.engine.checks.parity import outlets_undercut
from evenhang.engine.checks.rungs import USUAL_RATIO, missing_rungs
from evenhang.engine.checks.unitrates import odd_unit_rates
from evenhang.engine.money import ONE, exact
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say


class Checked(Struct, frozen=True):
    """What a check found; `contradicting_pairs` counts all pairs that the contradictions among the findings explain."""

    findings: tuple[Finding, ...]
    contradicting_pairs: int
    mended: tuple[MendedList, ...]


@exact
def check_catalogue(
    rules: RuleSet,
    rules_on: RulesOn,
    works: Sequence[CatalogueWork],
    on: date,
    tolerance_percent: Decimal = USUAL_TOLERANCE,
    rung_ratio: Decimal = USUAL_RATIO,
    mend: Sequence[MendKind] = (),
) -> Checked:
    """The findings over works of one member, family by family, and the mended lists that are wanted.

    `rules` are those of the day `on`, `rules_on` gives any day's. A work that the rules decline becomes an `incomplete` finding
    with a pointer and sinks nobody. OutOfRange for a rung ratio that is not over 1.
    """
    if rung_ratio <= ONE:
        detail = say("Two price points are never closer than a ratio of 1.")
        raise OutOfRange(detail, "/rung_ratio", say('Send a ratio over 1, such as "2".'))
    findings: list[Finding] = []
    grid = grid_of_rules(rules)
    entries = _read(partial(read_entry, rules, rules_on, grid), works, on, findings)
    if not entries:
        return Checked(tuple(findings), 0, tuple(mended_list(rules, {}, kind) for kind in mend))
    groups = groups_of(entries)
    unsold = [entry for entry in entries if entry.item.state != "sold"]
    found, pairs = contradictions(rules, grid, groups)
    findings += found
    findings += off_the_rule(rules, unsold, tolerance_percent)
    findings += off_the_rounding(rules, unsold)
    findings += outlets_undercut(rules, unsold)
    findings += price_cuts(rules, unsold, on)
    findings += increases_missed(rules, unsold)
    findings += odd_unit_rates(rules, groups)
    findings += weak_earnings(rules, unsold)
    findings += missing_rungs(rules, unsold, rung_ratio)
    findings += editions_out_of_order(rules, grid, entries)
    return Checked(tuple(findings), pairs, tuple(mended_list(rules, groups, kind) for kind in mend))


@exact
def comparable_works(
    rules: RuleSet, rules_on: RulesOn, works: Sequence[CatalogueWork], on: date
) -> Mapping[tuple[object, ...], list[Entry]]:
    """The works as they are compared, group by group; those that the rules decline are left out, and are findings of the check."""
    return groups_of(_read(partial(read_entry, rules, rules_on, grid_of_rules(rules)), works, on, []))


def _read(
    read: Callable[[CatalogueWork, int, date], Entry], works: Sequence[CatalogueWork], on: date, findings: list[Finding]
) -> list[Entry]:
    """The works that the rules can read; a finding for each of the others. Sold ones count in their edition alone."""
    entries: list[Entry] = []
    seen: set[str] = set()
    for at, item in enumerate(works):
        try:
            if item.id in seen:
                detail = say("A work of this id stands further up already; it is counted once.")
                raise Contradictory(detail, "/id", say("Give each work its own id."))
            seen.add(item.id)
            if item.state != "sold" or item.edition is not None:
                entries.append(read(item, at, on))
        except Refusal as refusal:
            findings.append(refused(refusal, item.id, at))
    return entries
