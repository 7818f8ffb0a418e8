"""How a picture speaks: its texts in the reader's language, its numbers and amounts as that language writes them.

Knows no catalogue: whoever draws hands a voice in.
"""

import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from typing import NamedTuple

from evenhang.engine.money import Money, shown

# A letter that is as wide as it is high stands for itself, together with marks that never begin a line; all else is kept by the word.
_PIECES = re.compile(
    r"[\u2e80-\u9fff\uf900-\ufaff\uff01-\uff60][\u3001\u3002\u30fb\u30fc\uff01\uff09\uff0c\uff1a\uff1b]*|[^\s\u2e80-\u9fff\uf900-\ufaff\uff01-\uff60]+|\s+"
)


class Voice(NamedTuple):
    """Says a text of ours in the reader's language, and writes a number as that language does."""

    said: Callable[[str], str]
    number: Callable[[Decimal], str]

    def amount(self, money: Money) -> str:
        """The amount with its currency."""
        return self.said(shown(money))

    def tick(self, value: float) -> str:
        """A number at an axis, without the noise of its last binary digits."""
        return self.number(Decimal(f"{value:.10g}"))


def breadth(text: str) -> int:
    """How much room a text takes, in letters: those of East Asia take two. The reader's own font decides in the end."""
    return sum(2 if unicodedata.east_asian_width(letter) in "WF" else 1 for letter in text)


def wrapped(text: str, letters: int) -> str:
    """The text in lines of at most so many letters, as far as its words allow."""
    lines = [""]
    for piece in _PIECES.findall(text):
        if lines[-1] and breadth((lines[-1] + piece).rstrip()) > letters:
            lines.append("")
        lines[-1] += piece if lines[-1] or not piece.isspace() else ""
    return "\n".join(line.rstrip() for line in lines)
