"""What a price means for its member: the worst outlet, whether target and floor are met, and what leaks.

For the member's own eyes only. Knows nothing of who asks.
"""

from decimal import Decimal

from msgspec import Struct

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
    shares = {name: marginal_share(rules, name) for name in rules.rules.sells_in}
    out: list[Leak] = []
    for name, cost in price.costs.items():
        rule = rules.rules.costs[name]
        if rule.treatment == "absorbed":
            continue
        back: dict[str, Decimal] = {}
        for outlet, (share, taken) in shares.items():
            relief = cost * taken if rule.frame and rules.rules.outlets[outlet].frame_first else ZERO
            back[outlet] = written[f"cost:{name}"] * share + relief
        outlet = min(back, key=lambda o: back[o])
        leak = money(cost - back[outlet], rules.currency)
        if leak.amount > 0:
            out.append(Leak(name, outlet, leak))
    rounding = written.get("rounding", ZERO)
    if rounding < 0:
        outlet = max(shares, key=lambda o: shares[o][0])
        out.append(Leak("rounding", outlet, money(-rounding * shares[outlet][0], rules.currency)))
    return tuple(out)
