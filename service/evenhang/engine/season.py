"""A season against the income wanted of it: how many works of which rung, sold in which outlet, would make it.

Knows nothing of how a rung's price came about. A sale's earnings are written in the member's currency, rounded, and
then multiplied: so many such sales bring so much. Arithmetic, not advice.
"""

from collections.abc import Sequence
from datetime import date
from decimal import ROUND_CEILING, Decimal
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.money import ZERO, Amount, GivenMoney, Money, Ratio, exact, figure, money, to_minor
from evenhang.engine.refusals import Contradictory, OutOfRange, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import costs_in, listed_in, sell
from evenhang.engine.stated import stated_costs, stated_hours
from evenhang.engine.works import Name, WorkCost
from evenhang.engine.yields import Reason, Yields


class SeasonRung(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A price point of the ladder, as one of its works: its retail price in the member's currency, own costs and hours.

    `parts` is how many of it are sold for every round of the mix of all rungs.
    """

    name: Name
    price: GivenMoney
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None
    parts: Annotated[int, Meta(ge=1, le=1000)] = 1


class RungOutlet(Struct, frozen=True):
    """What one work of a rung leaves in an outlet, and how many of it make the income: that many do, one fewer does not.

    `works` are for the whole income, `works_still` for what the year's sales have not brought yet; None where a sale
    leaves nothing.
    """

    outlet: str
    earnings: Money
    works: int | None
    income: Money | None
    one_fewer: Money | None
    works_still: int | None
    hours: Ratio | None


class RungCount(Struct, frozen=True):
    """A rung alone: its count in each outlet; or why it has none."""

    name: str
    outlets: tuple[RungOutlet, ...] = ()
    reason: Reason | None = None


class MixCount(Struct, frozen=True):
    """All rungs together in one outlet, by their parts: the fewest whole rounds that make the income; None where none do."""

    outlet: str
    round_earnings: Money
    rounds: int | None
    income: Money | None
    one_fewer: Money | None
    hours: Ratio | None


class Season(Struct, frozen=True):
    """The income wanted of a calendar year, what its sales have brought up to the day, and what would make it."""

    year: str
    income_wanted: Money
    earned: Money
    still_wanted: Money
    rungs: tuple[RungCount, ...]
    mix: tuple[MixCount, ...]


class _Sales(Struct, frozen=True):
    """What one work of each rung leaves in each outlet, written in the member's currency."""

    rung: SeasonRung
    earnings: dict[str, Decimal]
    hours: Decimal | None


@exact
def season_of(rules: RuleSet, yields: Yields, wanted: Decimal, rungs: Sequence[SeasonRung], on: date) -> Season:
    """The season of the calendar year of `on`; `wanted`, in the member's currency, is over 0. One bad rung never sinks the rest."""
    year = next((entry for entry in yields.years if entry.name == str(on.year)), None)
    earned = year.earnings.amount if year else ZERO
    still = max(ZERO, wanted - earned)
    counts: list[RungCount] = []
    sold: list[_Sales] = []
    for i, rung in enumerate(rungs):
        try:
            if any(rung.name == other.name for other in rungs[:i]):
                raise Contradictory(f'"{rung.name}" stands twice in rungs.', "/name", "Give each rung its own name.")
            sold.append(_sales(rules, rung))
            counts.append(_count(rules, sold[-1], wanted, still))
        except Refusal as refusal:
            counts.append(RungCount(rung.name, reason=Reason(f"#/rungs/{i}{refusal.pointer}", refusal.code, refusal.sentence)))
    return Season(
        year=str(on.year),
        income_wanted=money(wanted, rules.currency),
        earned=money(earned, rules.currency),
        still_wanted=money(still, rules.currency),
        rungs=tuple(counts),
        mix=tuple(_mix(rules, name, sold, wanted) for name in rules.rules.sells_in) if len(sold) > 1 else (),
    )


def _sales(rules: RuleSet, rung: SeasonRung) -> _Sales:
    """One sale of the rung in each outlet. Refusals point into the rung."""
    retail = rung.price.in_currency(rules.currency, "/price")
    if retail == 0:
        raise OutOfRange("A rung's price is over 0.", "/price/amount")
    costs, hours = stated_costs(rules, rung.costs), stated_hours(rung.hours)
    earnings: dict[str, Decimal] = {}
    for name in rules.rules.sells_in:
        own = costs_in(rules, costs, name)
        left = sell(rules, name, listed_in(rules, name, retail), ZERO, own.frame).proceeds - own.total
        earnings[name] = to_minor(left / rules.rate(rules.outlet_currency(name)), rules.currency)
    return _Sales(rung, earnings, hours)


def fewest(wanted: Decimal, each: Decimal) -> int | None:
    """How many times `each` makes at least `wanted`; None where it is not over 0 and something is wanted."""
    if wanted <= 0:
        return 0
    return None if each <= 0 else int((wanted / each).to_integral_value(ROUND_CEILING))


def _count(rules: RuleSet, sales: _Sales, wanted: Decimal, still: Decimal) -> RungCount:
    out = []
    for name, each in sales.earnings.items():
        works = fewest(wanted, each)
        out.append(
            RungOutlet(
                outlet=name,
                earnings=money(each, rules.currency),
                works=works,
                income=None if works is None else money(works * each, rules.currency),
                one_fewer=None if works is None else money((works - 1) * each, rules.currency),
                works_still=fewest(still, each),
                hours=figure(works * sales.hours) if works is not None and sales.hours else None,
            )
        )
    return RungCount(sales.rung.name, tuple(out))


def _mix(rules: RuleSet, outlet: str, sold: Sequence[_Sales], wanted: Decimal) -> MixCount:
    each = sum((sales.earnings[outlet] * sales.rung.parts for sales in sold), ZERO)
    rounds = fewest(wanted, each)
    timed = [sales.hours * sales.rung.parts for sales in sold if sales.hours]
    whole = rounds is not None and len(timed) == len(sold)
    return MixCount(
        outlet=outlet,
        round_earnings=money(each, rules.currency),
        rounds=rounds,
        income=None if rounds is None else money(rounds * each, rules.currency),
        one_fewer=None if rounds is None else money((rounds - 1) * each, rules.currency),
        hours=figure((rounds or 0) * sum(timed, ZERO)) if whole else None,
    )
