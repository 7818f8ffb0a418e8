"""Lengths, sizes, measures and standard formats.

Knows nothing of money. Everything is converted exactly: 1 in = 25.4 mm (international yard, 1959).
"""

from collections.abc import Callable, Sequence
from decimal import Decimal, localcontext
from typing import Annotated, Literal

from msgspec import Meta, Struct

from evenhang.engine.money import EXACT, Amount, numeral
from evenhang.engine.refusals import Contradictory, Missing, OutOfRange
from evenhang.engine.saying import Numeral, Said, reckon, say

LengthUnit = Literal["mm", "cm", "m", "in"]
Measure = Literal["area", "united", "longest", "height", "volume", "hours", "piece", "canvas"]
Per = Literal["cm2", "in2", "cm", "in", "cm3", "in3", "hour", "piece", "point"]
Shape = Literal["rectangle", "round", "oval"]

MM: dict[str, Decimal] = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000), "in": Decimal("25.4")}
LARGEST_MM = Decimal(100_000)  # 100 m a side: a slip of the unit, not a work, lies beyond
MOST_HOURS = Decimal(100_000)
PI = Decimal("3.14159265358979323846264338327950288419716939937510582097494459")

# What one unit of each `per` is in mm, mm2 or mm3 (or in itself), and which dimension it has.
PER: dict[str, tuple[str, Decimal]] = {
    "cm": ("length", Decimal(10)),
    "in": ("length", Decimal("25.4")),
    "cm2": ("area", Decimal(100)),
    "in2": ("area", Decimal("645.16")),
    "cm3": ("volume", Decimal(1000)),
    "in3": ("volume", Decimal("16387.064")),
    "hour": ("hours", Decimal(1)),
    "piece": ("piece", Decimal(1)),
    "point": ("canvas", Decimal(1)),
}
DIMENSION: dict[str, str] = {
    "area": "area", "united": "length", "longest": "length", "height": "length", "volume": "volume",
    "hours": "hours", "piece": "piece", "canvas": "canvas",
}  # fmt: skip
DEFAULT_PER: dict[str, Per] = {"area": "cm2", "length": "cm", "volume": "cm3", "hours": "hour", "piece": "piece", "canvas": "point"}


