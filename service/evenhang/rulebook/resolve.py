"""From a merged layer to a typed, checked rule set with its digest.

Everything wrong is collected, never the first fault only.
"""

import hashlib
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import msgspec
import rfc8785

from evenhang.engine.money import EXACT, MINOR_DIGITS, ZERO, figure, minor_unit
from evenhang.engine.rounding import on_grid
from evenhang.engine.rules import Cost, Exchange, Extra, Grade, Medium, Origin, Outlet, Rounding, Rules, RuleSet, ShownFormat, schedule_per
from evenhang.engine.schedules import Band, Flat, Graduated, Listed, Points, Power, Schedule, Stepped, curve_of, falls_anywhere
from evenhang.engine.settlement import marginal_share
from evenhang.engine.sizes import DEFAULT_PER, DIMENSION, FORMATS, PER, Measure
from evenhang.rulebook.layers import Fault
from evenhang.rulebook.wrong_terms import wrong_terms

STEEPEST = Decimal(2)


def resolve(
    member: str, merged: dict[str, Any], origins: dict[str, Origin], since: date, until: date | None, faults: list[Fault]
) -> RuleSet | None:
    """The rule set of one segment of time, or None with its faults added."""
    found: list[Fault] = []

    def refuse(key: str, reason: str) -> None:
        found.append(Fault(_file(origins, key), key, reason))

    for key, number in _numbers(merged, ""):
        if number < 0:
            refuse(key, f"{number} is negative")
    misfits = list(_misfits(merged))
    for key, reason in misfits:
        refuse(key, reason)
    if misfits:
        faults.extend(found)
        return None
    rules = _typed(merged, Rules)
    for key, reason in _wrong(rules):
        refuse(key, reason)
    if found:
        faults.extend(found)
        return None
    made = RuleSet(member, rules, origins, digest_of(merged, origins), since, until)
    for name in rules.sells_in:
        if marginal_share(made, name)[0] <= 0:
            refuse(f"outlets.{name}.terms", "its commission, the tax on it, the levy and the fee take 100 % or more of a net sale")
    faults.extend(found)
    return None if found else made


# Tables by name are read entry by entry, so that a fault carries its full key and none hides another.
TABLES: dict[str, Any] = {
    "media": Medium,
    "grades": Grade,
    "extras": Extra,
    "costs": Cost,
    "outlets": Outlet,
    "formats": ShownFormat,
    "fx": Exchange,
}


def _typed(value: Any, kind: Any) -> Any:
    return msgspec.convert(value, kind, dec_hook=_hook, strict=True)


