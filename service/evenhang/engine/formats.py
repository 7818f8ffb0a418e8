"""Standard sizes as people look them up: ISO 216 and the French canvases, in any unit of length, with where they stand.

Knows no rules and no prices: what a member shows of its own is the price guide's affair.
"""

from typing import Literal

from msgspec import Struct

from evenhang.engine.money import EXACT, Ratio, figure
from evenhang.engine.sizes import FORMATS, MM, LengthUnit, Size, in_mm

Family = Literal["iso-216", "french-canvas"]
Series = Literal["a", "b", "figure", "paysage", "marine"]
_SERIES: dict[str, Series] = {"f": "figure", "p": "paysage", "m": "marine"}
DIGITS = 4  # of a size in another unit: a ten-thousandth of an inch is 0.00254 mm


class ShownSize(Struct, frozen=True):
    """A size to be read: height first; in another unit than its own it is converted exactly, then rounded half up to 4 decimals."""

    height: Ratio
    width: Ratio | None
    depth: Ratio | None
    unit: LengthUnit

    def text(self) -> str:
        """As a label writes it: 60 x 80 cm."""
        return " x ".join(side for side in (self.height, self.width, self.depth) if side is not None) + f" {self.unit}"


class FormatFamily(Struct, frozen=True):
    """A family of standard sizes, where it stands, and how sure."""

    family: Family
    title: str
    source: str
    known: Literal["read", "memory"]
    note: str = ""


class FormatRow(Struct, frozen=True):
    """A standard size: upright as it is named, its number where it is a canvas."""

    name: str
    title: str
    family: Family
    series: Series
    canvas: int | None
    size: ShownSize


FAMILIES: tuple[FormatFamily, ...] = (
    FormatFamily("iso-216", "Trimmed paper sizes, series A and B", "ISO 216", "read", "Height is the longer side."),
    FormatFamily(
        "french-canvas",
        "French canvases by number: figure, paysage, marine",
        "The trade's traditional tables; no standard is behind them",
        "read",
        "Height is the longer side, as the tables have it. In that tradition the number is a point of price as well.",
    ),
)


def shown_size(size: Size, unit: LengthUnit | None = None) -> ShownSize:
    """`size` in `unit`, or in its own. OutOfRange for a side of 0 or over 100 m."""
    to = unit or size.unit
    sides = in_mm(size, "")
    height, width, depth = (
        None if side is None else figure(EXACT.divide(side, MM[to]), DIGITS) for side in (sides.height, sides.width, sides.depth)
    )
    return ShownSize(height or "0", width, depth, to)


def list_formats(unit: LengthUnit | None = None, family: Family | None = None) -> tuple[FormatRow, ...]:
    """The standard sizes of one family or all, each in `unit` or in its own: ISO 216 from A0 on, then the canvases by number."""
    rows = []
    for kind in FAMILIES:
        for row in FORMATS.values():
            if row.family == kind.family and family in (None, kind.family):
                series: Series = _SERIES[row.name[-1]] if row.canvas is not None else "a" if row.name.startswith("a") else "b"
                rows.append(FormatRow(row.name, row.title, row.family, series, row.canvas, shown_size(row.size, unit)))
    return tuple(rows)
