"""A work made to order: its price with the uplift, the stages in which it is paid, and what a cancellation costs.

Knows nothing of who asks. Arithmetic, not advice: local law and the written agreement decide.
"""

from datetime import date, timedelta
from decimal import Decimal

from msgspec import Struct

from evenhang.engine.money import HUNDRED, ZERO, Money, Ratio, exact, figure, money, share_out
from evenhang.engine.quote import Price, price_work, tax_of
from evenhang.engine.refusals import NotOffered
from evenhang.engine.rules import BespokeTerms, RuleSet
from evenhang.engine.works import Work


class StageDue(Struct, frozen=True):
    """One stage: what is paid when it is reached, and where a cancellation leaves both sides before the next one.

    `amount` is of the price, `tax` the part of its tax (contained in it, or to be paid on top, as the price's is).
    If the order is cancelled, `cancelled_due` of the price is due in all; against `paid` that leaves
    `still_due` to be paid, or `paid_back` to the buyer. One of the two is 0.
    """

    name: str
    title: str
    percent: Ratio
    amount: Money
    tax: Money
    paid: Money
    cancelled_percent: Ratio
    cancelled_due: Money
    still_due: Money
    paid_back: Money


class BespokePrice(Struct, frozen=True):
    """A work made to order, priced: its stages sum to the retail price, their tax to its tax, to the last cent.

    `stands_last_on` is the last day on which the offer may be taken up.
    """

    price: Price
    stages: tuple[StageDue, ...]
    stands_last_on: date


def price_bespoke(rules: RuleSet, work: Work, on: date) -> BespokePrice:
    """The offer for `work` on the day `on`. NotOffered where the rules have no terms for it; other refusals point into the work."""
    terms = rules.rules.bespoke
    if terms is None:
        raise NotOffered("This member has no terms for works made to order on that day.", "", "Ask for an ordinary quote.")
    price = price_work(rules, work, on, terms.uplift_percent)
    return BespokePrice(price, stages_of(rules, terms, price.retail), on + timedelta(days=terms.stands_days))


@exact
def stages_of(rules: RuleSet, terms: BespokeTerms, retail: Decimal) -> tuple[StageDue, ...]:
    """The stages in which a `retail` price in the member's currency is paid, split by largest remainder."""
    currency = rules.currency
    percents = [stage.percent for stage in terms.stages]
    amounts = share_out(retail, percents, rules.unit)
    taxes = share_out(tax_of(rules, retail)[1].amount, percents, rules.unit)
    paid, out = ZERO, []
    for stage, amount, tax in zip(terms.stages, amounts, taxes, strict=True):
        paid += amount
        due = money(retail * stage.cancelled_percent / HUNDRED, currency)
        out.append(
            StageDue(
                name=stage.name,
                title=stage.title,
                percent=figure(stage.percent),
                amount=money(amount, currency),
                tax=money(tax, currency),
                paid=money(paid, currency),
                cancelled_percent=figure(stage.cancelled_percent),
                cancelled_due=due,
                still_due=money(max(ZERO, due.amount - paid), currency),
                paid_back=money(max(ZERO, paid - due.amount), currency),
            )
        )
    return tuple(out)
