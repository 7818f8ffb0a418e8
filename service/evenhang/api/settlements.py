"""Settlements: what a price leaves in an outlet."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.engine.money import ZERO, Amount, GivenMoney
from evenhang.engine.rounding import to_grid
from evenhang.engine.settlement import Settlement, settle
from evenhang.engine.works import Name, WorkCost


class SettlementRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A listed price in the member's currency or the outlet's, and what was agreed about it."""

    outlet: Name
    price: GivenMoney
    discount_percent: Amount | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None


class SettlementAnswer(Struct, frozen=True):
    """What the price leaves in that outlet."""

    member: str
    as_of: date
    rules: RulesUsed
    settlement: Settlement


def settlement(call: Call) -> SettlementAnswer:
    """What the price leaves; a price in the member's currency becomes the outlet's by its pinned rate and rounding."""
    rules, on = resolve(call)
    asked: SettlementRequest = call.body
    rules.outlet(asked.outlet)
    currency = rules.outlet_currency(asked.outlet)
    listed: Decimal
    if asked.price.currency == currency:
        listed = asked.price.in_currency(currency, "/price")
    else:
        listed = to_grid(rules.rounding(currency), asked.price.in_currency(rules.currency, "/price") * rules.rate(currency))
    costs = {c.name: c.amount.in_currency(rules.currency, f"/costs/{i}/amount") for i, c in enumerate(asked.costs) if c.amount}
    return SettlementAnswer(
        rules.member, on, used(rules), settle(rules, asked.outlet, listed, asked.discount_percent or ZERO, costs, asked.hours)
    )


SETTLEMENTS = Operation(
    "settleSale",
    "POST",
    "/members/{member}/settlements",
    "Settle a sale",
    "What a price leaves in an outlet." + SAFE,
    (SettlementAnswer,),
    settlement,
    SettlementRequest,
)
