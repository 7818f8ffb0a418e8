"""Settlements: what a price leaves in an outlet."""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.api.pictured import pictured
from evenhang.api.replies import JSON, Reply
from evenhang.engine.money import ZERO, Amount, GivenMoney
from evenhang.engine.outcome import Leak, leaks_of_sale
from evenhang.engine.settlement import Settlement, settle
from evenhang.engine.stated import stated_costs, stated_hours, stated_price
from evenhang.engine.works import Name, WorkCost
from evenhang.pictures.canvas import SVG
from evenhang.pictures.settlement import draw_settlement


class SettlementRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """A listed price in the member's currency or the outlet's, and what was agreed about it."""

    outlet: Name
    price: GivenMoney
    discount_percent: Amount | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class SettlementAnswer(Struct, frozen=True):
    """What the price leaves in that outlet."""

    member: str
    as_of: date
    rules: RulesUsed
    settlement: Settlement
    leaks: tuple[Leak, ...]


def settlement(call: Call) -> SettlementAnswer | Reply:
    """What the price leaves; a price in the member's currency becomes the outlet's by its pinned rate and rounding."""
    rules, on = resolve(call)
    asked: SettlementRequest = call.body
    listed = stated_price(rules, asked.outlet, asked.price)
    costs, hours = stated_costs(rules, asked.costs), stated_hours(asked.hours)
    settled = settle(rules, asked.outlet, listed, asked.discount_percent or ZERO, costs, hours)
    leaks = leaks_of_sale(rules, asked.outlet, costs, asked.discount_percent or ZERO)
    answer = SettlementAnswer(rules.member, on, used(rules), settled, leaks)
    return pictured(call, answer, lambda voice: draw_settlement(settled, rules.rules.outlets[asked.outlet].title, voice))


SETTLEMENTS = Operation(
    "settleSale",
    "POST",
    "/members/{member}/settlements",
    "Settle a sale",
    "What a price leaves in an outlet." + SAFE,
    (SettlementAnswer,),
    settlement,
    SettlementRequest,
    scope="books",
    media=(JSON, SVG),
)
