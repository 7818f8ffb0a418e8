"""What a price means for its member: the worst outlet, whether target and floor are met, and what leaks.

For the member's own eyes only. Knows nothing of who asks.
"""

from collections.abc import Mapping
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.charges import charge_for
from evenhang.engine.money import ZERO, Money, exact, money
from evenhang.engine.quote import Price
from evenhang.engine.rules import RuleSet
from evenhang.engine.settlement import Settlement, marginal_share


class Leak(Struct, frozen=True):
    """What of a cost does not come back in the outlet that gives back least; `rounding` is what rounding down takes."""

    code: str
    outlet: str
    amount: Money


class Outcome(Struct, frozen=True):
    """The worst of the member's outlets, in the member's currency; yields and answers are None without hours or an hourly target."""

    worst_outlet: str
    worst_earnings: Money
    worst_yield_per_hour: Money | None
    target_met: bool | None
    floor_met: bool | None
    leaks: tuple[Leak, ...]


@exact
def outcome_of(rules: RuleSet, price: Price, settled: tuple[Settlement, ...]) -> Outcome:
    """How the price does in its worst outlet: outlets are compared on figures divided by the rate, unrounded."""
    earnings = {s.outlet: s.earnings.amount / rules.rate(s.earnings.currency) for s in settled}
    worst = min(earnings, key=lambda name: earnings[name])
    hourly = earnings[worst] / price.hours if price.hours else None
    earning = rules.rules.earning
    judged = None if hourly is None or earning is None else (hourly >= earning.hourly_target, hourly >= earning.hourly_floor)
    return Outcome(
        worst_outlet=worst,
        worst_earnings=money(earnings[worst], rules.currency),
        worst_yield_per_hour=None if hourly is None else money(hourly, rules.currency),
        target_met=judged[0] if judged else None,
        floor_met=judged[1] if judged else None,
        leaks=_leaks(rules, price),
    )


def _leaks(rules: RuleSet, price: Price) -> tuple[Leak, ...]:
    """Cost less what comes back of it, where that is more than nothing; an absorbed cost is not charged, so it is no leak."""
    written = {line.code: line.amount.amount for line in price.lines}
    out: list[Leak] = []
    for name, cost in price.costs.items():
        if f"cost:{name}" in written:
            back = {outlet: _came_back(rules, outlet, name, cost, written[f"cost:{name}"]) for outlet in rules.rules.sells_in}
            outlet = min(back, key=lambda o: back[o])
            out += _leak(rules, name, outlet, cost - back[outlet])
    rounding = written.get("rounding", ZERO)
    if rounding < 0:
        shares = {name: marginal_share(rules, name)[0] for name in rules.rules.sells_in}
        outlet = max(shares, key=lambda o: shares[o])
        out += _leak(rules, "rounding", outlet, -rounding * shares[outlet])
    return tuple(out)


@exact
def leaks_of_sale(rules: RuleSet, outlet: str, costs: Mapping[str, Decimal], discount_percent: Decimal) -> tuple[Leak, ...]:
    """What of each cost does not come back in a sale, where the price holds what the rules charge for it; all in the member's currency.

    A discount takes its part of what was charged as well. `costs` are known to the rules and the outlet is the member's.
    """
    out: list[Leak] = []
    for name, cost in costs.items():
        if rules.rules.costs[name].treatment != "absorbed":
            charged = money(charge_for(rules, name, cost)[0], rules.currency).amount
            out += _leak(rules, name, outlet, cost - _came_back(rules, outlet, name, cost, charged, discount_percent))
    return tuple(out)


def _came_back(rules: RuleSet, outlet: str, name: str, cost: Decimal, charged: Decimal, discount_percent: Decimal = ZERO) -> Decimal:
    """What reaches the member of what was charged for a cost; a frame that the outlet takes out of its base brings its commission back."""
    share, taken = marginal_share(rules, outlet, discount_percent)
    relief = cost * taken if rules.rules.costs[name].frame and rules.rules.outlets[outlet].frame_first else ZERO
    return charged * share + relief


def _leak(rules: RuleSet, code: str, outlet: str, amount: Decimal) -> tuple[Leak, ...]:
    leak = money(amount, rules.currency)
    return (Leak(code, outlet, leak),) if leak.amount > 0 else ()
