"""What a caller states of a sale: its price and the work's own costs, held against the rules.

Knows no work to measure: a cost without an amount is refused here, never left out in silence.
"""

from decimal import Decimal

from evenhang.engine.money import GivenMoney, exact, numeral
from evenhang.engine.refusals import Contradictory, Missing, OutOfRange, Unknown
from evenhang.engine.rules import RuleSet
from evenhang.engine.sale import listed_in
from evenhang.engine.saying import say
from evenhang.engine.sizes import MOST_HOURS
from evenhang.engine.works import WorkCost


@exact
def stated_price(rules: RuleSet, outlet_name: str, price: GivenMoney, pointer: str = "/price") -> Decimal:
    """The listed price in the outlet's currency; one in the member's is brought there by the pinned rate and rounding.

    Unknown for an outlet that is not the member's, Contradictory for another currency, OutOfRange for a price of 0.
    """
    rules.outlet(outlet_name)
    currency = rules.outlet_currency(outlet_name)
    if price.amount == 0:
        raise OutOfRange(say("A listed price is over 0."), f"{pointer}/amount")
    if price.currency == currency:
        return price.in_currency(currency, pointer)
    return listed_in(rules, outlet_name, price.in_currency(rules.currency, pointer))


def stated_costs(rules: RuleSet, costs: tuple[WorkCost, ...], pointer: str = "/costs") -> dict[str, Decimal]:
    """The work's own costs by name, in the member's currency.

    Unknown for a cost these rules lack, Contradictory for one said twice, Missing for one without an amount: an
    estimate needs the work's size, and a sale has none.
    """
    out: dict[str, Decimal] = {}
    for i, cost in enumerate(costs):
        if cost.name not in rules.rules.costs:
            raise Unknown.name("cost", cost.name, rules.rules.costs, f"{pointer}/{i}/name")
        if cost.name in out:
            detail = say('"{name}" stands twice in {field}.', name=cost.name, field="costs")
            raise Contradictory(detail, f"{pointer}/{i}/name", say("Say it once."))
        if cost.amount is None:
            detail = say('"{cost}" has no amount, and without the work\'s size it cannot be estimated.', cost=cost.name)
            raise Missing(detail, f"{pointer}/{i}/amount", say("State its amount, or take it from the work's quote."))
        out[cost.name] = cost.amount.in_currency(rules.currency, f"{pointer}/{i}/amount")
    return out


def stated_hours(hours: Decimal | None, pointer: str = "/hours") -> Decimal | None:
    """The hours, None for none or 0. OutOfRange for more than a lifetime's."""
    if hours is not None and hours > MOST_HOURS:
        raise OutOfRange(say("{hours} hours are more than a lifetime's.", hours=numeral(hours)), pointer)
    return hours or None
