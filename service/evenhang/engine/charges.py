"""What the rules add to a price for a work's own costs, by the treatment of each.

Knows no work and no size: a cost comes in, its charge and the working come out.
"""

from decimal import Decimal

from evenhang.engine.money import HUNDRED, ONE, ZERO, exact, in_percent, numeral
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import reckon, say
from evenhang.engine.settlement import recovering_price


@exact
def charge_for(rules: RuleSet, name: str, cost: Decimal) -> tuple[Decimal, str]:
    """What the rules add to a price for a cost of the member's, not yet written, and its working; 0 for one that is absorbed."""
    rule = rules.rules.costs[name]
    if rule.treatment == "absorbed":
        return ZERO, ""
    if rule.treatment == "marked_up":
        percent = rule.percent or ZERO
        words = reckon("{cost} x (1 + {percent})", cost=numeral(cost), percent=in_percent(percent))
        return cost * (ONE + percent / HUNDRED), words
    if rule.treatment == "recovered":
        amount, outlet = recovering_price(rules, cost, frame=rule.frame)
        where = outlet or say("every outlet")
        return amount, say("{cost}, so that it comes back in {outlet} too", cost=numeral(cost), outlet=where)
    return cost, say("cost {amount}", amount=numeral(cost))
