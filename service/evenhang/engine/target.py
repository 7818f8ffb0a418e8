"""The other way round: the lowest retail price at which proceeds, earnings or yield reach a wanted figure.

Knows nothing of works. Rounding makes proceeds fall by a cent here and there, so a price that passes with one below
it that fails is not yet the least: the search starts below anything that can pass and runs every grid price forward.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import ZERO, Money, Ratio, exact, figure, money, numeral
from evenhang.engine.reach import Line, Stretch, noise, proceeds_lines, stretch
from evenhang.engine.refusals import Missing, OutOfRange, Unreachable
from evenhang.engine.rounding import at_or_above, next_above, next_below
from evenhang.engine.rules import Rounding, RuleSet
from evenhang.engine.sale import OwnCosts, costs_in, listed_in, sell
from evenhang.engine.saying import Numeral, Said, reckon, say
from evenhang.engine.settlement import CAUTION, Settlement, settle

Wanted = Literal["proceeds", "earnings", "yield"]
LARGEST = Decimal(10) ** 12  # an amount has at most 12 digits before its point
MOST_TRIED = 20_000  # grid prices run forward for one answer, well under a second


class Reached(Struct, frozen=True):
    """What a price brings in one outlet, in the member's currency: divided by the rate, not rounded to its minor unit."""

    outlet: str
    listed: Money
    figure: Ratio
    reached: bool


class Target(Struct, frozen=True):
    """The lowest price on the grid that reaches the wanted figure; the one below it is shown failing.

    `outlet` sets the price, `closed_form` is what it would be unrounded. `price_below` is None where the lowest price
    on the grid already reaches the figure.
    """

    figure: Wanted
    wanted: Money
    price: Money
    outlet: str
    closed_form: Ratio
    working: str
    reached: tuple[Reached, ...]
    price_below: Money | None
    reached_below: tuple[Reached, ...]
    settlements: tuple[Settlement, ...]
    caution: str = CAUTION


class _Goal(Struct, frozen=True):
    """What one outlet's proceeds must come to, in its currency, and the retail prices between which the answer lies."""

    outlet: str
    rate: Decimal
    needed: Decimal
    own: OwnCosts
    divisor: Decimal  # figure = (proceeds - what is taken off) / divisor
    taken_off: Decimal
    lines: tuple[Line, ...]
    closed: Decimal
    start: Decimal
    end: Decimal


@exact
def find_target(
    rules: RuleSet,
    kind: Wanted,
    wanted: Decimal,
    outlet_name: str | None = None,
    discount_percent: Decimal = ZERO,
    costs: Mapping[str, Decimal] | None = None,
    hours: Decimal | None = None,
) -> Target:
    """The lowest retail price on the grid at which the figure reaches `wanted`, in that outlet or in every outlet.

    `wanted` and `costs` are in the member's currency; a wanted yield is per hour. Unreachable where no price can,
    Missing for a yield without hours, OutOfRange for a discount over 100 %, Unknown for an outlet or a cost.
    """
    if discount_percent > 100:
        raise OutOfRange(say("A discount is at most 100 %."), "/discount_percent")
    if kind == "yield" and not hours:
        raise Missing(say("A yield is earnings per hour, and there are no hours."), "/hours", say("Add the hours."))
    if outlet_name is not None:
        rules.outlet(outlet_name)
    names = rules.rules.sells_in if outlet_name is None else (outlet_name,)
    goals = [_goal(rules, name, kind, wanted, discount_percent, costs or {}, hours) for name in names]
    goals.sort(key=lambda goal: goal.start, reverse=True)
    price = _scan(rules, goals, discount_percent)
    below = next_below(rules.rounding(rules.currency), price)
    setter = max(goals, key=lambda goal: goal.closed)
    in_order = sorted(goals, key=lambda goal: names.index(goal.outlet))
    return Target(
        figure=kind,
        wanted=money(wanted, rules.currency),
        price=money(price, rules.currency),
        outlet=setter.outlet,
        closed_form=figure(setter.closed, 6),
        working=_working(rules, setter, price),
        reached=tuple(_reached(rules, goal, price, discount_percent) for goal in in_order),
        price_below=None if below is None else money(below, rules.currency),
        reached_below=() if below is None else tuple(_reached(rules, goal, below, discount_percent) for goal in in_order),
        settlements=tuple(settle(rules, name, listed_in(rules, name, price), discount_percent, costs, hours) for name in names),
    )


def _goal(
    rules: RuleSet, name: str, kind: Wanted, wanted: Decimal, discount: Decimal, costs: Mapping[str, Decimal], hours: Decimal | None
) -> _Goal:
    """The goal in one outlet. Unreachable where no price brings it, however the lines round."""
    rate = rules.rate(rules.outlet_currency(name))
    own = costs_in(rules, costs, name)
    divisor = rate * hours if kind == "yield" and hours else rate
    taken_off = ZERO if kind == "proceeds" else own.total
    needed = wanted * divisor + taken_off
    lines = proceeds_lines(rules, name, discount, own.frame)
    stray = noise(rules, name, discount)
    # A price that passes lies where the lines reach at least `needed` less the noise; one where they reach it with
    # the noise on top is sure to pass. Between the two the grid is walked.
    earliest, surest = stretch(lines, needed - stray), stretch(lines, needed + stray)
    if earliest is None:
        raise _never(rules, name, lines)
    start, end = _retail(rules, name, earliest, surest)
    closed = stretch(lines, needed) or earliest
    return _Goal(name, rate, needed, own, divisor, taken_off, lines, closed.least / rate, start, end)


