"""What a schedule cannot say: bands that do not rise, points whose prices fall, rates that do not fit the measure.

Knows schedules and measures, no medium by name and no file. Every reason has its exact key, array elements counted from 0.
"""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from evenhang.engine.money import EXACT, ZERO, figure
from evenhang.engine.refusals import Refusal
from evenhang.engine.rules import ShownFormat, schedule_per
from evenhang.engine.schedules import Band, Flat, Graduated, Listed, Point, Points, Power, Schedule, Stepped, Time, curve_of, falls_anywhere
from evenhang.engine.sizes import DEFAULT_PER, DIMENSION, FORMATS, PER, Measure, in_mm, measure_sides

Row = tuple[str, str]
STEEPEST = Decimal(2)


def wrong_schedule(schedule: Schedule, measure: Measure, at: str) -> Iterator[Row]:
    """Key and reason of everything wrong with a schedule over `measure` that stands at `at`."""
    found = [*_misplaced(schedule, measure, at), *_of_kind(schedule, at)]
    yield from found
    if not found and (where := falls_anywhere(curve_of(schedule))):
        yield at, f"a larger work would cost less {where}"


def _misplaced(schedule: Schedule, measure: Measure, at: str) -> Iterator[Row]:
    dimension = DIMENSION[measure]
    if isinstance(schedule, Time):
        if measure != "hours":
            yield f"{at}.kind", f'"time" prices hours; the measure here is "{measure}"'
    elif not isinstance(schedule, Listed) and PER[schedule_per(schedule, measure)][0] != dimension:
        yield f"{at}.per", f"a rate per {schedule.per} does not fit the measure {measure} (per {DEFAULT_PER[dimension]})"


def _of_kind(schedule: Schedule, at: str) -> Iterator[Row]:
    match schedule:
        case Graduated(bands=bands) | Stepped(bands=bands):
            yield from wrong_bands([band.to for band in bands], f"{at}.bands", "to", "band")
            yield from _only_free(bands, f"{at}.bands")
        case Power():
            if schedule.reference_price <= 0:
                yield f"{at}.reference_price", "a reference price is over 0"
            if schedule.reference_measure <= 0:
                yield f"{at}.reference_measure", "a reference measure is over 0"
            if not 0 < schedule.exponent <= STEEPEST:
                yield f"{at}.exponent", f"an exponent is over 0 and at most 2, not {figure(schedule.exponent)}"
        case Points(points=points):
            yield from _wrong_points(points, f"{at}.points")
        case Flat(rate=rate, base=base) if rate == ZERO and base == ZERO:
            yield f"{at}.rate", "every price would be 0"
        case Time(hourly_rate=rate) if rate == ZERO:
            yield f"{at}.hourly_rate", "every price would be 0"
        case Listed(prices=prices):
            if not prices:
                yield f"{at}.prices", "at least one listed price is needed"
            yield from ((f"{at}.prices.{name}", "a listed price is over 0") for name, price in prices.items() if price <= 0)


def wrong_bands(ends: Sequence[Decimal | None], at: str, word: str, what: str) -> Iterator[Row]:
    """Limits that do not rise, and bands or steps that are open or closed at the wrong place."""
    before = ZERO
    for i, end in enumerate(ends):
        last = i == len(ends) - 1
        if end is None and not last:
            yield f"{at}[{i}].{word}", f"missing: only the last {what} is open"
        elif end is not None and last:
            yield f"{at}[{i}].{word}", f"the last {what} is open: leave its limit out, or add one above it"
        if end is not None:
            if end <= before:
                yield f"{at}[{i}].{word}", f"the limits must rise: {figure(end)} is not over {figure(before)}"
            before = max(before, end)


def _only_free(bands: Sequence[Band], at: str) -> Iterator[Row]:
    if all(band.rate == 0 for band in bands):
        yield at, "every price would be 0"


def _wrong_points(points: Sequence[Point], at: str) -> Iterator[Row]:
    whole = True
    for i, point in enumerate(points):
        for name, value in (("measure", point.measure), ("price", point.price)):
            if value <= 0:
                whole = False
                yield f"{at}[{i}].{name}", "sizes and prices are over 0"
    for i, (a, b) in enumerate(zip(points, points[1:]), 1):
        if b.measure <= a.measure:
            whole = False
            yield f"{at}[{i}].measure", f"the sizes must rise: {figure(b.measure)} is not over {figure(a.measure)}"
        elif b.price < a.price:
            yield f"{at}[{i}].price", f"a larger work would cost less: {figure(b.price)} after {figure(a.price)}"
    if whole:
        for i in sorted({1, len(points) - 1}):
            a, b = points[i - 1], points[i]
            # price2 / price1 > (size2 / size1) ^ 2, multiplied out: exact, where logarithms would not be
            if EXACT.multiply(b.price, EXACT.power(a.measure, 2)) > EXACT.multiply(a.price, EXACT.power(b.measure, 2)):
                yield f"{at}[{i}].price", "an end segment is steeper than exponent 2, and it goes on for all sizes beyond"


def format_measure(name: str, formats: Mapping[str, ShownFormat], measure: Measure) -> Decimal | None:
    """The measure of a named format in mm, mm2, mm3 or points; None where it has none (no width, no canvas number, by time)."""
    shown = formats.get(name)
    standard = FORMATS.get((shown.standard if shown else name) or "")
    if measure == "canvas" and standard is not None and standard.canvas is not None:
        return Decimal(standard.canvas)
    size = shown.size if shown and shown.size else standard.size if standard else None
    if size is None or measure in ("hours", "piece"):
        return None
    try:
        return measure_sides(measure, [in_mm(size, "")], [""], true_curve=False)
    except Refusal:
        return None


def wrong_list(
    prices: Mapping[str, Decimal], formats: Mapping[str, ShownFormat], known: Mapping[str, object], measure: Measure, at: str
) -> Iterator[Row]:
    """Listed prices of formats that nobody defined, and larger formats that cost less. `known`: the formats as written, sound or not."""
    sized: list[tuple[Decimal, Decimal, str]] = []
    for name, price in prices.items():
        if name not in known and name not in FORMATS:
            yield f"{at}.prices.{name}", f'no format "{name}": define it under formats, or name a standard one'
        elif (m := format_measure(name, formats, measure)) is not None:
            sized.append((m, price, name))
    sized.sort()
    dearest: tuple[Decimal, Decimal, str] | None = None
    for m, price, name in sized:
        if dearest is not None and m > dearest[0] and price < dearest[1]:
            yield (
                f"{at}.prices.{name}",
                f"a larger work would cost less: {figure(price)}, and the smaller {dearest[2]} {figure(dearest[1])}",
            )
        if dearest is None or price > dearest[1]:
            dearest = (m, price, name)
