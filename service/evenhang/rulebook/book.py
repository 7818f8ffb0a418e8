"""The rule book in memory: every member's rule sets over time, by day and by digest, and a what-if layer on top.

Knows layers and rule sets; where the files lie is handed in.
"""

import hashlib
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import msgspec

from evenhang.engine.refusals import NotInForce
from evenhang.engine.rules import Rules, RuleSet
from evenhang.engine.saying import say
from evenhang.rulebook.fit import misfits
from evenhang.rulebook.folder import Folder, RuleFile, files_in, read_files
from evenhang.rulebook.history import judge_change
from evenhang.rulebook.layers import Fault, Laid, Layer, lay
from evenhang.rulebook.limits import MOST_FAULTS, MOST_KEY
from evenhang.rulebook.lines import line_of, lines_in
from evenhang.rulebook.resolve import RuleValue, resolve, values_of
from evenhang.rulebook.warned import warned

TRY = "try"  # the name of a request's own last layer, where others have a file's
MOST_TRIALS = 64  # resolved what-ifs that are kept

MOST_YEARS = 100
LAST_YEAR = 9900  # what looks ahead needs years that there are


class BadRules(Exception):
    """Rules that cannot be served; `faults` are all of them, with file, key and reason."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = list(faults)
        super().__init__(told(self.faults))


class RuleBook:
    """All segments in time of all members, so that a price of last year is computed with last year's rules."""

    def __init__(
        self,
        segments: Mapping[str, tuple[RuleSet, ...]],
        layers: Mapping[str, tuple[Layer, ...]] | None = None,
        warnings: Iterable[Fault] = (),
    ) -> None:
        self.segments = dict(segments)
        self.layers = dict(layers or {})  # of each member: the house's, then its own
        self.warnings = tuple(warnings)
        self.by_digest = {rules.digest: rules for sets in self.segments.values() for rules in sets}
        self.digest = hashlib.sha256("\n".join(sorted(self.by_digest)).encode()).hexdigest()
        self._trials: OrderedDict[tuple[str, bytes], RuleSet] = OrderedDict()

    def in_force(self, member: str, on: date) -> RuleSet:
        """The rules of `member` on that day. KeyError for no such member, NotInForce before the first and a century after the last."""
        sets = self.segments[member]
        if on.year > LAST_YEAR:
            detail = say("There are no rules of {member} on {day}.", member=member, day=on)
            raise NotInForce(detail, "/as_of", say("Ask as of an earlier day."))
        if on.year - sets[-1].effective_from.year > MOST_YEARS:  # a yearly increase over thousands of years leaves all decimals behind
            detail = say("{day} lies over {n} years after the newest rules of {member}.", day=on, n=MOST_YEARS, member=member)
            raise NotInForce(detail, "/as_of", say("Ask as of an earlier day."))
        for rules in reversed(sets):
            if rules.effective_from <= on:
                return rules
        raise NotInForce(
            say("There are no rules of {member} on {day}.", member=member, day=on),
            "/as_of",
            say("The first are of {day}.", day=sets[0].effective_from),
        )

    def tried(self, base: RuleSet, says: dict[str, Any]) -> RuleSet:
        """`base` with one more layer on top, read and checked like a file whose figures are texts. BadRules names the layer `try`.

        Only how the rules stand together is checked: a what-if may rewrite history.
        """
        key = base.digest, msgspec.json.encode(says, order="deterministic")
        known = self._trials.get(key)
        if known is not None:
            return known
        faults = [Fault(TRY, at[:MOST_KEY], reason) for at, reason in misfits(says, Rules, layer=True, json=True)]
        if faults:
            raise BadRules(faults)
        laid = self._laid(base, Layer(TRY, base.effective_from, says))
        made = resolve(base.member, laid, base.effective_from, base.effective_until, TRY, faults)
        if made is None:
            raise BadRules(faults)
        made.tried = True
        self._trials[key] = made
        while len(self._trials) > MOST_TRIALS:
            self._trials.popitem(last=False)
        return made

    def values(self, rules: RuleSet) -> tuple[RuleValue, ...]:
        """Every value of a loaded rule set with its origin."""
        return tuple(values_of(self._laid(rules).values, rules))

    def _laid(self, rules: RuleSet, *more: Layer) -> Laid:
        return lay((*(layer for layer in self.layers[rules.member] if layer.since <= rules.effective_from), *more))


