"""Sizes of the price guide as people read them: the language's decimal mark, and at most two decimals.

Knows no language: it is handed how numbers are written. The exact figures stand in the data.
"""

from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal

from evenhang.engine.formats import ShownSize
from evenhang.engine.guide import GuideRow
from evenhang.engine.money import figure

DIGITS = Decimal("0.01")
Numbers = Callable[[Decimal], str]


def sides_of(size: ShownSize, number: Numbers, sign: str = "×") -> str:
    """The size as a label has it, such as 11.69 by 8.27 in."""
    sides = (size.height, size.width, size.depth)
    return f" {sign} ".join(_side(Decimal(side), number) for side in sides if side is not None) + f" {size.unit}"


def titled(row: GuideRow, number: Numbers) -> str:
    """The title; where the size stands in it as data write it, as the language writes it."""
    return row.title if row.size is None else row.title.replace(row.size.text(), sides_of(row.size, number, "x"))


def _side(side: Decimal, number: Numbers) -> str:
    """A side with at most two decimals; one that would be nothing then keeps its own."""
    rounded = side.quantize(DIGITS, ROUND_HALF_UP)
    return number(Decimal(figure(rounded or side)))
