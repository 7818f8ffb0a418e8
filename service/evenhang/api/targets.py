"""Targets: the lowest price that brings a wanted figure."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta, Struct, field

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, Tried, resolve, used
from evenhang.engine.money import ZERO, Amount, GivenMoney
from evenhang.engine.refusals import Missing
from evenhang.engine.rules import RuleSet
from evenhang.engine.stated import stated_costs, stated_hours
from evenhang.engine.target import Target, Wanted, find_target
from evenhang.engine.works import Name, WorkCost


class TargetRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What is wanted, in the member's currency, of a sale in one outlet, or in every outlet where none is named.

    A wanted yield is per hour; without `wanted` it is the member's hourly target.
    """

    figure: Wanted
    wanted: GivenMoney | None = None
    outlet: Name | None = None
    discount_percent: Amount | None = None
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class TargetAnswer(Struct, frozen=True):
    """The lowest retail price on the member's rounding grid that brings the wanted figure."""

    member: str
    as_of: date
    rules: RulesUsed
    target: Target


def target(call: Call) -> TargetAnswer:
    """The lowest price on the day that brings what is wanted."""
    rules, on = resolve(call)
    asked: TargetRequest = call.body
    costs = stated_costs(rules, asked.costs)
    hours = stated_hours(asked.hours)
    found = find_target(rules, asked.figure, _wanted(rules, asked), asked.outlet, asked.discount_percent or ZERO, costs, hours)
    return TargetAnswer(rules.member, on, used(rules), found)


def _wanted(rules: RuleSet, asked: TargetRequest) -> Decimal:
    """The wanted figure; of a yield the hourly target where none is said. Missing where there is neither."""
    if asked.wanted is not None:
        return asked.wanted.in_currency(rules.currency, "/wanted")
    if asked.figure != "yield" or rules.rules.earning is None:
        raise Missing("Nothing says how much is wanted.", "/wanted", "State the wanted amount.")
    return rules.rules.earning.hourly_target


TARGETS = Operation(
    "findTarget",
    "POST",
    "/members/{member}/targets",
    "Find the price that brings a wanted figure",
    "The lowest retail price at which proceeds, earnings or yield reach a figure, with the price below it failing." + SAFE,
    (TargetAnswer,),
    target,
    TargetRequest,
    scope="books",
)
