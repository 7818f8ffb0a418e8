"""Mended lists: prices on the grid that leave no contradiction, by raises alone or by the least change.

Knows the comparable works for sale or reserved of one group at a time. Reserved works stay where they are; what that makes
unmendable is listed. Checked again, a mended list is clean but for that.
"""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.checks.contradictions import offered
from evenhang.engine.checks.entries import Entry, relisted, threshold
from evenhang.engine.checks.findings import named
from evenhang.engine.checks.order import Kind, allowance, disorder, kind_of, levels
from evenhang.engine.checks.slack import Grid, grid_of, lowest_allowed
from evenhang.engine.isotonic import Place, mean_of, pool_adjacent_violators
from evenhang.engine.money import ZERO, Money, exact, money
from evenhang.engine.rounding import at_or_below, on_grid, to_grid
from evenhang.engine.rules import Rounding, RuleSet
from evenhang.engine.saying import say

MendKind = Literal["raise-only", "least-change"]


class PriceChange(Struct, frozen=True):
    """A work whose price the mended list changes."""

    id: str
    listed: Money
    mended: Money
    way: Literal["raise", "cut"]


class Unmendable(Struct, frozen=True):
    """A pair, or the works of one size, that contradict one another still, because a reserved price stands."""

    works: tuple[str, ...]
    reserved: tuple[str, ...]
    detail: str


class MendedList(Struct, frozen=True):
    """A list without contradictions but for the unmendable: what it changes; every other price stays.

    `raised` and `taken_off` are the sums of the raises and of the cuts, 0 or more.
    """

    kind: MendKind
    changes: tuple[PriceChange, ...]
    raises: int
    cuts: int
    raised: Money
    taken_off: Money
    unmendable: tuple[Unmendable, ...]


def mended_list(rules: RuleSet, groups: Mapping[tuple[object, ...], list[Entry]], kind: MendKind) -> MendedList:
    """The catalogue mended, group by group; the changes in the catalogue's order."""
    rounding = rules.rounding(rules.currency)
    mend = raise_only if kind == "raise-only" else least_change
    moved: list[tuple[int, PriceChange]] = []
    left: list[Unmendable] = []
    for group in groups.values():
        before = offered(group)
        after = mend(before, rounding)
        left += _unmendable(after)
        after += _later_numbers(group, after, rounding, kind)
        listed = {entry.at: entry.listed for entry in group}
        moved += [(e.at, _change(e, listed[e.at], rules.currency)) for e in after if e.listed != listed[e.at]]
    changes = [change for _, change in sorted(moved, key=lambda one: one[0])]
    differences = [change.mended.amount - change.listed.amount for change in changes]
    return MendedList(
        kind=kind,
        changes=tuple(changes),
        raises=sum(d > 0 for d in differences),
        cuts=sum(d < 0 for d in differences),
        raised=money(sum((d for d in differences if d > 0), ZERO), rules.currency),
        taken_off=money(-sum((d for d in differences if d < 0), ZERO), rules.currency),
        unmendable=tuple(left),
    )


def _change(entry: Entry, listed: Decimal, currency: str) -> PriceChange:
    way: Literal["raise", "cut"] = "raise" if entry.listed > listed else "cut"
    return PriceChange(entry.id, money(listed, currency), money(entry.listed, currency), way)


@exact
def raise_only(entries: Iterable[Entry], rounding: Rounding) -> list[Entry]:
    """The lowest prices on the grid, none below what is listed, that leave no contradiction which a raise can mend.

    From the smallest size up: a work need only ask as much as the dearest smaller one, and as the dearest of its own size.
    """
    grid = grid_of(rounding)
    dearest: dict[Kind, Decimal] = {}
    out: list[Entry] = []
    for same in levels(entries):
        raised = [_raised(entry, dearest, grid) for entry in same]
        # To a reserved price off the grid no other of its size can come, but for the slack of costs: towards it all raises are in vain.
        slack = any(entry.costed for entry in same)
        pulls = [entry.item.state != "reserved" or on_grid(rounding, entry.listed) or slack for entry in same]
        before: list[Entry] = []
        # Again while anything moves: where a step is smaller further up so is the slack, and a reserved price may be off the grid.
        while raised != before:
            others = _dearest((entry for entry, pulling in zip(raised, pulls, strict=True) if pulling), dearest)
            raised, before = [_raised(entry, others, grid) for entry in raised], raised
        dearest = _dearest(raised, dearest)
        out += raised
    return out


def _dearest(entries: Iterable[Entry], known: Mapping[Kind, Decimal] | None = None) -> dict[Kind, Decimal]:
    """The dearest art part of each kind, those `known` among them."""
    out = dict(known or {})
    for entry in entries:
        kind = kind_of(entry)
        out[kind] = max(entry.art, out.get(kind, entry.art))
    return out


