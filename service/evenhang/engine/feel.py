"""The rule behind a maker's feel: how past prices grow with size, medium by medium, and who does not follow.

Knows nothing of hours. A straight line through logarithms, found so that no odd work can pull it.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import exp, log
from statistics import linear_regression, median

from msgspec import Struct

from evenhang.engine.money import ONE, Money, Ratio, figure, money, numeral
from evenhang.engine.past import SizePrice, per_of
from evenhang.engine.ready import ReadySchedule, points_schedule, power_schedule
from evenhang.engine.refusals import OutOfRange
from evenhang.engine.robust import OUTLYING, modified_z_scores
from evenhang.engine.rules import RuleSet
from evenhang.engine.samples import Slope, banded_slope, can_be_price, pair_slopes, quantile
from evenhang.engine.saying import Numeral, joined, say
from evenhang.engine.yields import Reason

FEWEST_WORKS = 5
FEWEST_SIZES = 3
ALIKE = 1e-9  # a MAD of logarithms under this is the rounding of their last digits


class OddWork(Struct, frozen=True):
    """A work that does not follow: what it asked for its size, what the rule says, and how far off that is."""

    id: str
    asked: Money
    felt: Money
    error_percent: Ratio
    z_score: Ratio


class MediumFeel(Struct, frozen=True):
    """The rule behind the prices of one medium; without an exponent the reason says what is missing.

    Price of the size = reference price x (measure / reference measure) ^ exponent, at the rates of the rules' base date.
    """

    medium: str
    counted: int
    distinct_sizes: int
    per: str
    exponent: Ratio | None = None
    exponent_low: Ratio | None = None
    exponent_high: Ratio | None = None
    is_common: bool = False
    least_squares_exponent: Ratio | None = None
    reference_measure: Ratio | None = None
    reference_price: Money | None = None
    unit_rate: Ratio | None = None
    median_error_percent: Ratio | None = None
    error_low_percent: Ratio | None = None
    error_high_percent: Ratio | None = None
    odd: tuple[OddWork, ...] = ()
    schedules: tuple[ReadySchedule, ...] = ()
    note: str = ""
    reason: Reason | None = None


class CommonExponent(Struct, frozen=True):
    """One exponent for several media, and whether the prices bear it out."""

    exponent: Ratio
    media: tuple[str, ...]
    supported: bool
    decision: str


class _Logs(Struct, frozen=True):
    """The logarithms of one medium's measures and prices, and its own line where there are enough."""

    prices: tuple[SizePrice, ...]
    x: tuple[float, ...]
    y: tuple[float, ...]
    line: Slope | None


def feel_of(rules: RuleSet, media: Mapping[str, Sequence[SizePrice]]) -> tuple[tuple[MediumFeel, ...], CommonExponent | None]:
    """The rule of each medium, and the exponent that they share if their prices bear one out."""
    logs = {name: _logs(prices) for name, prices in media.items()}
    common = _common(logs)
    shared = _shared_slope(logs) if common is not None and common.supported else None
    return tuple(_feel(rules, name, here, shared) for name, here in logs.items()), common


def _logs(prices: Sequence[SizePrice]) -> _Logs:
    x = tuple(log(price.measure) for price in prices)
    y = tuple(log(price.amount) for price in prices)
    enough = len(x) >= FEWEST_WORKS and len(set(x)) >= FEWEST_SIZES
    return _Logs(tuple(prices), x, y, banded_slope(x, y) if enough else None)


def _shared_slope(logs: Mapping[str, _Logs]) -> float:
    """The median of all slopes between works of one and the same medium."""
    return median([slope for here in logs.values() if here.line for slope in pair_slopes(here.x, here.y)])


def _common(logs: Mapping[str, _Logs]) -> CommonExponent | None:
    """The common exponent is borne out where it lies in every medium's own 95 % band. None for fewer than two media."""
    lines = {name: here.line for name, here in logs.items() if here.line is not None}
    if len(lines) < 2:
        return None
    shared = _shared_slope(logs)
    outside = [name for name, line in lines.items() if not line.low <= shared <= line.high]
    exponent = _text(shared)
    if outside:
        media = ", ".join(outside)
        decision = say("{n} lies outside the 95 % band of {media}: each medium keeps its own exponent.", n=Numeral(exponent), media=media)
    else:
        own = Numeral(exponent)
        decision = say("{n}, the median of all slopes within a medium, lies in the 95 % band of each: all media share it.", n=own)
    return CommonExponent(exponent, tuple(lines), not outside, decision)


