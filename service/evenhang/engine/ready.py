"""Ready schedules: what was found, as lines of a rule file that the loader takes as they are.

Knows nothing of how they were found, and no files.
"""

from collections.abc import Sequence
from decimal import Decimal
from statistics import median
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import ONE, figure, to_minor
from evenhang.engine.past import SizePrice
from evenhang.engine.rules import RuleSet
from evenhang.engine.samples import not_falling
from evenhang.engine.schedules import Bend, Point, Points, curve_of

STEEPEST = Decimal(2)  # of an exponent, as the rule book has it
MOST_POINTS = 12
USUAL = 2  # works of a size that make it a usual one


class ReadySchedule(Struct, frozen=True):
    """A schedule as a rule file says it. Its amounts are those of the base date in force."""

    kind: Literal["flat", "power", "points"]
    toml: str


def flat_schedule(name: str, per: str, rate: Decimal) -> ReadySchedule:
    """The same rate for every unit of the measure."""
    return _said(name, "flat", f'rate = {figure(rate)}, per = "{per}"')


def power_schedule(name: str, per: str, price: Decimal, measure: Decimal, exponent: Decimal) -> ReadySchedule | None:
    """The price grows by a power of the measure; None where no schedule can say it."""
    if not 0 < exponent <= STEEPEST or price <= 0:
        return None
    numbers = f"reference_price = {figure(price)}, reference_measure = {figure(measure)}, exponent = {figure(exponent)}"
    return _said(name, "power", f'{numbers}, per = "{per}"')


def points_schedule(rules: RuleSet, name: str, per: str, prices: Sequence[SizePrice]) -> ReadySchedule | None:
    """The median price at each of the usual sizes, raised and lowered as little as can be so that none falls.

    Usual are sizes of at least two works where there are three such, else all. None where two sizes cannot make a rule.
    """
    by_size: dict[Decimal, list[float]] = {}
    for price in prices:
        by_size.setdefault(price.measure.quantize(ONE.scaleb(-6)), []).append(float(price.amount))
    usual = [size for size in by_size if len(by_size[size]) >= USUAL]
    sizes = _spread(sorted(usual if len(usual) > 2 else by_size))
    rising = not_falling([median(by_size[size]) for size in sizes], [len(by_size[size]) for size in sizes])
    points = [Point(size, to_minor(Decimal(price), rules.currency)) for size, price in zip(sizes, rising, strict=True)]
    points = [point for point in points if point.price > 0]
    while len(points) > 1 and _steep(points, 0):
        points = points[1:]
    while len(points) > 1 and _steep(points, -1):
        points = points[:-1]
    if len(points) < 2:
        return None
    said = ", ".join(f"{{ measure = {figure(point.measure)}, price = {figure(point.price)} }}" for point in points)
    return _said(name, "points", f'per = "{per}", points = [{said}]')


def _spread(sizes: list[Decimal]) -> list[Decimal]:
    """At most twelve of them, evenly by rank, the first and the last among them."""
    if len(sizes) <= MOST_POINTS:
        return sizes
    return [sizes[i * (len(sizes) - 1) // (MOST_POINTS - 1)] for i in range(MOST_POINTS)]


def _steep(points: list[Point], end: int) -> bool:
    piece = curve_of(Points(tuple(points)))[end]
    return isinstance(piece, Bend) and piece.exponent > STEEPEST


def _said(name: str, kind: Literal["flat", "power", "points"], inside: str) -> ReadySchedule:
    return ReadySchedule(kind, f'[media.{name}]\nschedule = {{ kind = "{kind}", {inside} }}\n')