def _raised(entry: Entry, others: Mapping[Kind, Decimal], grid: Grid) -> Entry:
    """The work at the lowest price on the grid, none below its own, that asks no less than `others`; a reserved one as it stands."""
    if entry.item.state == "reserved":
        return entry
    return relisted(entry, lowest_allowed(grid, entry.listed, _bound(entry, others)), grid)


def _bound(entry: Entry, others: Mapping[Kind, Decimal]) -> Callable[[Decimal], Decimal]:
    def bound(slack: Decimal) -> Decimal:
        wanted = [art - allowance(kind, entry.costed, slack) for kind, art in others.items()]
        return entry.charged + max(wanted) if wanted else ZERO

    return bound


@exact
def least_change(entries: Iterable[Entry], rounding: Rounding) -> list[Entry]:
    """Isotonic regression of the art parts by size, on the grid; works that contradict nobody keep their price.

    Reserved works are held, each that does not ask less than an earlier one of them. What rounding to the grid leaves
    between works with different costs is raised.
    """
    grid = grid_of(rounding)
    every = list(entries)
    holding = {entry.at for entry in _holding(every)}
    out = [entry for entry in every if entry.item.state == "reserved"]
    places = list(levels(entry for entry in every if entry.item.state != "reserved" or entry.at in holding))
    held = [next((entry for entry in same if entry.item.state == "reserved"), None) for same in places]
    regression = [
        mean_of([entry.art for entry in same]) if pin is None else Place(ZERO, len(same), pin.art)
        for same, pin in zip(places, held, strict=True)
    ]
    ceilings = _next_held(held)
    for block in pool_adjacent_violators(regression):
        inside = range(block.start, block.end)
        keep = disorder(entry for place in inside for entry in places[place]).pairs == 0
        for place in inside:
            moving = [entry for entry in places[place] if entry.item.state != "reserved"]
            out += [_moved(entry, None if keep else block.value, ceilings[place], rounding, grid) for entry in moving]
    return raise_only(out, rounding)


def _holding(entries: Iterable[Entry]) -> list[Entry]:
    """The reserved works that hold their place: the dearest of its size, unless a smaller one that holds its own asks more."""
    out: list[Entry] = []
    for same in levels(entry for entry in entries if entry.item.state == "reserved"):
        if not out or same[-1].art >= out[-1].art:
            out.append(same[-1])
    return out


def _next_held(held: list[Entry | None]) -> list[Entry | None]:
    """For each place the work that holds it, or else the next one above."""
    out: list[Entry | None] = []
    following: Entry | None = None
    for pin in reversed(held):
        following = pin or following
        out.append(following)
    return out[::-1]


def _moved(entry: Entry, value: Decimal | None, ceiling: Entry | None, rounding: Rounding, grid: Grid) -> Entry:
    """The work with its art part at `value` on the grid (at its own price where that is None), and no dearer than a held larger one."""
    wanted = entry.listed if value is None else value + entry.charged
    moved = relisted(entry, wanted if on_grid(rounding, wanted) else to_grid(rounding, wanted), grid)
    if ceiling is None or moved.art - ceiling.art <= threshold(moved, ceiling):
        return moved
    under = at_or_below(rounding, ceiling.art + entry.charged)
    return moved if under is None else relisted(entry, under, grid)


def _later_numbers(group: Iterable[Entry], after: Iterable[Entry], rounding: Rounding, kind: MendKind) -> list[Entry]:
    """The numbers of editions for sale that no work is compared with: on the grid, and not below their lowest one where that was raised."""
    grid = grid_of(rounding)
    opening = {entry.item.edition.name: entry for entry in after if entry.item.edition is not None}
    compared = {entry.at for entry in after}
    out = []
    for entry in group:
        edition = entry.item.edition
        if edition is None or entry.at in compared or entry.item.state != "for-sale":
            continue
        start = entry if kind == "raise-only" else _moved(entry, None, None, rounding, grid)
        first = opening.get(edition.name)
        followed = [first] if first is not None and first.listed > first.item.price.amount else []
        out.append(_raised(start, _dearest(followed), grid))
    return out


def _unmendable(after: list[Entry]) -> list[Unmendable]:
    """What contradicts still: pairs with a reserved work, and works of one size beside a reserved one."""
    found = disorder(after)
    sets = [(inversion.before, inversion.after) for inversion in found.inversions]
    return [_stands(entries) for entries in [*sets, *(uneven.entries for uneven in found.uneven)]]


def _stands(entries: tuple[Entry, ...]) -> Unmendable:
    reserved = tuple(entry.id for entry in entries if entry.item.state == "reserved")
    detail = say(
        "Reserved, at a price that stands: {reserved}. So these cannot be brought in order: {works}.",
        reserved=named(reserved),
        works=named(e.id for e in entries),
    )
    return Unmendable(tuple(entry.id for entry in entries), reserved, detail)
