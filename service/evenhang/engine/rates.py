"""The rate finder: the unit rate at which a wanted share of past works reach the hourly target in the worst outlet.

Knows nothing of how prices grow with size: one rate for every unit. Each rate is proven by running the works forward.
"""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import ROUND_CEILING, Decimal
from functools import cache

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ONE, ZERO, Money, Ratio, exact, figure, money
from evenhang.engine.past import PastWork, per_of, with_schedule
from evenhang.engine.quote import Price, price_work
from evenhang.engine.ready import ReadySchedule, flat_schedule
from evenhang.engine.refusals import Missing, Refusal, Unreachable
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import costs_in, listed_in, sell
from evenhang.engine.schedules import Flat
from evenhang.engine.settlement import CAUTION
from evenhang.engine.target import LARGEST, find_target
from evenhang.engine.yields import Reason

MOST_TRIED = 500  # rates above the least that can do, until rounding lets enough works pass
FINEST = Decimal("0.01")  # of the minor unit: rates are found to 0.0001 EUR, 0.01 JPY


class HourlyWork(Struct, frozen=True):
    """One work at the rate found: its price, and what an hour brings in the outlet that leaves the least.

    `least_price` is the lowest price on the grid that reaches the target everywhere; null where none does.
    """

    id: str
    hours: Ratio
    price: Money
    worst_outlet: str
    yield_per_hour: Money
    target_met: bool
    least_price: Money | None
    reason: Reason | None = None


class HourlyRate(Struct, frozen=True):
    """The least rate of one medium at which enough works reach the hourly target, and the rate below it failing.

    `reached_now` counts the works that reach it under the schedule in force; null where that cannot price them all.
    """

    medium: str
    counted: int
    needed: int
    per: str
    wanted: Money | None = None
    rate: Ratio | None = None
    reached: int | None = None
    rate_below: Ratio | None = None
    reached_below: int | None = None
    reached_now: int | None = None
    works: tuple[HourlyWork, ...] = ()
    schedules: tuple[ReadySchedule, ...] = ()
    working: str = ""
    reason: Reason | None = None
    caution: str = CAUTION


class Timed(Struct, frozen=True):
    """A past work with hours, where it stands in the request, and the lowest price that will do for it."""

    past: PastWork
    pointer: str
    hours: Decimal
    least: Decimal | None = None
    guess: Decimal = ZERO  # of the rate that gives this price, to begin with
    reason: Reason | None = None


@exact
def timed_work(rules: RuleSet, past: PastWork, pointer: str, on: date, wanted: Decimal) -> Timed:
    """The work with the lowest price that reaches the wanted yield in every outlet. Refusals point into the work."""
    if not past.work.hours:
        raise Missing("A rate by the hour needs the hours of the work.", "/hours", "Add the hours.")
    flat = with_schedule(rules, past.work.medium, Flat(ONE, per=per_of(rules, past.work.medium)))
    shown = price_work(flat, past.work, on)
    try:
        found = find_target(rules, "yield", wanted, None, ZERO, shown.costs, past.work.hours)
    except Unreachable as refusal:
        reason = Reason(f"#{pointer}", refusal.code, refusal.sentence)
        return Timed(past, pointer, past.work.hours, reason=reason)
    charged = sum((line.amount.amount for line in shown.lines if line.code.startswith("cost:")), ZERO)
    guess = max(ZERO, found.price.amount - charged) / shown.art if shown.art else ZERO
    return Timed(past, pointer, past.work.hours, found.price.amount, guess)