def _feel(rules: RuleSet, name: str, here: _Logs, shared: float | None) -> MediumFeel:
    counted, sizes = len(here.x), len(set(here.x))
    none = MediumFeel(name, counted, sizes, per_of(rules, name))
    if here.line is None and (shared is None or not counted):
        detail = say(
            "A rule needs at least {works} priced works of {different} different sizes. Works here: {counted}, sizes: {sizes}.",
            works=FEWEST_WORKS,
            different=FEWEST_SIZES,
            counted=counted,
            sizes=sizes,
        )
        return MediumFeel(name, counted, sizes, none.per, reason=Reason("#/works", "missing-figure", detail))
    slope = shared if shared is not None else here.line.slope if here.line is not None else 0.0
    level = median([y - slope * x for x, y in zip(here.x, here.y, strict=True)])  # half of the works ask more, half less
    if not all(can_be_price(level + slope * x) for x in here.x):
        detail = say("The line through these works leads to no price at some of their sizes: most sizes lie too close together.")
        return MediumFeel(name, counted, sizes, none.per, reason=Reason("#/works", OutOfRange.code, detail))
    reference = Decimal(f"{exp(median(here.x)):.3g}")
    price = money(Decimal(exp(level + slope * log(reference))), rules.currency)
    off = [y - level - slope * x for x, y in zip(here.x, here.y, strict=True)]
    errors = [100 * (exp(residual) - 1) for residual in off]
    scores = modified_z_scores(off, ALIKE)
    strays = {i for i, score in enumerate(scores or ()) if abs(score) > OUTLYING}
    following = [price for i, price in enumerate(here.prices) if i not in strays]
    ready = (power_schedule(name, none.per, price.amount, reference, _exponent(slope)), points_schedule(rules, name, none.per, following))
    return MediumFeel(
        medium=name,
        counted=counted,
        distinct_sizes=sizes,
        per=none.per,
        exponent=_text(slope),
        exponent_low=None if here.line is None else _text(here.line.low),
        exponent_high=None if here.line is None else _text(here.line.high),
        is_common=shared is not None,
        least_squares_exponent=_text(linear_regression(here.x, here.y).slope) if sizes > 1 else None,
        reference_measure=figure(reference, 6),
        reference_price=price,
        unit_rate=figure(price.amount / reference, 6),
        median_error_percent=_text(median([abs(error) for error in errors]), 2),
        error_low_percent=_text(quantile(errors, 0.1), 2),
        error_high_percent=_text(quantile(errors, 0.9), 2),
        odd=tuple(_odd(rules, here.prices[i], off[i], scores[i]) for i in sorted(strays)) if scores else (),
        schedules=tuple(schedule for schedule in ready if schedule is not None),
        note=_note(here, scores, ready[0]),
    )


def _odd(rules: RuleSet, price: SizePrice, off: float, score: float) -> OddWork:
    felt = price.amount / Decimal(exp(off))
    error = _text(100 * (exp(off) - 1), 2)
    return OddWork(price.id, money(price.amount, rules.currency), money(felt, rules.currency), error, _text(score, 2))


def _note(here: _Logs, scores: list[float] | None, power: ReadySchedule | None) -> str:
    notes = []
    if here.line is None:
        notes.append(say("Too few works or sizes for an exponent of its own: it is taken from the other media."))
    if scores is None:
        notes.append(say("More than half of the works lie on the line, so none can be called odd by their spread."))
    if power is None:
        notes.append(say("An exponent over 0 and at most 2 is needed for a schedule; these prices do not grow with size like that."))
    most = Counter(price.measure for price in here.prices).most_common(1)[0]
    if most[1] * 2 > len(here.prices):
        notes.append(say("More than half of the works have one size ({size}).", size=numeral(most[0], 6)))
    return joined(notes, " ") if notes else ""


def _exponent(slope: float) -> Decimal:
    return Decimal(slope).quantize(ONE.scaleb(-4))


def _text(value: float, digits: int = 8) -> str:
    return figure(Decimal(value), digits)
