"""The other way round from a budget: the largest whole size, canvas, format, hours or pieces that it pays for.

Knows nothing of who asks. A price never falls with the size, so the answer is the last size that fits, proven by the next.
"""

from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import Money, exact, money
from evenhang.engine.refusals import Missing, Refusal
from evenhang.engine.rules import RuleSet
from evenhang.engine.rungs import Making, Rung, prices_along, reason_of, rung_of
from evenhang.engine.whole import Family, last_within
from evenhang.engine.yields import Reason


class BudgetFit(Struct, frozen=True):
    """The largest size of one medium within a budget. `next_up` is the one after it, which does not fit.

    Nothing fits: `smallest` says what the smallest costs. Without `next_up` it is the largest size allowed.
    """

    budget: Money
    framed: bool
    medium: str
    largest: Rung | None = None
    left: Money | None = None
    next_up: Rung | None = None
    smallest: Rung | None = None
    reason: Reason | None = None


@exact
def fit_budget(rules: RuleSet, making: Making, family: Family, budget: Decimal, *, framed: bool) -> BudgetFit:
    """The largest size of the family within a budget in the member's currency, with the frame or without."""
    asked = BudgetFit(money(budget, rules.currency), framed, making.medium)
    if framed and making.framing is None:
        detail = "These rules do not estimate a frame, so there is no framed price."
        return _reasoned(asked, Reason("#/framing", Missing.code, f'{detail} Name a cost with its amount as "framing".'))
    price = prices_along(rules, making, family, framed=framed)
    try:
        last = last_within(family, price, budget)
        price(0)
    except Refusal as refusal:
        return _reasoned(asked, reason_of(refusal, "/aspect"))
    following = last + 1 if last + 1 < family.length else None
    return BudgetFit(
        budget=asked.budget,
        framed=framed,
        medium=making.medium,
        largest=None if last < 0 else rung_of(rules, making, family.at(last), "/aspect"),
        left=None if last < 0 else money(budget - price(last), rules.currency),
        next_up=None if last < 0 or following is None else rung_of(rules, making, family.at(following), "/aspect"),
        smallest=rung_of(rules, making, family.at(0), "/aspect") if last < 0 else None,
    )


def _reasoned(asked: BudgetFit, reason: Reason) -> BudgetFit:
    return BudgetFit(asked.budget, asked.framed, asked.medium, reason=reason)