def _misfits(merged: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Key and reason of every value that does not fit its type, and of every unknown key."""
    rest = dict(merged)
    for table, kind in TABLES.items():
        entries = merged.get(table)
        if not isinstance(entries, dict):
            continue
        rest[table] = {}
        for name, value in entries.items():
            if fault := _misfit(value, kind, f"{table}.{name}"):
                yield fault
    if fault := _misfit(rest, Rules, ""):
        yield fault


def _misfit(value: Any, kind: Any, at: str) -> tuple[str, str] | None:
    try:
        _typed(value, kind)
    except msgspec.ValidationError as error:
        reason, _, path = str(error).partition(" - at ")
        inside = path.strip("`").removeprefix("$").strip(".")
        return ".".join(part for part in (at, inside) if part), reason
    return None


def digest_of(merged: dict[str, Any], origins: dict[str, Origin]) -> str:
    """SHA-256 over the canonical JSON (RFC 8785) of values and origins; decimals as plain text."""
    document = {"values": _plain(merged), "origins": {p: [o.layer, str(o.since)] for p, o in origins.items()}}
    return hashlib.sha256(rfc8785.dumps(document)).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if isinstance(value, (bool, str)):
        return value
    return figure(Decimal(value)) if isinstance(value, (int, Decimal)) else str(value)


def _hook(kind: type, value: Any) -> Any:
    parse = getattr(kind, "parse", None)
    if parse is None:
        raise NotImplementedError(kind)
    return parse(format(value, "f") if isinstance(value, Decimal) else str(value) if isinstance(value, int) else value)


def _file(origins: dict[str, Origin], key: str) -> str:
    at = key
    while at:
        if at in origins:
            return origins[at].layer
        inside = sorted(p for p in origins if p.startswith(at + "."))
        if inside:
            return origins[inside[0]].layer
        at = at.rpartition(".")[0]
    return next((o.layer for o in origins.values()), "rules")


def _numbers(value: Any, at: str) -> Iterator[tuple[str, Decimal]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _numbers(inner, f"{at}.{key}" if at else key)
    elif isinstance(value, list):
        for inner in value:
            yield from _numbers(inner, at)
    elif isinstance(value, (int, Decimal)) and not isinstance(value, bool):
        yield at, Decimal(value)


def _wrong(rules: Rules) -> Iterator[tuple[str, str]]:
    """Key and reason of everything that a set cannot say."""
    if rules.currency not in MINOR_DIGITS:
        yield "currency", f'"{rules.currency}" is no ISO 4217 code with minor digits'
        return
    for code, rate in rules.fx.items():
        if code not in MINOR_DIGITS:
            yield f"fx.{code}", f'"{code}" is no ISO 4217 code with minor digits'
        elif rate.rate == 0:
            yield f"fx.{code}.rate", "a rate of 0"
        elif rate.rounding:
            yield from _wrong_rounding(rate.rounding, code, f"fx.{code}.rounding")
    if rules.rounding:
        yield from _wrong_rounding(rules.rounding, rules.currency, "rounding")
    for name, medium in rules.media.items():
        at = f"media.{name}"
        yield from _wrong_schedule(medium.schedule, medium.measure, f"{at}.schedule")
        if medium.minimum is not None and not (medium.minimum > 0 and (not rules.rounding or on_grid(rules.rounding, medium.minimum))):
            yield f"{at}.minimum", "a minimum lies on the rounding grid and is over 0"
    for name, cost in rules.costs.items():
        if cost.estimate:
            yield from _wrong_schedule(cost.estimate.schedule, cost.estimate.measure, f"costs.{name}.estimate")
        if (cost.treatment == "marked_up") != (cost.percent is not None):
            yield f"costs.{name}.percent", "a percent goes with marked_up, and only with it"
    if not rules.sells_in:
        yield "sells_in", "the member sells in no outlet"
    for name in rules.sells_in:
        if name not in rules.outlets:
            yield "sells_in", f'nobody defined the outlet "{name}"'
    for name, outlet in rules.outlets.items():
        currency = outlet.currency or rules.currency
        if currency != rules.currency and currency not in rules.fx:
            yield f"outlets.{name}.currency", f"no exchange rate fx.{currency}"
    for name, shown in rules.formats.items():
        if (shown.size is None) == (shown.standard is None) or (shown.standard or "a4") not in FORMATS:
            yield f"formats.{name}", "give a size, or the name of a standard format"
    yield from wrong_terms(rules)


def _wrong_rounding(rounding: Rounding, currency: str, at: str) -> Iterator[tuple[str, str]]:
    steps = rounding.steps
    limits = [s.below for s in steps]
    if limits[-1] is not None or any(limit is None for limit in limits[:-1]):
        yield f"{at}.steps", "only the last step is open, and it must be"
        return
    closed = [limit for limit in limits if limit is not None]
    if any(a >= b for a, b in zip(closed, closed[1:])):
        yield f"{at}.steps", "the limits must rise"
    for step in steps:
        if step.step <= 0 or EXACT.remainder(step.step, minor_unit(currency)) != 0:
            yield f"{at}.steps", f"a step of {step.step} is no multiple of {currency}'s minor unit"
            return
    for limit, before, after in zip(closed, steps, steps[1:]):
        if limit % before.step or limit % after.step:
            yield f"{at}.steps", f"the limit {limit} is no multiple of the steps beside it"


def _wrong_schedule(schedule: Schedule, measure: Measure, at: str) -> Iterator[tuple[str, str]]:
    dimension = DIMENSION[measure]
    if not isinstance(schedule, Listed) and PER[schedule_per(schedule, measure)][0] != dimension:
        yield at, f"a rate per {schedule_per(schedule, measure)} does not fit the measure {measure} (per {DEFAULT_PER[dimension]})"
        return
    match schedule:
        case Graduated(bands=bands) | Stepped(bands=bands):
            if reason := _wrong_bands(bands):
                yield at, reason
                return
        case Power() if not (0 < schedule.exponent <= STEEPEST and schedule.reference_price > 0 and schedule.reference_measure > 0):
            yield at, "a reference price and measure over 0, and an exponent over 0 and at most 2"
            return
        case Points(points=points):
            if any(p.measure <= 0 or p.price <= 0 for p in points) or any(a.measure >= b.measure for a, b in zip(points, points[1:])):
                yield at, "sizes rise, and sizes and prices are over 0"
                return
        case Flat(rate=rate, base=base) if rate == ZERO and base == ZERO:
            yield at, "every price would be 0"
        case Listed(prices=prices) if not prices or any(price <= 0 for price in prices.values()):
            yield at, "at least one listed price, each over 0"
    curve = curve_of(schedule)
    if where := falls_anywhere(curve):
        yield at, f"a larger work would cost less {where}"
    if isinstance(schedule, Points) and any(piece.exponent > STEEPEST for piece in (curve[0], curve[-1]) if hasattr(piece, "exponent")):
        yield at, "an end segment is steeper than exponent 2"


def _wrong_bands(bands: tuple[Band, ...]) -> str | None:
    ends = [band.to for band in bands]
    if ends[-1] is not None or any(end is None for end in ends[:-1]):
        return "only the last band is open, and it must be"
    closed = [ZERO, *(end for end in ends if end is not None)]
    if any(a >= b for a, b in zip(closed, closed[1:])):
        return "the bands must rise"
    return "every price would be 0" if all(band.rate == 0 for band in bands) else None
