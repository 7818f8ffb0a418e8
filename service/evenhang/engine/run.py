"""What a run of an edition brings in each outlet: how many must sell to break even, and to reach the wanted yield.

Knows nothing of how the numbers are priced. Figures are in the member's currency: a sale's proceeds and earnings are
written there, rounded, before they are summed. Arithmetic, not advice.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from itertools import accumulate

from msgspec import Struct

from evenhang.engine.edition import Edition
from evenhang.engine.money import ZERO, Money, Ratio, exact, figure, money, to_minor
from evenhang.engine.quote import Price
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import costs_in, listed_in, sell


class Needed(Struct, frozen=True):
    """How many numbers must sell, in their order: the figure they reach, and that of one fewer, which falls short.

    `numbers` is None where even the whole edition does not reach it.
    """

    numbers: int | None
    reached: Ratio | None
    one_fewer: Ratio | None
    note: str


class RunOutcome(Struct, frozen=True):
    """A run in one outlet, all numbers sold there: proceeds, earnings after all costs, and the counts.

    `hours` are the run's and those of every copy. Proofs are not counted.
    """

    outlet: str
    proceeds: Money
    earnings: Money
    hours: Ratio
    yield_per_hour: Money | None
    break_even: Needed
    target: Needed | None


class Run(Struct, frozen=True):
    """A run in the asked outlet, or in each of the member's, and the outlet in which the most must sell."""

    outlets: tuple[RunOutcome, ...]
    break_even_outlet: str
    target_outlet: str | None
    hourly_target: Money | None


@exact
def run_of(
    rules: RuleSet, edition: Edition, price: Price, run_cost: Decimal, run_hours: Decimal, hourly: Decimal | None, outlet_name: str | None
) -> Run:
    """What the run brings. `price` is that of one copy, with its own costs and hours; `hourly` is the wanted yield, if any.

    Unknown for an outlet that is not the member's.
    """
    if outlet_name is not None:
        rules.outlet(outlet_name)
    names = rules.rules.sells_in if outlet_name is None else (outlet_name,)
    outlets = tuple(_outcome(rules, name, edition, price, run_cost, run_hours, hourly) for name in names)
    return Run(
        outlets=outlets,
        break_even_outlet=_worst(outlets, lambda o: o.break_even),
        target_outlet=None if hourly is None else _worst(outlets, lambda o: o.target),
        hourly_target=None if hourly is None else money(hourly, rules.currency),
    )


def _worst(outlets: Sequence[RunOutcome], of: Callable[[RunOutcome], Needed | None]) -> str:
    """The outlet in which the most must sell; one that never gets there before all, then the one that leaves least."""

    def badness(outcome: RunOutcome) -> tuple[bool, int, Decimal]:
        needed = of(outcome)
        count = needed.numbers if needed else None
        return count is None, count or 0, -outcome.earnings.amount

    return max(outlets, key=badness).outlet


def _outcome(
    rules: RuleSet, name: str, edition: Edition, price: Price, run_cost: Decimal, run_hours: Decimal, hourly: Decimal | None
) -> RunOutcome:
    own = costs_in(rules, price.costs, name)
    rate = rules.rate(rules.outlet_currency(name))
    proceeds: list[Decimal] = []
    earned: list[Decimal] = []
    for step in edition.steps:
        sold = sell(rules, name, listed_in(rules, name, step.price.amount), ZERO, own.frame)
        copies = step.to_number - step.from_number + 1
        proceeds += [to_minor(sold.proceeds / rate, rules.currency)] * copies
        earned += [to_minor((sold.proceeds - own.total) / rate, rules.currency)] * copies
    left = list(accumulate(earned, initial=-run_cost))
    hours = [run_hours + count * (price.hours or ZERO) for count in range(len(left))]
    return RunOutcome(
        outlet=name,
        proceeds=money(sum(proceeds, ZERO), rules.currency),
        earnings=money(left[-1], rules.currency),
        hours=figure(hours[-1]),
        yield_per_hour=money(left[-1] / hours[-1], rules.currency) if hours[-1] else None,
        break_even=_break_even(left),
        target=None if hourly is None else _target(left, hours, hourly),
    )


def _break_even(left: Sequence[Decimal]) -> Needed:
    """The fewest numbers after whose sale nothing of the run's costs is left uncovered; 0 where it cost nothing."""
    for count, rest in enumerate(left):
        if rest >= 0:
            before = figure(left[count - 1]) if count else None
            return Needed(count, figure(rest), before, "" if count else "The run cost nothing.")
    return Needed(None, figure(left[-1]), None, "Even all numbers sold do not bring back what the run cost.")


def _target(left: Sequence[Decimal], hours: Sequence[Decimal], hourly: Decimal) -> Needed:
    """The fewest numbers, at least one, whose earnings after the run's costs reach `hourly` for every hour worked by then."""
    if not hours[-1]:
        return Needed(None, None, None, "No hours were given, so there is no yield.")
    for count in range(1, len(left)):
        if hours[count] and left[count] >= hourly * hours[count]:
            before = figure(left[count - 1] / hours[count - 1]) if hours[count - 1] else None
            return Needed(count, figure(left[count] / hours[count]), before, "")
    return Needed(None, figure(left[-1] / hours[-1]), None, "Even all numbers sold do not reach the wanted yield.")
