"""Schedules: the rules that turn a measure into an amount, and back.

Every schedule over a measure becomes a curve: pieces from left to right, each a straight line
with a floor under it or a power of the measure. Knows nothing of works, files or rounding.
"""

from bisect import bisect_right
from collections.abc import Sequence
from decimal import ROUND_DOWN, Decimal, localcontext
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.money import EXACT, ONE, ZERO, figure, numeral
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.saying import Said, reckon, say
from evenhang.engine.sizes import Per, sized
from evenhang.engine.works import Name

Tiny = Decimal("0.000001")  # inverses lie on this grid of the measure, rounded down


class Band(Struct, frozen=True, forbid_unknown_fields=True):
    """A band of a schedule: its rate, and where it ends (the last one is open)."""

    rate: Decimal
    to: Decimal | None = None


class Point(Struct, frozen=True, forbid_unknown_fields=True):
    """A price given at a chosen size."""

    measure: Decimal
    price: Decimal


class Flat(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="flat"):
    """base + rate x m."""

    rate: Decimal
    base: Decimal = ZERO
    per: Per | None = None


class Graduated(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="graduated"):
    """Marginal bands: each part of m at its own band's rate."""

    bands: Annotated[tuple[Band, ...], Meta(min_length=1, max_length=100)]
    per: Per | None = None


class Stepped(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="stepped"):
    """The whole of m at its band's rate, never less than the dearest smaller size (the plateau)."""

    bands: Annotated[tuple[Band, ...], Meta(min_length=1, max_length=100)]
    per: Per | None = None


class Power(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="power"):
    """reference_price x (m / reference_measure) ^ exponent."""

    reference_price: Decimal
    reference_measure: Decimal
    exponent: Decimal
    per: Per | None = None


class Points(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="points"):
    """Prices at chosen sizes; between two a straight line in log-log; outside, the end segment goes on."""

    points: Annotated[tuple[Point, ...], Meta(min_length=2, max_length=100)]
    per: Per | None = None


class Listed(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="listed"):
    """A price for each named format, nothing else."""

    prices: dict[Name, Decimal]


class Time(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="time"):
    """hours x hourly rate."""

    hourly_rate: Decimal


Schedule = Flat | Graduated | Stepped | Power | Points | Listed | Time


class Line(Struct, frozen=True):
    """A straight piece: max(floor, base + rate x (m - start)); `banded` where it is a band of a stepped table."""

    start: Decimal
    base: Decimal
    rate: Decimal
    floor: Decimal = ZERO

    def at(self, m: Decimal) -> Decimal:
        return max(self.floor, self.base + self.rate * (m - self.start))

    def reach(self, amount: Decimal) -> Decimal | None:
        """The largest m of the endless piece whose price is within `amount`; None for no bound."""
        return None if self.rate == 0 else self.start + (amount - self.base) / self.rate


class Bend(Struct, frozen=True):
    """A power piece: price x (m / measure) ^ exponent."""

    start: Decimal
    price: Decimal
    measure: Decimal
    exponent: Decimal

    def at(self, m: Decimal) -> Decimal:
        return self.price * (m / self.measure) ** self.exponent if m > 0 else ZERO

    def reach(self, amount: Decimal) -> Decimal | None:
        return None if self.exponent == 0 else self.measure * (amount / self.price) ** (ONE / self.exponent)


Piece = Line | Bend
Curve = tuple[Piece, ...]


def curve_of(schedule: Schedule) -> Curve:
    """The pieces of a schedule, from left to right; empty for a listed one. Built once per rule set."""
    with localcontext(EXACT):
        match schedule:
            case Flat(rate=rate, base=base):
                return (Line(ZERO, base, rate),)
            case Time(hourly_rate=rate):
                return (Line(ZERO, ZERO, rate),)
            case Graduated(bands=bands):
                return _graduated(bands)
            case Stepped(bands=bands):
                return _stepped(bands)
            case Power():
                return (Bend(ZERO, schedule.reference_price, schedule.reference_measure, schedule.exponent),)
            case Points(points=points):
                return _through(points)
            case Listed():
                return ()


def _graduated(bands: Sequence[Band]) -> Curve:
    out: list[Piece] = []
    start, sum_below = ZERO, ZERO
    for band in bands:
        out.append(Line(start, sum_below, band.rate))
        if band.to is not None:
            sum_below += band.rate * (band.to - start)
            start = band.to
    return tuple(out)


def _stepped(bands: Sequence[Band]) -> Curve:
    out: list[Piece] = []
    start, dearest = ZERO, ZERO
    for band in bands:
        out.append(Line(start, band.rate * start, band.rate, dearest))
        if band.to is not None:
            dearest = max(dearest, band.rate * band.to)
            start = band.to
    return tuple(out)


