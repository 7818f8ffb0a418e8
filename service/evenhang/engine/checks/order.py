"""Who is dearer than a later one, in an order by size or by number: sorted passes, never all pairs.

Knows no findings. Entries fall into few kinds by their slack; for each kind a stack of the works nobody later outbids answers
"the nearest dearer one" and a sorted list "how many dearer ones", by bisection. n log n for n works, times the kinds.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import groupby

from msgspec import Struct

from evenhang.engine.checks.entries import Entry
from evenhang.engine.money import ZERO, exact

CHUNK = 1024
Kind = tuple[bool, Decimal]  # whether costs were taken off, and the slack


class Inversion(Struct, frozen=True):
    """A work that asks less than one before it in the order: the nearest such one."""

    before: Entry
    after: Entry


class Uneven(Struct, frozen=True):
    """Works of one place in the order that ask different prices, from the lowest to the highest."""

    entries: tuple[Entry, ...]


class Disorder(Struct, frozen=True):
    """Everything out of order in one group: the fewest pairs that explain it, and how many pairs there are in all."""

    inversions: tuple[Inversion, ...]
    uneven: tuple[Uneven, ...]
    pairs: int


class _Earlier:
    """The earlier works of one kind: those nobody later outbids, nearest last, and all art parts in rising order."""

    def __init__(self) -> None:
        self.stack: list[Entry] = []
        self.falling: list[Decimal] = []  # the art parts of the stack, negated, so that they rise
        self.arts: list[Decimal] = []
        self.latest: list[Decimal] = []  # not among `arts` yet, so that an insertion moves little

    def add(self, entry: Entry) -> None:
        while self.falling and self.falling[-1] >= -entry.art:
            self.falling.pop()
            self.stack.pop()
        self.stack.append(entry)
        self.falling.append(-entry.art)
        insort(self.latest, entry.art)
        if len(self.latest) == CHUNK:
            self.arts = sorted(self.arts + self.latest)  # two rising runs: merged in one pass
            self.latest = []

    def nearest_over(self, amount: Decimal) -> Entry | None:
        found = bisect_left(self.falling, -amount)
        return self.stack[found - 1] if found else None

    def count_over(self, amount: Decimal) -> int:
        return sum(len(arts) - bisect_right(arts, amount) for arts in (self.arts, self.latest))


def kind_of(entry: Entry) -> Kind:
    return entry.costed, entry.slack


def allowance(kind: Kind, costed: bool, slack: Decimal) -> Decimal:
    """Beyond which a difference between a work of `kind` and one like this counts."""
    return max(kind[1], slack) if kind[0] or costed else ZERO


def levels(entries: Iterable[Entry]) -> Iterator[list[Entry]]:
    """The works place by place, from the smallest, each place from the lowest art part."""
    ordered = sorted(entries, key=lambda e: (e.key, e.art))
    for _, same in groupby(ordered, key=lambda e: e.key):
        yield list(same)


@exact
def disorder(entries: Iterable[Entry]) -> Disorder:
    """Larger works that ask less than a smaller one, and works of one size that ask differently, beyond the slack."""
    earlier: dict[Kind, _Earlier] = {}
    inversions: list[Inversion] = []
    uneven: list[Uneven] = []
    pairs = 0
    for same in levels(entries):
        for entry in same:
            nearest: Entry | None = None
            for kind, those in earlier.items():
                limit = entry.art + allowance(kind, entry.costed, entry.slack)
                found = those.nearest_over(limit)
                if found is None:
                    continue
                pairs += those.count_over(limit)
                # Of two at the nearest size the dearer one says more.
                if nearest is None or (found.key, found.art) > (nearest.key, nearest.art):
                    nearest = found
            if nearest is not None:
                inversions.append(Inversion(nearest, entry))
        if within := _pairs_within(same):
            uneven.append(Uneven(tuple(same)))
            pairs += within
        for entry in same:
            earlier.setdefault(kind_of(entry), _Earlier()).add(entry)
    return Disorder(tuple(inversions), tuple(uneven), pairs)


def _pairs_within(same: list[Entry]) -> int:
    """How many pairs of works of one place differ beyond the slack; `same` rises in art."""
    pairs = 0
    lower: dict[Kind, list[Decimal]] = {}
    for entry in same:
        for kind, arts in lower.items():
            pairs += bisect_left(arts, entry.art - allowance(kind, entry.costed, entry.slack))
        lower.setdefault(kind_of(entry), []).append(entry.art)
    return pairs
