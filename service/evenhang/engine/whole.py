"""Whole sizes: every size in which a work of a medium can be made, from the smallest to the largest allowed.

Knows no prices: in whole centimetres or inches at some proportions, canvas numbers, listed formats, hours or pieces.
"""

from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal, NamedTuple

from msgspec import Struct

from evenhang.engine.money import ONE, Amount
from evenhang.engine.refusals import OutOfRange, TooDear
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.engine.schedules import Listed, Points, Power
from evenhang.engine.sizes import FORMATS, LARGEST_MM, MM, MOST_HOURS, SIDES, Format, Shape, Size

WholeUnit = Literal["cm", "in"]
MOST_PIECES = 50  # panels of one work
LONGEST_ASPECT = 100  # to 1: beyond it the shorter side is lost in rounding to whole units


class Aspect(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The proportions of a work, height first: 3 to 4, say; in any unit, for only the ratio counts."""

    height: Amount
    width: Amount
    depth: Amount | None = None


class Choice(Struct, frozen=True):
    """One way to say how large a work is; exactly one field is given."""

    size: Size | None = None
    format: str | None = None
    hours: Amount | None = None
    pieces: int | None = None


class Family(NamedTuple):
    """Sizes from the smallest to the largest allowed; prices along `rising` ones never fall, so they may be halved."""

    at: Callable[[int], Choice]
    length: int
    rising: bool


def check_aspect(aspect: Aspect | None, pointer: str = "/aspect") -> None:
    """OutOfRange for a side of 0, or proportions beyond 100 to 1."""
    if aspect is None:
        return
    sides = {name: getattr(aspect, name) for name in ("height", "width", "depth") if getattr(aspect, name) is not None}
    for name, side in sides.items():
        if side == 0:
            raise OutOfRange(say("{side} 0 is no proportion.", side=SIDES[name]), f"{pointer}/{name}", say("Give each side over 0."))
    if max(sides.values()) > LONGEST_ASPECT * min(sides.values()):
        raise OutOfRange(say("Proportions go up to {n} to 1.", n=LONGEST_ASPECT), pointer, say("Are the sides in the same unit?"))


def family_of(rules: RuleSet, medium_name: str, shape: Shape, aspect: Aspect | None, unit: WholeUnit) -> Family:
    """The sizes in which a work of that medium can be made, as the medium is measured."""
    medium = rules.medium(medium_name)
    if isinstance(medium.schedule, Listed):
        prices = medium.schedule.prices
        names = sorted(prices, key=lambda name: (prices[name], name))
        return Family(lambda i: Choice(format=names[i]), len(names), rising=False)
    if medium.measure == "hours":
        return Family(lambda i: Choice(hours=Amount(i + 1)), int(MOST_HOURS), rising=True)
    if medium.measure == "piece":
        return Family(lambda i: Choice(pieces=i + 1), MOST_PIECES, rising=True)
    if medium.measure == "canvas":
        canvases = _canvases(aspect, with_zero=not isinstance(medium.schedule, (Power, Points)))
        return Family(lambda i: Choice(format=canvases[i]), len(canvases), rising=False)
    # A depth that nothing prices would only be in the way.
    deep = medium.measure == "volume" or any(c.estimate is not None and c.estimate.measure == "volume" for c in rules.rules.costs.values())
    if aspect is not None and not deep:
        aspect = Aspect(aspect.height, aspect.width)
    longest = int(LARGEST_MM / MM[unit])
    return Family(lambda i: Choice(size=_whole_size(i + 1, aspect, unit, shape)), longest, rising=True)


def _whole_size(longest: int, aspect: Aspect | None, unit: WholeUnit, shape: Shape) -> Size:
    """The size whose longest side is that whole number, the others rounded half up to whole ones, at least 1."""
    if aspect is None:
        return Size(Amount(longest), unit)
    height, width, depth = aspect.height, None if shape == "round" else aspect.width, aspect.depth
    most = max(side for side in (height, width, depth) if side is not None)

    def whole(side: Decimal | None) -> Amount | None:
        return None if side is None else Amount(max(ONE, (side * longest / most).quantize(ONE, ROUND_HALF_UP)))

    return Size(Amount(max(ONE, (height * longest / most).quantize(ONE, ROUND_HALF_UP))), unit, whole(width), whole(depth))


def _canvases(aspect: Aspect | None, *, with_zero: bool) -> list[str]:
    """One standard canvas for each number: of its three the nearest to the proportions, either way up; the figure without any."""
    numbers: dict[int, list[Format]] = {}
    for shown in FORMATS.values():
        if shown.canvas is not None and (shown.canvas or with_zero):
            numbers.setdefault(shown.canvas, []).append(shown)
    if aspect is None:
        return [numbers[number][0].name for number in sorted(numbers)]
    wanted = max(aspect.height, aspect.width) / min(aspect.height, aspect.width)

    def off(shown: Format) -> Decimal:
        ratio = shown.size.height / (shown.size.width or shown.size.height) / wanted
        return max(ratio, 1 / ratio)

    return [min(numbers[number], key=off).name for number in sorted(numbers)]


def last_within(family: Family, price: Callable[[int], Decimal], limit: Decimal) -> int:
    """The index of the largest size whose price is within `limit`; -1 where not even the smallest is."""

    def within(i: int) -> bool:
        try:
            return price(i) <= limit
        except TooDear:
            return False

    if not family.rising:
        return next((i for i in reversed(range(family.length)) if within(i)), -1)
    low, high = -1, family.length
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if within(middle) else (low, middle)
    return low