@exact
def hourly_rate(rules: RuleSet, name: str, works: Sequence[Timed], on: date, wanted: Decimal, share_percent: Decimal) -> HourlyRate:
    """The least rate on the grid at which `share_percent` of the works reach `wanted` an hour, whatever the outlet."""
    per = per_of(rules, name)
    needed = max(1, int((share_percent * len(works) / HUNDRED).to_integral_value(ROUND_CEILING)))
    step = rules.unit * FINEST
    asked = HourlyRate(name, len(works), needed, per, money(wanted, rules.currency))

    @cache
    def at(steps: int) -> RuleSet:
        return with_schedule(rules, name, Flat(step * steps, per=per))

    def price(work: Timed, steps: int) -> Price:
        return price_work(at(steps), work.past.work, on)

    def reached(steps: int) -> int:
        return sum(_earns(at(steps), price(work, steps), work.hours) >= wanted for work in works if work.least is not None)

    able = sorted(steps for work in works if (steps := _least_steps(work, step, price)) is not None)
    if len(able) < needed:
        detail = f"Only {len(able)} of {len(works)} works can reach this at any rate; {needed} are wanted."
        return _declined(asked, Reason("#/share_percent", Unreachable.code, detail))
    # Below this rate fewer works than needed ask their least price, so none lower can do; from here on all is run forward.
    for steps in range(able[needed - 1], able[needed - 1] + MOST_TRIED):
        if reached(steps) >= needed:
            break
    else:
        return _declined(asked, Reason("#/works", Unreachable.code, "Rounding hides the answer: take a coarser rounding grid."))
    below = steps - 1
    return HourlyRate(
        medium=name,
        counted=len(works),
        needed=needed,
        per=per,
        wanted=asked.wanted,
        rate=figure(step * steps),
        reached=reached(steps),
        rate_below=figure(step * below) if below else None,
        reached_below=reached(below) if below else None,
        reached_now=_reached_now(rules, works, on, wanted),
        works=tuple(_row(rules, work, price(work, steps), wanted) for work in works),
        schedules=(flat_schedule(name, per, step * steps),),
        working=f"{figure(share_percent)} % of {len(works)} works are {needed}. At {figure(step * steps)} {rules.currency} per {per},"
        f" priced and settled in every outlet, {reached(steps)} of them bring {figure(wanted)} an hour or more where the least is left.",
    )


def _least_steps(work: Timed, step: Decimal, price: Callable[[Timed, int], Price]) -> int | None:
    """The lowest rate, in steps, at which the work's price is not below the least that will do; None where none is."""
    least = work.least
    if least is None:
        return None

    def enough(steps: int) -> bool:
        return steps > 0 and price(work, steps).retail >= least

    # From a guess outwards in growing strides until the answer lies between, then by halves.
    high = max(1, int(work.guess / step))
    stride = 1
    while not enough(high):
        high, stride = high + stride, stride * 2
        if high > LARGEST:
            return None
    low, stride = high - 1, 1
    while enough(low):
        low, stride = low - stride, stride * 2
    low = max(low, 0)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _worst(rules: RuleSet, shown: Price, hours: Decimal) -> tuple[str, Decimal]:
    """The outlet that leaves the least, and what an hour brings there, in the member's currency, unrounded."""
    earned: dict[str, Decimal] = {}
    for outlet in rules.rules.sells_in:
        own = costs_in(rules, shown.costs, outlet)
        sold = sell(rules, outlet, listed_in(rules, outlet, shown.retail), ZERO, own.frame)
        earned[outlet] = (sold.proceeds - own.total) / rules.rate(sold.currency)
    worst = min(earned, key=lambda outlet: earned[outlet])
    return worst, earned[worst] / hours


def _earns(rules: RuleSet, shown: Price, hours: Decimal) -> Decimal:
    return _worst(rules, shown, hours)[1]


def _row(rules: RuleSet, work: Timed, shown: Price, wanted: Decimal) -> HourlyWork:
    outlet, hourly = _worst(rules, shown, work.hours)
    return HourlyWork(
        id=work.past.id,
        hours=figure(work.hours),
        price=money(shown.retail, rules.currency),
        worst_outlet=outlet,
        yield_per_hour=money(hourly, rules.currency),
        target_met=hourly >= wanted,
        least_price=None if work.least is None else money(work.least, rules.currency),
        reason=work.reason,
    )


def _reached_now(rules: RuleSet, works: Sequence[Timed], on: date, wanted: Decimal) -> int | None:
    try:
        return sum(_earns(rules, price_work(rules, work.past.work, on), work.hours) >= wanted for work in works)
    except Refusal:
        return None


def _declined(asked: HourlyRate, reason: Reason) -> HourlyRate:
    return HourlyRate(asked.medium, asked.counted, asked.needed, asked.per, asked.wanted, reason=reason)