class Size(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A sight size: height first, as the trade writes it; never the frame's."""

    height: Amount
    unit: LengthUnit
    width: Amount | None = None
    depth: Amount | None = None

    def text(self) -> Said:
        """The size as a label writes it: 60 x 80 cm."""
        sides = {name: Numeral(format(side, "f")) for name in ("height", "width", "depth") if (side := getattr(self, name)) is not None}
        return reckon(" x ".join(f"{{{name}}}" for name in sides) + " {unit}", **sides, unit=self.unit)


class Sides(Struct, frozen=True):
    """A size in millimetres, checked; width and depth are None where the work has none."""

    height: Decimal
    width: Decimal | None
    depth: Decimal | None


class Format(Struct, frozen=True):
    """A standard size in cm or mm, by name, with its canvas number where it has one."""

    name: Annotated[str, Meta(pattern="^[a-z0-9][a-z0-9-]{0,62}$")]
    title: str
    size: Size
    family: Literal["iso-216", "french-canvas"]
    canvas: int | None = None


# Traditional French canvases, cm: number, then figure, paysage, marine. The numbers are points of price as well.
_CANVASES = """
0 18x14 18x12 18x10; 1 22x16 22x14 22x12; 2 24x19 24x16 24x14; 3 27x22 27x19 27x16; 4 33x24 33x22 33x19
5 35x27 35x24 35x22; 6 41x33 41x27 41x24; 8 46x38 46x33 46x27; 10 55x46 55x38 55x33; 12 61x50 61x46 61x38
15 65x54 65x50 65x46; 20 73x60 73x54 73x50; 25 81x65 81x60 81x54; 30 92x73 92x65 92x60; 40 100x81 100x73 100x65
50 116x89 116x81 116x73; 60 130x97 130x89 130x81; 80 146x114 146x97 146x89; 100 162x130 162x114 162x97
120 195x130 195x114 195x97
"""
# ISO 216, mm.
_ISO = """
A0 841x1189 A1 594x841 A2 420x594 A3 297x420 A4 210x297 A5 148x210 A6 105x148
B0 1000x1414 B1 707x1000 B2 500x707 B3 353x500 B4 250x353 B5 176x250 B6 125x176
"""


def _standard_formats() -> dict[str, Format]:
    out: dict[str, Format] = {}
    for row in _CANVASES.replace("\n", ";").split(";"):
        if not row.strip():
            continue
        number, *sizes = row.split()
        for letter, size in zip("fpm", sizes, strict=True):
            height, width = size.split("x")
            name = f"{number}{letter}"
            out[name] = Format(name, name.upper(), Size(Amount(height), "cm", Amount(width)), "french-canvas", int(number))
    words = _ISO.split()
    for name, size in zip(words[::2], words[1::2], strict=True):
        short, long = size.split("x")
        out[name.lower()] = Format(name.lower(), name, Size(Amount(long), "mm", Amount(short)), "iso-216")
    return out


FORMATS: dict[str, Format] = _standard_formats()
_CANVAS_BY_SIDES = {
    frozenset((f.size.height * 10, (f.size.width or f.size.height) * 10)): f.canvas for f in FORMATS.values() if f.canvas is not None
}


SIDES = {"height": say("Height"), "width": say("Width"), "depth": say("Depth")}


def in_mm(size: Size, pointer: str) -> Sides:
    """The sides of `size` in mm, exactly. OutOfRange for a side of 0 or over 100 m."""
    factor = MM[size.unit]
    sides: list[Decimal | None] = []
    for name, side in (("height", size.height), ("width", size.width), ("depth", size.depth)):
        if side is None:
            sides.append(None)
            continue
        length = EXACT.multiply(side, factor)
        if length <= 0:
            raise OutOfRange(say("{side} 0 is no size.", side=SIDES[name]), f"{pointer}/{name}", say("Give the sight size, over 0."))
        if length > LARGEST_MM:
            detail = say("{side} {length} {unit} is over 100 m.", side=SIDES[name], length=Numeral(side), unit=size.unit)
            raise OutOfRange(detail, f"{pointer}/{name}", say("Is the unit right?"))
        sides.append(length)
    return Sides(*sides)  # type: ignore[arg-type]  # the loop fills exactly three, the first never None


def _width(sides: Sides, pointer: str) -> Decimal:
    if sides.width is None:
        detail = say("This medium is priced by height and width, and the width is not given.")
        raise Missing(detail, f"{pointer}/width", say("Add the width."))
    return sides.width


def _rectangle(sides: Sides, pointer: str) -> Decimal:
    return sides.height * _width(sides, pointer)


def _volume(sides: Sides, pointer: str) -> Decimal:
    if sides.depth is None:
        detail = say("This medium is priced by volume, and the depth is not given.")
        raise Missing(detail, f"{pointer}/depth", say("Add the depth."))
    return sides.height * _width(sides, pointer) * sides.depth


def _canvas(sides: Sides, pointer: str) -> Decimal:
    number = _CANVAS_BY_SIDES.get(frozenset((sides.height, _width(sides, pointer))))
    if number is None:
        raise OutOfRange(say("This size is none of the standard canvases."), pointer, say('Name one as "format", such as "30f".'))
    return Decimal(number)


_OF_SIDES: dict[str, Callable[[Sides, str], Decimal]] = {
    "area": _rectangle,
    "united": lambda sides, pointer: sides.height + _width(sides, pointer),
    "longest": lambda sides, pointer: max(sides.height, sides.width or sides.height, sides.depth or sides.height),
    "height": lambda sides, pointer: sides.height,
    "volume": _volume,
    "canvas": _canvas,
}


def rounded_sides(sides: Sides, shape: Shape, pointer: str) -> Sides:
    """The sides of a panel of that shape: a round one needs only its diameter, as height."""
    if shape != "round":
        return sides
    if sides.width is not None and sides.width != sides.height:
        raise Contradictory(
            say("A round work has one diameter: height and width differ."),
            f"{pointer}/width",
            say('Say "oval", or give one diameter.'),
        )
    return Sides(sides.height, sides.height, sides.depth)


def measure_sides(measure: Measure, panels: Sequence[Sides], pointers: Sequence[str], *, true_curve: bool) -> Decimal:
    """The sum over the panels of `measure`, in mm, mm2, mm3 or canvas points.

    `true_curve`: round and oval panels by their true area, pi / 4 of the bounding rectangle (the same
    factor holds for an elliptic cylinder's volume). Missing and OutOfRange point at the panel.
    """
    of = _OF_SIDES[measure]
    with localcontext(EXACT):
        total = sum((of(sides, pointer) for sides, pointer in zip(panels, pointers, strict=True)), Decimal(0))
        if true_curve and measure in ("area", "volume"):
            total = total * PI / 4
    return total


# What a medium is measured by, in words.
MEASURES: dict[Measure, Said] = {
    "area": say("area"),
    "united": say("height and width together"),
    "longest": say("longest side"),
    "height": say("height"),
    "volume": say("volume"),
    "hours": say("hours"),
    "piece": say("pieces"),
    "canvas": say("canvas number"),
}
# The units that are words; square centimetres and the like are written the same everywhere.
UNITS = {"hour": say("hour"), "piece": say("piece"), "point": say("point")}


def sized(m: Decimal, unit: str) -> Said:
    """A measure with its unit, for a text for people."""
    return reckon("{m} {unit}", m=numeral(m, 6), unit=UNITS.get(unit, unit))


def per_unit(total: Decimal, per: Per) -> Decimal:
    """A total in mm, mm2 or mm3 as a number of `per` units (cm2, in, ...)."""
    return EXACT.divide(total, PER[per][1])
