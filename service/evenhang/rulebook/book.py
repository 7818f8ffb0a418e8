"""The rule book in memory: every member's rule sets over time, by day and by digest."""

from datetime import date
from pathlib import Path

from evenhang.engine.growth import anniversary, percent_of
from evenhang.engine.refusals import NotInForce
from evenhang.engine.rules import Increase, RuleSet
from evenhang.rulebook.layers import Fault, Folder, lay, read_folder
from evenhang.rulebook.resolve import resolve

MOST_YEARS = 100


class BadRules(Exception):
    """A rule folder that cannot be served; `faults` are all of them, with file, key and reason."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(fault.line() for fault in faults))
        self.faults = faults


class RuleBook:
    """All segments in time of all members, so that a price of last year is computed with last year's rules."""

    def __init__(self, segments: dict[str, tuple[RuleSet, ...]]) -> None:
        self.segments = segments
        self.by_digest = {rules.digest: rules for sets in segments.values() for rules in sets}

    def in_force(self, member: str, on: date) -> RuleSet:
        """The rules of `member` on that day. KeyError for no such member, NotInForce before the first and a century after the last."""
        sets = self.segments[member]
        if on.year - sets[-1].effective_from.year > MOST_YEARS:  # a yearly increase over thousands of years leaves all decimals behind
            raise NotInForce(
                f"{on} lies over {MOST_YEARS} years after the newest rules of {member}.", "/as_of", "Ask as of an earlier day."
            )
        for rules in reversed(sets):
            if rules.effective_from <= on:
                return rules
        raise NotInForce(f"There are no rules of {member} on {on}.", "/as_of", f"The first are of {sets[0].effective_from}.")


def load_book(folder: Path) -> RuleBook:
    """The rule book in `folder`; BadRules with every fault at once."""
    faults: list[Fault] = []
    layers = read_folder(folder, faults)
    segments = {member: _segments(layers, member, faults) for member in layers.members}
    if faults:
        raise BadRules(list(dict.fromkeys(faults)))
    return RuleBook(segments)


def _segments(folder: Folder, member: str, faults: list[Fault]) -> tuple[RuleSet, ...]:
    own = folder.members[member]
    if not own:
        faults.append(Fault(f"members/{member}", "", "no dated file"))
        return ()
    first = own[0].since
    days = sorted({first, *(layer.since for layer in (*folder.house, *own) if layer.since > first)})
    out: list[RuleSet] = []
    for since, until in zip(days, [*days[1:], None]):
        house = tuple(layer for layer in folder.house if layer.since <= since)
        mine = tuple(layer for layer in own if layer.since <= since)
        merged, origins = lay((*house, *mine))
        rules = resolve(member, merged, origins, since, until, faults)
        if rules is None:
            continue
        if out and (year := _rewritten(out[-1].rules.increase, rules.rules.increase, since)):
            where = rules.origin("increase.yearly_percent").layer
            faults.append(Fault(where, "increase", f"rewrites {year}: set base_date, or an exception for {year}"))
        out.append(rules)
    return tuple(out)


def _rewritten(old: Increase | None, new: Increase | None, since: date) -> int | None:
    """The first past anniversary whose increase a later file would change; None if history stands."""
    if old is None or new is None or old.base_date != new.base_date:
        return None
    for year in range(old.base_date.year + 1, since.year + 1):
        if anniversary(old.base_date, year) < since and percent_of(old, year) != percent_of(new, year):
            return year
    return None