class Checked(msgspec.Struct, frozen=True):
    """What a check of rule files found: refusals first, then warnings, and the book where nothing is refused."""

    faults: tuple[Fault, ...]
    book: Any = None  # a RuleBook; msgspec has no schema for it

    @property
    def refusals(self) -> tuple[Fault, ...]:
        return tuple(fault for fault in self.faults if not fault.warning)


def check_folder(folder: Path) -> Checked:
    """Everything wrong with the files in `folder`, and the book they make."""
    faults: list[Fault] = []
    return check_files(files_in(folder, faults), faults)


def check_files(files: Iterable[RuleFile], faults: list[Fault] | None = None) -> Checked:
    """Everything wrong with these files, each fault once however many segments in time it shows in, and the book they make."""
    found = faults if faults is not None else []
    folder = read_files(files, found)
    for layer in (*folder.house, *(layer for own in folder.members.values() for layer in own)):
        found += [Fault(layer.file, key[:MOST_KEY], reason) for key, reason in misfits(layer.says, Rules, layer=True)]
    segments = {member: _segments(folder, member, found) for member in folder.members}
    once = list(dict.fromkeys(found))
    refused = [fault for fault in once if not fault.warning]
    doubted = [fault for fault in once if fault.warning]
    told = _placed(folder, [*refused, *doubted][:MOST_FAULTS] if refused else doubted)
    if refused:
        return Checked(told)
    return Checked(told, RuleBook(segments, {name: (*folder.house, *own) for name, own in folder.members.items()}, told))


def load_book(folder: Path) -> RuleBook:
    """The rule book in `folder`; BadRules with every refusal at once. Its warnings stand in the book."""
    checked = check_folder(folder)
    if checked.refusals:
        raise BadRules(checked.refusals)
    book: RuleBook = checked.book
    return book


def told(faults: Iterable[Fault]) -> str:
    """Faults for people, grouped by file."""
    by_file: dict[str, list[Fault]] = {}
    for fault in faults:
        by_file.setdefault(fault.file, []).append(fault)
    return "\n".join(f"{file or 'the folder'}\n" + "\n".join(f"  {fault.text()}" for fault in rows) for file, rows in by_file.items())


def _placed(folder: Folder, faults: list[Fault]) -> tuple[Fault, ...]:
    """The faults with their lines, as far as they can be told."""
    lines = {file: lines_in(folder.texts.get(file, "")) for file in {fault.file for fault in faults}}
    return tuple(
        fault if fault.line is not None else msgspec.structs.replace(fault, line=line_of(lines[fault.file], fault.key)) for fault in faults
    )


def _segments(folder: Folder, member: str, faults: list[Fault]) -> tuple[RuleSet, ...]:
    own = folder.members[member]
    if not own:
        return ()  # none of its files could be read, which is a fault already
    days = sorted({own[0].since, *(layer.since for layer in (*folder.house, *own) if layer.since > own[0].since)})
    out: list[RuleSet] = []
    for since, until in zip(days, [*days[1:], None]):
        if since >= folder.known_until(member):
            break  # what is missing may stand in the file that could not be read
        layers = tuple(layer for layer in (*folder.house, *own) if layer.since <= since)
        laid = lay(layers)
        rules = resolve(member, laid, since, until, own[0].file, faults)
        faults += [Fault(gone.layer, gone.path, "removes what is not there", warning=True) for gone in laid.idle]
        if rules is None:
            continue
        newest = max(layers, key=lambda layer: (layer.since, layer.file))
        if out and (rules.rules, rules.origins) == (out[-1].rules, out[-1].origins):
            out[-1].effective_until = until  # a file that changes nothing begins nothing
            continue
        if out:
            faults += judge_change(out[-1], rules, newest.file)
        faults += warned(rules)
        out.append(rules)
    return tuple(out)
