"""Isotonic regression by pooling adjacent violators: the nearest rising sequence, in exact decimals.

Knows nothing of prices. Ayer et al. (1955); Busing, Monotone Regression, J. Stat. Software 102 (2022).
"""

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import ZERO, exact


class Place(Struct, frozen=True):
    """One place in the order: the sum of its values and their number, or a value that it is held at whatever the others want."""

    total: Decimal
    weight: int
    held: Decimal | None = None


class Block(Struct, frozen=True):
    """Neighbouring places that share one value, from `start` up to `end` (exclusive)."""

    start: int
    end: int
    total: Decimal
    weight: int
    held: Decimal | None

    @property
    def value(self) -> Decimal:
        """The mean, or where it is held."""
        return self.total / self.weight if self.held is None else self.held


@exact
def pool_adjacent_violators(places: Iterable[Place]) -> list[Block]:
    """The blocks of the least-squares rising sequence, from the first. A held place is one of endless weight.

    The held values themselves must rise: ValueError where two of them do not.
    """
    blocks: list[Block] = []
    for i, place in enumerate(places):
        block = Block(i, i + 1, place.total, place.weight, place.held)
        while blocks and blocks[-1].value > block.value:
            block = _pooled(blocks.pop(), block)
        blocks.append(block)
    return blocks


def _pooled(one: Block, other: Block) -> Block:
    held = [block.held for block in (one, other) if block.held is not None]
    if len(held) == 2 and held[0] > held[1]:
        raise ValueError("held values fall")
    return Block(one.start, other.end, one.total + other.total, one.weight + other.weight, held[0] if held else None)


def mean_of(values: list[Decimal]) -> Place:
    """A place that several values share."""
    return Place(sum(values, ZERO), len(values))