def _retail(rules: RuleSet, name: str, earliest: Stretch, surest: Stretch | None) -> tuple[Decimal, Decimal]:
    """Retail prices in the member's currency: below the first nothing passes, beyond the second nothing new can."""
    currency = rules.outlet_currency(name)
    rate = rules.rate(currency)
    before = after = ZERO
    if currency != rules.currency:
        before, after = _largest_step(rules.rounding(currency), earliest.least), _largest_step(rules.rounding(currency), None)
    last = earliest.most if surest is None else surest.least
    return (earliest.least - before) / rate, ((earliest.least if last is None else last) + after) / rate


def _largest_step(rounding: Rounding, under: Decimal | None) -> Decimal:
    """How far rounding to the grid can move a price: the largest of the steps, of those that hold below `under` if given."""
    steps: list[Decimal] = []
    begins = ZERO
    for step in rounding.steps:
        if not steps or under is None or begins < under:
            steps.append(step.step)
        begins = step.below or begins
    return max(steps)


def _scan(rules: RuleSet, goals: list[_Goal], discount: Decimal) -> Decimal:
    """The first grid price that passes in every outlet, walking upwards. Unreachable where none does."""
    rounding = rules.rounding(rules.currency)
    start, end = max(goal.start for goal in goals), max(goal.end for goal in goals)
    _within_reach(rules, goals, start)
    price = at_or_above(rounding, start)
    known: dict[tuple[str, Decimal], bool] = {}
    for _ in range(MOST_TRIED):
        _within_reach(rules, goals, price)
        if all(_passes(rules, goal, price, discount, known) for goal in goals):
            return price
        if price > end:
            break
        price = next_above(rounding, price)
    else:
        detail = say(
            "So little of each further {currency} reaches the member in {outlet} ({share}) that rounding hides the answer.",
            currency=rules.currency,
            outlet=goals[0].outlet,
            share=numeral(min(line.slope for line in goals[0].lines), 6),
        )
        raise Unreachable(detail, "/wanted", say("Ask for a figure in another outlet, or take a coarser rounding grid."))
    raise _never(rules, goals[0].outlet, goals[0].lines)


def _passes(rules: RuleSet, goal: _Goal, price: Decimal, discount: Decimal, known: dict[tuple[str, Decimal], bool]) -> bool:
    """Whether the settlement run forward reaches the goal; several retail prices may be one price in an outlet abroad."""
    at = (goal.outlet, listed_in(rules, goal.outlet, price))
    if at not in known:
        known[at] = sell(rules, goal.outlet, at[1], discount, goal.own.frame).proceeds >= goal.needed
    return known[at]


def _reached(rules: RuleSet, goal: _Goal, price: Decimal, discount: Decimal) -> Reached:
    """What the price brings in that outlet."""
    sold = sell(rules, goal.outlet, listed_in(rules, goal.outlet, price), discount, goal.own.frame)
    brings = (sold.proceeds - goal.taken_off) / goal.divisor
    return Reached(goal.outlet, money(sold.listed, sold.currency), figure(brings), sold.proceeds >= goal.needed)


def _within_reach(rules: RuleSet, goals: list[_Goal], price: Decimal) -> None:
    """Unreachable for a price beyond the largest amount, in the member's currency or an outlet's."""
    for goal in goals:
        if price >= LARGEST or price * goal.rate >= LARGEST:
            detail = say("The price would go beyond the largest amount, 12 digits before the point, in {outlet}.", outlet=goal.outlet)
            raise Unreachable(detail, "/wanted", say("Ask for less, or state the hours and costs again: one of them is very large."))


def _never(rules: RuleSet, outlet_name: str, lines: tuple[Line, ...]) -> Unreachable:
    """No price can: of each further unit nothing is left, or what is left never gets there."""
    detail = say(
        "No price reaches this figure in {outlet}: after tax, commission, levy, fee and discount, {share} of each further"
        " {currency} of price reach the member.",
        outlet=outlet_name,
        share=numeral(min(line.slope for line in lines), 6),
        currency=rules.outlet_currency(outlet_name),
    )
    return Unreachable(detail, "/wanted", say("Lower the discount or the wanted figure, or leave this outlet out."))


def _working(rules: RuleSet, goal: _Goal, price: Decimal) -> Said:
    """How the answer came about, with the figures of the outlet that sets it."""
    currency = rules.outlet_currency(goal.outlet)
    top = numeral(goal.needed, 6)
    needed = say("In {outlet} {amount} {currency} of proceeds are needed", outlet=goal.outlet, amount=top, currency=currency)
    written = Numeral(money(price, rules.currency).amount)
    if not goal.closed:
        return say(
            "{needed}, which any price brings before rounding. With every line rounded {price} is the first that does.",
            needed=needed,
            price=written,
        )
    line = max((x for x in goal.lines if x.slope > 0), key=lambda x: (goal.needed - x.offset) / x.slope)
    whole: Said = reckon("{needed}", needed=top)
    if line.offset:
        whole = reckon(
            "({needed} + {fixed})" if line.offset < 0 else "({needed} - {fixed})", needed=top, fixed=numeral(abs(line.offset), 6)
        )
    share, found = numeral(line.slope, 6), numeral(goal.closed * goal.rate, 6)
    sums = reckon("{whole} / {share} = {found}", whole=whole, share=share, found=found)
    if currency != rules.currency:
        rate, here = numeral(goal.rate), numeral(goal.closed, 6)
        sums = say("{sum}, in {currency} / {rate} = {here}", sum=sums, currency=rules.currency, rate=rate, here=here)
    return say(
        "{needed}: {sum}. Run forward with every line rounded, {price} is the first price on the grid that passes.",
        needed=needed,
        sum=sums,
        price=written,
    )