def _through(points: Sequence[Point]) -> Curve:
    exponents = [(b.price / a.price).ln() / (b.measure / a.measure).ln() for a, b in zip(points, points[1:], strict=False)]
    first, last = points[0], points[-1]
    out: list[Piece] = [Bend(ZERO, first.price, first.measure, exponents[0])]
    out += [Bend(p.measure, p.price, p.measure, e) for p, e in zip(points, exponents, strict=False)]
    # Its own piece from the last point on, so that the given price comes back exactly there.
    out.append(Bend(last.measure, last.price, last.measure, exponents[-1]))
    return tuple(out)


def piece_at(curve: Curve, m: Decimal) -> Piece:
    """The piece that prices m: an edge belongs to the piece that starts there, which is never the cheaper one."""
    return curve[bisect_right(curve, m, key=lambda piece: piece.start) - 1]


def price_at(curve: Curve, m: Decimal) -> Decimal:
    """The unrounded price of measure m. OutOfRange for m = 0 under a power or points rule."""
    piece = piece_at(curve, m)
    if m <= 0 and isinstance(piece, Bend):
        detail = say("A measure of 0 has no price under a power or points rule.")
        raise OutOfRange(detail, "", say("Number 0 canvases need a listed or flat rule."))
    with localcontext(EXACT):
        return piece.at(m)


def on_plateau(curve: Curve, m: Decimal) -> bool:
    """Whether the plateau of a stepped schedule holds the price of m up."""
    piece = piece_at(curve, m)
    with localcontext(EXACT):
        return isinstance(piece, Line) and piece.floor > 0 and piece.floor > piece.base + piece.rate * (m - piece.start)


def largest_within(curve: Curve, amount: Decimal, largest: Decimal) -> Decimal | None:
    """The largest measure, at most `largest`, whose price is within `amount`; None if not even the smallest is.

    The right end of a plateau, on a grid of 0.000001 of the measure, rounded down.
    """
    with localcontext(EXACT):
        for piece, end in zip(reversed(curve), (largest, *(p.start for p in reversed(curve[1:]))), strict=True):
            if piece.start > largest or (piece.at(piece.start) > amount and piece.start > 0):
                continue
            reach = piece.reach(amount)
            m = end if reach is None else min(reach, end)
            m = min(m, largest)
            if isinstance(piece, Line) and piece.floor > amount:
                continue
            m = m.quantize(Tiny, ROUND_DOWN)
            # The end of a piece may belong to a dearer one, and the last digit of a power may round up.
            if m > 0 and price_at(curve, m) > amount:
                m -= Tiny
            if m > 0 and price_at(curve, m) <= amount:
                return m
    return None


def working(curve: Curve, m: Decimal, unit: str) -> Said:
    """The sum behind price_at, in words that a person can follow with a pencil."""
    size, piece = sized(m, unit), piece_at(curve, m)
    if isinstance(piece, Bend):
        price, at, exponent = numeral(piece.price, 6), sized(piece.measure, unit), numeral(piece.exponent)
        return reckon("{price} x ({size} / {at}) ^ {exponent}", price=price, size=size, at=at, exponent=exponent)
    rate = numeral(piece.rate)
    if on_plateau(curve, m):
        sums = reckon("{size} x {rate} = {own}", size=size, rate=rate, own=numeral(EXACT.multiply(piece.rate, m), 6))
        return say("{sum}, held at the dearest smaller size: {floor}", sum=sums, floor=numeral(piece.floor, 6))
    if piece.base == EXACT.multiply(piece.rate, piece.start):
        return reckon("{size} x {rate}", size=size, rate=rate)
    base = numeral(piece.base, 6)
    if not piece.start:
        return reckon("{base} + {size} x {rate}", base=base, size=size, rate=rate)
    start, rest = sized(piece.start, unit), sized(EXACT.subtract(m, piece.start), unit)
    return say("{base} up to {start} + {rest} x {rate}", base=base, start=start, rest=rest, rate=rate)


def falls_anywhere(curve: Curve) -> str | None:
    """Where a larger measure would cost less, in words; None for a curve that never falls."""
    with localcontext(EXACT):
        for before, piece in zip(curve, curve[1:], strict=False):
            if piece.start > 0 and piece.at(piece.start) < before.at(piece.start).quantize(Tiny, ROUND_DOWN):
                return f"at {figure(piece.start, 6)}"
        for piece in curve:
            if (piece.rate if isinstance(piece, Line) else piece.exponent) < 0:
                return f"from {figure(piece.start, 6)} on"
    return None
