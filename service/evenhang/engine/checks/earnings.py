"""What a listed price leaves its maker: works sold at a loss, and hours that bring less than floor or target.

Knows one work at a time, in every outlet of the member's. Arithmetic, not advice.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import Finding, Proof, incomplete, refused, told
from evenhang.engine.checks.parity import asked_in_outlets
from evenhang.engine.money import exact, figure, money
from evenhang.engine.refusals import Refusal
from evenhang.engine.rules import Earning, RuleSet
from evenhang.engine.sale import costs_in, listed_in, sell


class Left(Struct, frozen=True):
    """What is left in an outlet, in the member's currency, unrounded."""

    outlet: str
    earnings: Decimal


def weak_earnings(rules: RuleSet, entries: Iterable[Entry]) -> Iterator[Finding]:
    """Works for sale or reserved that lose money or pay an hour too little, by the outlet where least is left."""
    earning = rules.rules.earning
    costless: list[str] = []
    untimed: list[str] = []
    for entry in entries:
        if entry.item.state == "nfs":
            continue
        try:
            worst = worst_outlet(rules, entry)
        except Refusal as refusal:
            yield refused(refusal, entry.id, entry.at, "loss-making")
            continue
        costless += [] if entry.costs else [entry.id]
        untimed += [] if entry.hours else [entry.id]
        if worst.earnings < 0:
            yield _loss(rules, entry, worst)
        elif entry.hours and earning is not None and worst.earnings / entry.hours < earning.hourly_target:
            yield _thin(rules, entry, worst, entry.hours, earning)
    if costless:
        detail = "No costs of these works were given: their proceeds alone were looked at."
        yield incomplete(costless, "loss-making", detail, "Add their costs.")
    if untimed:
        yield incomplete(untimed, "thin-yield", "No hours of these works were given.", "Add their hours.")
    if earning is None:
        yield incomplete((), "thin-yield", "The rules have no hourly target and floor.", "Add earning to the rules.")


@exact
def worst_outlet(rules: RuleSet, entry: Entry) -> Left:
    """Where the listed price leaves least after the work's costs; an outlet with a price of its own by that price."""
    if entry.item.outlet_prices:
        prices = {asked.outlet: asked.price for asked in asked_in_outlets(rules, entry)}
    else:
        prices = {name: listed_in(rules, name, entry.listed) for name in rules.rules.sells_in}
    left = []
    for name, price in prices.items():
        own = costs_in(rules, entry.costs, name)
        sold = sell(rules, name, price, frame=own.frame)
        left.append(Left(name, (sold.proceeds - own.total) / rules.rate(sold.currency)))
    return min(left, key=lambda one: one.earnings)


def _loss(rules: RuleSet, entry: Entry, worst: Left) -> Finding:
    detail = f"In {worst.outlet} the sale would leave {told(worst.earnings, rules.currency)} after the work's own costs."
    mend = f"Raise it, have its costs come back in {worst.outlet}, or do not offer it there."
    return Finding("loss-making", "warning", (entry.id,), detail, mend, (_earnings(rules, entry, worst),))


def _earnings(rules: RuleSet, entry: Entry, worst: Left) -> Proof:
    return Proof("earnings", entry.id, worst.outlet, amount=money(worst.earnings, rules.currency))


def _thin(rules: RuleSet, entry: Entry, worst: Left, hours: Decimal, earning: Earning) -> Finding:
    """Below the floor a warning, below the target alone a note."""
    hourly = worst.earnings / hours
    below = "floor" if hourly < earning.hourly_floor else "target"
    wanted = earning.hourly_floor if below == "floor" else earning.hourly_target
    currency = rules.currency
    detail = f"In {worst.outlet} an hour would bring {told(hourly, currency)}, below the {below} of {told(wanted, currency)}."
    short = told(wanted * hours - worst.earnings, currency)
    mend = f"{short} are wanting over {figure(hours)} hours: ask for the target's price, or spend fewer hours on such a work."
    figures = (
        _earnings(rules, entry, worst),
        Proof("yield-per-hour", entry.id, worst.outlet, amount=money(hourly, currency)),
        Proof(f"hourly-{below}", amount=money(wanted, currency)),
    )
    return Finding("thin-yield", "warning" if below == "floor" else "note", (entry.id,), detail, mend, figures)
